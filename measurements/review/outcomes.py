"""Working out what became of each job that was handed over, and keeping it for the review."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from django.db import transaction
from django.db.models import F, Max
from numpy.typing import ArrayLike, NDArray

from measurements.bench.curves.models import PowerPoint
from measurements.proving.models import ProvingRun
from measurements.readings.models import Reading
from measurements.review.models import Outcome
from measurements.verdict.checks import COMPARABLE_PLACES
from shop.fitting.models import Fitment
from shop.follow_up.models import Failure, FollowUp
from shop.jobs.models import JobEvent, JobPlan
from shop.papers.models import HandOver
from shop.people.models import Vehicle
from sizing.physics.engine.power import RPM_NM_PER_KW
from sizing.plans.models import Plan
from sizing.plans.solve import limits_of

PLUNGER_STEP_MM = 0.5
TOGETHER = 500  # jobs worked out at a time, in 0.4 s; more than so many are not worked out while a page waits
# Behind the turbine the gas is cooler than what the limit is meant for, so a reading there says nothing here.
BEFORE_TURBINE = COMPARABLE_PLACES["exhaust_temperature_c"]


def plunger_class_mm(diameter_mm: ArrayLike) -> NDArray[np.float64]:
    """The 0.5 mm class that a plunger belongs to, by its middle: 5.75 up to 6.25 is 6.0."""
    return np.floor(np.asarray(diameter_mm, dtype=np.float64) / PLUNGER_STEP_MM + 0.5) * PLUNGER_STEP_MM


@dataclass
class _Heard:
    """What was heard of one job since its hand-over."""

    readings: list[tuple[date, float | None]] = field(default_factory=list)  # day, meter if it was read
    ends: list[date] = field(default_factory=list)
    others: int = 0

    @property
    def ended_on(self) -> date | None:
        return min(self.ends, default=None)

    @property
    def end(self) -> date | None:
        """The failure that ended the pairing, or else when it was last heard of: never today."""
        return self.ended_on or max((on for on, _ in self.readings), default=None)

    def running(self, from_meter: float | None) -> float | None:
        """What the meter gained up to that day; unknown where it was not read, was changed or was misread."""
        end = self.end
        if from_meter is None or end is None:
            return None
        gained = (
            max((meter for on, meter in self.readings if meter is not None and on <= end), default=-1.0) - from_meter
        )
        return gained if gained >= 0 else None


def _heard(jobs: Sequence[int]) -> dict[int, _Heard]:
    heard = {job: _Heard() for job in jobs}
    for job, on, meter in FollowUp.objects.filter(job__in=jobs).values_list("job", "on", "meter_reading"):
        heard[job].readings.append((on, meter))
    rows = Failure.objects.filter(job__in=jobs).values_list("job", "on", "meter_reading", "ends_pairing")
    for job, on, meter, ends_pairing in rows:
        heard[job].readings.append((on, meter))
        if ends_pairing:
            heard[job].ends.append(on)
        else:
            heard[job].others += 1
    return heard


def _exhaust_highest_c(jobs: Sequence[int]) -> dict[int, float]:
    """Highest standing reading before the turbine, in the last proving run or after hand-over."""
    runs = ProvingRun.objects.filter(job__in=jobs).order_by()
    last_run = dict(runs.values_list("job").annotate(Max("number")))
    rows = (
        Reading.objects.standing()
        .filter(point__job__in=jobs, point__phase="after", point__withdrawal__isnull=True)
        .filter(quantity="exhaust_temperature_c", place__in=BEFORE_TURBINE)
        .order_by()
        .values_list("point__job", "point__run__number")
        .annotate(Max("value"))
    )
    highest: dict[int, float] = {}
    for job, number, value in rows:
        if number is None or number == last_run.get(job):
            highest[job] = max(value, highest.get(job, value))
    return highest


def _exhaust_limit_c(jobs: Sequence[int]) -> dict[int, float]:
    plans = dict(JobPlan.objects.filter(job__in=jobs, is_current=True).values_list("plan", "job"))
    found = Plan.objects.filter(pk__in=plans).select_related("turbo", "cooler", "air_cleaner", "plunger__pump")
    found = found.prefetch_related("inputs", "own_limits")
    return {plans[plan.pk]: limits_of(plan).exhaust_temperature_max_c for plan in found}


def _power_kw(jobs: Sequence[int]) -> dict[int, tuple[float, float]]:
    """Highest power before and after, found in the same way at the same place; in standard air where both could be
    brought to it by the same standard, otherwise as measured. What a book says was not measured here."""
    rows = (
        PowerPoint.objects.filter(curve__job__in=jobs)
        .exclude(curve__kind="book")
        .order_by()
        .values_list(
            "curve__job",
            "curve__kind",
            "curve__phase",
            "curve__at",
            "curve",
            "curve__dyno__place",
            "curve__dyno__standard",
            "curve__dyno__corrected_kw",
        )
        .annotate(highest=Max(F("torque_nm") * F("speed_rpm")))
    )
    newest: dict[tuple[int, str, str | None], dict[str, tuple[float, str | None, float | None]]] = {}
    for job, kind, phase, _at, _curve, place, standard, corrected, highest in sorted(
        rows, key=lambda row: (row[3], row[4])
    ):
        newest.setdefault((job, kind, place), {})[phase] = (highest / RPM_NM_PER_KW, standard, corrected)
    powers: dict[int, tuple[float, float]] = {}
    for (job, *_), by_phase in sorted(
        newest.items(), key=lambda item: (item[0][1] == "brake", item[0][2] == "flywheel")
    ):
        if {"before", "after"} <= by_phase.keys():
            before, after = by_phase["before"], by_phase["after"]
            in_standard_air = before[2] is not None and after[2] is not None and before[1] == after[1]
            powers[job] = (before[2], after[2]) if in_standard_air else (before[0], after[0])  # type: ignore[assignment]
    return powers


def _worked_out(jobs: Sequence[int]) -> list[Outcome]:
    """The outcomes of some jobs, in a fixed number of queries."""
    fitted = {row.job_id: row for row in Fitment.objects.filter(job__in=jobs).order_by("at", "pk")}
    heard, highest, limits, powers = _heard(jobs), _exhaust_highest_c(jobs), _exhaust_limit_c(jobs), _power_kw(jobs)
    rows = []
    for handed in HandOver.objects.filter(job__in=jobs).select_related("job__vehicle"):
        job = handed.job_id
        row = Outcome(job_id=job, failures=len(heard[job].ends), other_failures=heard[job].others)
        if job in fitted:
            row.turbo_id, row.has_cooler = fitted[job].turbo_id, fitted[job].cooler_id is not None
            row.plunger_mm = float(plunger_class_mm(fitted[job].plunger_diameter_mm))
        end = heard[job].end
        row.days = None if end is None else max((end - handed.on).days, 0)
        row.failed = bool(heard[job].ends)
        meter = handed.job.vehicle.meter
        if meter in ("h", "km"):
            setattr(row, "hours" if meter == "h" else "km", heard[job].running(handed.meter_reading))
        if job in highest and job in limits:
            row.in_hand_c = limits[job] - highest[job]
        row.power_before_kw, row.power_after_kw = powers.get(job, (None, None))
        rows.append(row)
    return rows


def missing_outcomes() -> int:
    """How many are not kept yet; this costs two counts."""
    return HandOver.objects.count() - Outcome.objects.count()


def keep_missing_outcomes(tell: Callable[[float], None] = lambda share: None) -> int:
    """Work out and keep what is not kept yet; `tell` hears after each round which share of it is done."""
    if not missing_outcomes():
        return 0
    kept = Outcome.objects.values("pk")
    missing = list(HandOver.objects.exclude(job__in=kept).order_by().values_list("job", flat=True))
    for start in range(0, len(missing), TOGETHER):
        with transaction.atomic():
            rows = _worked_out(missing[start : start + TOGETHER])
            Outcome.objects.bulk_create(rows, ignore_conflicts=True)  # two visits in the same moment
        tell(min(start + TOGETHER, len(missing)) / len(missing))
    return len(missing)


def forget_outcome(instance: JobEvent, **_: object) -> None:
    """Whatever happens to a job after its hand-over makes its outcome doubtful: the next review works it out anew.

    Called for every event row, in the same transaction as the change that the event tells of.
    """
    if instance.job.stage == "handed_over":
        Outcome.objects.filter(pk=instance.job_id).delete()


def forget_outcomes_of_vehicle(instance: Vehicle, **_: object) -> None:
    """Whether its meter counts hours or kilometres stands on the vehicle, which has no events of its own."""
    Outcome.objects.filter(job__vehicle=instance).delete()
