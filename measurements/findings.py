"""Judging stored points against the plan they belong to: fetches bands and limits, hands them to checks."""

from collections.abc import Iterable
from dataclasses import dataclass

from measurements.causes import Suspect, suspects
from measurements.checks import STOP, Finding, Limit, Measured, judge_point, sentence, worst
from measurements.models import Point, ProvingRun, Reading
from measurements.plan_side import bands_at, engine_limits, plan_limits, smoke_limits, stop_advice
from shop.models import JobCard
from sizing.models import Plan
from sizing.quantities import QUANTITIES
from sizing.templatetags.quantities import bare_unit, number
from sizing.templatetags.quantities import difference as signed_difference
from sizing.templatetags.quantities import unit as unit_of


def show(value: float, slug: str) -> str:
    return f"{number(value, slug)} {unit_of(slug)}".strip()


def show_difference(value: float, slug: str) -> str:
    return f"{signed_difference(value, slug).lstrip('+−')} {bare_unit(slug)}".strip()


def tell(finding: Finding) -> str:
    return sentence(finding, QUANTITIES[finding.quantity].label, show, show_difference)


@dataclass(frozen=True)
class Told:
    """One judged reading as a page shows it."""

    finding: Finding
    sentence: str
    reading: Reading | None = None

    @property
    def word(self) -> str:
        return self.finding.word

    @property
    def quantity(self) -> str:
        return self.finding.quantity


@dataclass(frozen=True)
class PointVerdict:
    point: Point | None
    word: str
    told: list[Told]
    suspects: list[Suspect]
    plan: Plan | None = None
    why_none: str = ""

    @property
    def is_stop(self) -> bool:
        return self.word == STOP

    @property
    def stops(self) -> list[Told]:
        return [t for t in self.told if t.word == STOP]

    @property
    def advice(self) -> list[str]:
        """What to do now, when something is beyond a stop limit."""
        return stop_advice({t.quantity for t in self.stops})


def current_plan(job: JobCard) -> Plan | None:
    row = job.job_plans.filter(is_current=True).select_related("plan").first()
    return row.plan if row else None


def measured_of(reading: Reading) -> Measured:
    uncertainty = reading.instrument.uncertainty if reading.instrument else None
    return Measured(reading.quantity, reading.value, reading.place, uncertainty)


def limits_for(plan: Plan | None, phase: str, speed_rpm: float, load_pct: float) -> list[Limit]:
    limits = engine_limits(speed_rpm)
    if plan is not None:
        limits += plan_limits(plan, phase) + smoke_limits(plan, speed_rpm, load_pct)
    return limits


def judge_values(
    plan: Plan | None, phase: str, speed_rpm: float, load_pct: float, values: Iterable[Measured]
) -> list[Finding]:
    """Before the fit there is nothing to compare with, only limits; after it the plan's bands count too."""
    bands = bands_at(plan, speed_rpm) if plan is not None and phase == "after" else {}
    return judge_point(values, bands, limits_for(plan, phase, speed_rpm, load_pct), load_pct)


def judge(point: Point, plan: Plan | None) -> PointVerdict:
    """Judge the readings of a point that stand. After the fit `plan` is that of its run."""
    standing = {(r.quantity, r.place): r for r in point.standing()}
    findings = judge_values(plan, point.phase, point.speed_rpm, point.load_pct, [measured_of(r) for r in standing.values()])
    told = [Told(f, tell(f), standing[f.quantity, f.measured.place]) for f in findings]
    word = worst(f.word for f in findings)
    why = ""
    if not word:
        why = "Before the fit: kept to compare with." if point.phase == "before" else "There is nothing in the plan to compare this with."
    return PointVerdict(point, word, told, suspects(findings), plan, why)


def judge_run(run: ProvingRun) -> list[PointVerdict]:
    return [judge(point, run.plan) for point in run.points.with_readings()]


def run_verdict(run: ProvingRun) -> str:
    return worst(verdict.word for verdict in judge_run(run))


def beyond_stop(run: ProvingRun) -> list[str]:
    """A sentence for each reading of the run that stands beyond a stop limit. Needs only the limits, not the match."""
    texts = []
    for point in run.points.with_readings():
        limits = [x for x in limits_for(run.plan, "after", point.speed_rpm, point.load_pct) if x.stops]
        values = [measured_of(r) for r in point.standing()]
        texts += [f"At {point}: {tell(f)}" for f in judge_point(values, {}, limits, point.load_pct) if f.word == STOP]
    return texts
