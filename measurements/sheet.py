"""Everything the reading sheet of a job shows: which side of the fit, which run, which steps, what was usual."""

from dataclasses import dataclass
from uuid import UUID

from measurements.checks import Limit
from measurements.findings import PointVerdict, current_plan, judge_all
from measurements.models import Instrument, Point, ProvingRun, Reading
from measurements.plan_side import plan_limits
from measurements.steps import Step, proposed_steps, rated_speed_rpm
from shop.models import JobCard
from shop.stages import ORDER
from sizing.models import Plan

PHASES = dict(Point.PHASES)


@dataclass(frozen=True)
class Sheet:
    job: JobCard
    phase: str
    run: ProvingRun | None
    plan: Plan | None
    verdicts: list[PointVerdict]
    steps: list[Step]

    @property
    def points(self) -> list[Point]:
        return [v.point for v in self.verdicts]

    @property
    def next_step(self) -> str:
        """The first proposed step that nobody has read yet."""
        return next((s.slug for s in self.steps if not s.done), "other")

    @property
    def stop_limits(self) -> list[Limit]:
        """Those that the plan sets, to be kept in view; the usual ones of any engine stand behind them."""
        return [limit for limit in plan_limits(self.plan, self.phase) if limit.stop_beyond is not None] if self.plan else []

    def verdict_of(self, point_id: UUID) -> PointVerdict | None:
        return next((v for v in self.verdicts if v.point.pk == point_id), None)


def usual_phase(job: JobCard) -> str:
    """Before the strip readings are the baseline, once the job is proving they prove."""
    return "after" if job.stage in ORDER and ORDER.index(job.stage) >= ORDER.index("proving") else "before"


def sheet_of(job: JobCard, phase: str) -> Sheet:
    run = ProvingRun.objects.of(job).with_people().undecided().last() if phase == "after" else None
    plan = run.plan if run else current_plan(job)
    points = Point.objects.of(job).filter(phase=phase)
    points = points.filter(run=run) if phase == "after" else points
    verdicts = judge_all(points.with_readings(), plan)
    taken = {(v.point.speed_rpm, v.point.load_pct) for v in verdicts}
    return Sheet(job, phase, run, plan, verdicts, proposed_steps(rated_speed_rpm(job, plan), taken))


def usual_places_and_gauges(job: JobCard, phase: str) -> dict[str, object]:
    """Where and with what each quantity was read last on this job, to be picked beforehand on the next sheet."""
    usual: dict[str, object] = {}
    for reading in Reading.objects.of(job).filter(point__phase=phase).order_by("-at")[:60]:
        usual.setdefault(f"place_{reading.quantity}", reading.place)
        if reading.instrument_id:
            usual.setdefault(f"gauge_{reading.quantity}", reading.instrument_id)
    return usual


def gauges() -> list[Instrument]:
    return list(Instrument.objects.in_use())
