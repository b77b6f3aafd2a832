"""Moving a job: what both floors need is asked here, since only this floor sees both."""

from datetime import date, datetime

from django.db import transaction

from measurements.bench.curves.models import PowerCurve
from measurements.proving.models import ProvingRun
from measurements.readings.models import Point, Reading
from measurements.verdict.run import stops_of_run
from shop.access.models import Person
from shop.jobs import moves as shop_moves
from shop.jobs.models import JobCard, JobEvent
from shop.jobs.moves import Missing
from shop.papers.actions import record_hand_over
from shop.papers.models import HandOver
from sizing.said import Said
from sizing.ways import word

BASELINE_QUANTITIES = ("boost_kpa", "exhaust_temperature_c", "smoke_opacity_pct", "smoke_k_per_m")


def has_baseline(job: JobCard) -> bool:
    """Something measured before the strip to compare with later."""
    readings = Reading.objects.filter(point__in=Point.objects.of(job).before(), quantity__in=BASELINE_QUANTITIES)
    return readings.exists() or PowerCurve.objects.of(job).filter(phase="before").exists()


def _baseline(job: JobCard) -> list[Missing]:
    if has_baseline(job):
        return []
    return [Missing(Said("move.no_baseline"))]


def _proof(job: JobCard) -> list[Missing]:
    run = ProvingRun.objects.of(job).with_plan().last()
    if run is None:
        return [Missing(Said("move.no_run"))]
    missing, of_run = [], {"run": run.number}
    if not run.is_decided:
        missing.append(Said("move.run_not_decided", of_run))
    elif run.decision == "change":
        missing.append(Said("move.run_to_be_repeated", {**of_run, "decision": word("run_decision", run.decision)}))
    if not run.points.exists():
        missing.append(Said("move.nothing_read", of_run))
    missing += [Said("move.beyond_stop", {**of_run, "what": what}) for what in stops_of_run(run)]
    return [Missing(said) for said in missing]


NEEDS = {"fitting": ("agreed", _baseline), "handed_over": ("proving", _proof)}


def own_missing(job: JobCard, to: str) -> list[Missing]:
    from_stage, needs = NEEDS.get(to, ("", None))
    return needs(job) if needs and job.stage == from_stage else []


def missing_for_move(job: JobCard, to: str) -> list[Missing]:
    """Everything a move still needs, as both floors see it."""
    return [*shop_moves.missing_for(job, to), *own_missing(job, to)]


@transaction.atomic
def move_on(job: JobCard, to: str, by: Person, reason: str = "", at: datetime | None = None) -> JobEvent:
    """Move a job or raise MoveRefused with everything that is missing. The hand-over has its own action."""
    also = own_missing(job, to)
    if to == "handed_over" and not HandOver.objects.filter(job=job).exists():
        also.append(Missing(Said("move.hand_over_there"), firm=True))
    return shop_moves.move_job(job, to, by, reason, also, at)


@transaction.atomic
def hand_over_job(
    job: JobCard,
    on: date,
    received_by: str,
    by: Person,
    meter_reading: float | None = None,
    note: str = "",
    at: datetime | None = None,
    reason: str = "",
) -> HandOver:
    """Write down who takes the vehicle and close the job in one go, or do neither. Repeating it is harmless."""
    job = JobCard.objects.select_for_update().get(pk=job.pk)
    known = HandOver.objects.filter(job=job).first()
    if known and not job.is_open:
        return known
    row = record_hand_over(job, on, received_by, by, meter_reading, note, at)
    shop_moves.move_job(job, "handed_over", by, reason, own_missing(job, "handed_over"), at)
    return row
