"""Everything the reading sheet of a job shows: which side of the fit, which run, which steps, what was usual."""

from dataclasses import dataclass
from uuid import UUID

from measurements.phone.models import Act
from measurements.proving.models import ProvingRun
from measurements.readings.instruments import Instrument
from measurements.readings.models import Point, Reading
from measurements.readings.steps import WARM_OIL_C, RunStep, proposed_steps, rated_speed_rpm
from measurements.verdict.checks import Limit
from measurements.verdict.findings import PointVerdict, current_plan, judge_all
from measurements.verdict.limit_tables import TOP_RPM
from measurements.verdict.plan_side import engine_limits, plan_limits
from shop.jobs.models import JobCard
from shop.jobs.stages import ORDER
from sizing.plans.models import Plan

PHASES = dict(Point.PHASES)
ALWAYS_IN_VIEW = ("coolant_temperature_c", "oil_pressure_kpa")


@dataclass(frozen=True)
class ReadingSheet:
    job: JobCard
    phase: str
    run: ProvingRun | None
    plan: Plan | None
    verdicts: list[PointVerdict]
    steps: list[RunStep]
    withdrawn: list[Point]
    warm: str = ""  # "oil" when warm oil was read, "unreadable" when it was written down that it cannot be
    cooled_down: bool = False

    @property
    def points(self) -> list[Point]:
        return [v.point for v in self.verdicts]

    @property
    def next_step(self) -> str:
        """The first proposed step that nobody has read yet."""
        return next((s.slug for s in self.steps if not s.done), "other")

    @property
    def stop_limits(self) -> list[Limit]:
        """Where to stop, always in view: what the plan sets, then coolant and oil pressure, which any engine has."""
        of_plan = plan_limits(self.plan, self.phase) if self.plan else []
        named = {limit.quantity for limit in of_plan}
        of_any = [x for x in engine_limits(TOP_RPM) if x.quantity in ALWAYS_IN_VIEW and x.quantity not in named]
        return [limit for limit in [*of_plan, *of_any] if limit.stop_beyond is not None]

    def verdict_of(self, point_id: UUID) -> PointVerdict | None:
        return next((v for v in self.verdicts if v.point.pk == point_id), None)


def usual_phase(job: JobCard) -> str:
    """Before the strip readings are the baseline, once the job is proving they prove."""
    return "after" if job.stage in ORDER and ORDER.index(job.stage) >= ORDER.index("proving") else "before"


def reading_sheet_of(job: JobCard, phase: str) -> ReadingSheet:
    run = ProvingRun.objects.of(job).with_people().undecided().last() if phase == "after" else None
    plan = run.plan if run else current_plan(job)
    points = Point.objects.of(job).filter(phase=phase)
    points = points.filter(run=run) if phase == "after" else points
    verdicts = judge_all(points.with_readings(), plan)
    taken = {(v.point.speed_rpm, v.point.load_pct) for v in verdicts}
    taken_back = Point.everything.of(job).filter(phase=phase).withdrawn()
    withdrawn = list(taken_back.filter(run=run) if phase == "after" else taken_back)
    steps = proposed_steps(rated_speed_rpm(job, plan), taken)
    return ReadingSheet(job, phase, run, plan, verdicts, steps, withdrawn, *_warmth(run, [v.point for v in verdicts]))


def _warmth(run: ProvingRun | None, points: list[Point]) -> tuple[str, bool]:
    """Whether the engine of this run is warm enough for full load, and whether it was idled down at the end."""
    if run is None:
        return "", False
    steps = {act.content.get("step") for act in Act.objects.steps_of(run)}
    warm = any(r.quantity == "oil_temperature_c" and r.value >= WARM_OIL_C for p in points for r in p.standing())
    return ("oil" if warm else "unreadable" if "oil_unreadable" in steps else ""), "cool_down" in steps


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
