"""Small finished jobs for the review, written down row by row so that each expected figure can be checked by hand."""

from datetime import date, datetime, timedelta

from django.utils import timezone

from measurements.bench.curves.models import PowerCurve, PowerPoint
from measurements.proving.models import ProvingRun
from measurements.readings.models import Point, Reading
from shop.access.models import Person
from shop.fitting.models import Fitment
from shop.follow_up.models import Failure, FollowUp
from shop.jobs.models import JobCard
from shop.jobs.plans import attach_plan
from shop.papers.models import HandOver
from sizing.catalogue.models import Cooler, Turbo
from sizing.plans.actions import make_plan
from sizing.plans.models import Plan
from tests.builders import NOW, make_job, make_vehicle

START = date(2024, 1, 1)


def day(number: int) -> date:
    return START + timedelta(days=number)


def finished_job(
    by: Person,
    turbo: Turbo,
    plunger_mm: float = 6.0,
    cooler: Cooler | None = None,
    meter: str = "km",
    handed_meter: float | None = 1000.0,
) -> JobCard:
    """A job that was handed over on day 0."""
    job = make_job(by, make_vehicle(meter=meter), stage="handed_over")
    fit(job, by, turbo, plunger_mm, cooler)
    HandOver.objects.create(job=job, on=START, meter_reading=handed_meter, received_by="x", by=by, at=NOW)
    return job


def fit(
    job: JobCard, by: Person, turbo: Turbo, plunger_mm: float, cooler: Cooler | None = None, later: int = 0
) -> Fitment:
    at = NOW + timedelta(hours=later)
    return Fitment.objects.create(job=job, turbo=turbo, plunger_diameter_mm=plunger_mm, cooler=cooler, by=by, at=at)


def heard(job: JobCard, by: Person, on: int, meter: float | None = None) -> None:
    FollowUp.objects.create(job=job, on=day(on), way="phone", text="runs", meter_reading=meter, by=by, at=NOW)


def broke(job: JobCard, by: Person, on: int, counts: bool = True, meter: float | None = None, cause: str = "") -> None:
    Failure.objects.create(
        job=job, on=day(on), part="turbo_bearing", said_by="customer", ends_pairing=counts, meter_reading=meter,
        cause=cause, by=by, at=NOW,
    )  # fmt: skip


def plan_of(job: JobCard, by: Person) -> Plan:
    """A plan for direct injection with the usual limits: 700 °C before the turbine."""
    row = job.job_plans.first()
    if row:
        return row.plan
    plan = make_plan("plan", "direct", {})
    attach_plan(job, plan, by)
    return plan


def run_of(job: JobCard, by: Person, number: int = 1) -> ProvingRun:
    plan = plan_of(job, by)
    return ProvingRun.objects.create(job=job, plan=plan, number=number, started_by=by, started_at=NOW, decision="keep")


def read_heat(
    job: JobCard, by: Person, value: float, run=None, place: str = "before_turbine", phase: str = "after"
) -> Reading:
    at = timezone.now()
    point = Point.objects.create(
        job=job, phase=phase, run=run, speed_rpm=3000, load_pct=100, by=by, taken_at=at, received_at=at
    )
    return Reading.objects.create(point=point, quantity="exhaust_temperature_c", value=value, place=place, by=by, at=at)


def curve(
    job: JobCard, by: Person, phase: str, kind: str, points: list[tuple[float, float]], at: datetime = NOW
) -> None:
    row = PowerCurve.objects.create(job=job, phase=phase, kind=kind, by=by, at=at)
    PowerPoint.objects.bulk_create(PowerPoint(curve=row, speed_rpm=s, torque_nm=t) for s, t in points)
