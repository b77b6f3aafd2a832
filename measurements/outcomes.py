"""Working out what proving showed of each handed-over job, and keeping it for the review."""

from django.db import transaction
from django.db.models import F, Max, QuerySet

from measurements.checks import COMPARABLE_PLACES
from measurements.models import Outcome, PowerPoint, ProvingRun, Reading
from shop.models import JobCard, JobEvent, JobPlan
from sizing.models import Plan
from sizing.physics.power import RPM_NM_PER_KW
from sizing.solve import limits_of

# Behind the turbine the gas is cooler than what the limit is meant for, so a reading there says nothing here.
BEFORE_TURBINE = COMPARABLE_PLACES["exhaust_temperature_c"]


def _exhaust_highest_c(jobs: QuerySet[JobCard]) -> dict[int, float]:
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


def _exhaust_limit_c(jobs: QuerySet[JobCard]) -> dict[int, float | None]:
    plans = dict(JobPlan.objects.filter(job__in=jobs, is_current=True).values_list("plan", "job"))
    found = Plan.objects.filter(pk__in=JobPlan.objects.filter(job__in=jobs, is_current=True).values("plan"))
    found = found.select_related("turbo", "cooler", "air_cleaner", "plunger")
    found = found.prefetch_related("inputs", "own_limits")
    return {plans[plan.pk]: limits_of(plan).exhaust_temperature_max_c for plan in found}


def _power_kw(jobs: QuerySet[JobCard]) -> dict[int, tuple[float, float]]:
    """Highest power before and after, found in the same way. What a book says was not measured here."""
    rows = (
        PowerPoint.objects.filter(curve__job__in=jobs)
        .exclude(curve__kind="book")
        .order_by()
        .values_list("curve__job", "curve__kind", "curve__phase", "curve__at", "curve")
        .annotate(highest=Max(F("torque_nm") * F("speed_rpm")))
    )
    newest: dict[tuple[int, str], dict[str, float]] = {}
    for job, kind, phase, _at, _curve, torque_times_speed in sorted(rows, key=lambda row: (row[3], row[4])):
        newest.setdefault((job, kind), {})[phase] = torque_times_speed / RPM_NM_PER_KW
    powers: dict[int, tuple[float, float]] = {}
    for (job, _), by_phase in sorted(newest.items(), key=lambda item: item[0][1] == "brake"):
        if {"before", "after"} <= by_phase.keys():
            powers[job] = (by_phase["before"], by_phase["after"])
    return powers


@transaction.atomic
def keep_outcomes(jobs: QuerySet[JobCard]) -> int:
    """Work the outcomes of these jobs out anew and keep them, in a fixed number of queries."""
    highest, limits, powers = _exhaust_highest_c(jobs), _exhaust_limit_c(jobs), _power_kw(jobs)
    rows = [
        Outcome(
            job_id=pk,
            exhaust_highest_c=highest.get(pk),
            exhaust_limit_c=limits.get(pk),
            power_before_kw=powers.get(pk, (None, None))[0],
            power_after_kw=powers.get(pk, (None, None))[1],
        )
        for pk in jobs.order_by().values_list("pk", flat=True)
    ]
    fields = ["exhaust_highest_c", "exhaust_limit_c", "power_before_kw", "power_after_kw"]
    Outcome.objects.bulk_create(rows, 500, update_conflicts=True, unique_fields=["job"], update_fields=fields)
    return len(rows)


def forget_outcome(instance: JobEvent, **_: object) -> None:
    """Whatever happens to a job after its hand-over makes its outcome doubtful: the next review works it out anew.

    Called for every event row, in the same transaction as the change that the event tells of.
    """
    if instance.job.stage == "handed_over":
        Outcome.objects.filter(pk=instance.job_id).delete()


def keep_missing_outcomes() -> int:
    """Jobs that were handed over and have no outcome yet."""
    handed_over = JobCard.objects.filter(stage="handed_over", hand_over__isnull=False).order_by()
    found = list(handed_over.exclude(pk__in=Outcome.objects.values("pk")).values_list("pk", flat=True))
    for start in range(0, len(found), 500):
        keep_outcomes(JobCard.objects.filter(pk__in=found[start : start + 500]))
    return len(found)
