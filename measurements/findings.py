"""Judging stored points against the plan they belong to: fetches bands and limits, hands them to checks."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from django.db.models import prefetch_related_objects

from measurements.causes import Suspect, suspects
from measurements.checks import ON, STOP, Finding, Limit, Measured, Wording, judge_point, sentence, worst
from measurements.models import Point, ProvingRun, Reading
from measurements.plan_side import Bands, bands_at, engine_limits, plan_limits, smoke_limits, stop_advice
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


def show_span(low: float, high: float, slug: str) -> str:
    shown = [number(low, slug), number(high, slug)]
    return f"{shown[0] if shown[0] == shown[1] else ' to '.join(shown)} {unit_of(slug)}".strip()


WORDING = Wording(show, show_span, show_difference)


def tell(finding: Finding) -> str:
    return sentence(finding, QUANTITIES[finding.quantity].label, WORDING)


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


def _judge(point: Point, plan: Plan | None, bands: Bands) -> PointVerdict:
    standing = {(r.quantity, r.place): r for r in point.standing()}
    limits = limits_for(plan, point.phase, point.speed_rpm, point.load_pct)
    findings = judge_point([measured_of(r) for r in standing.values()], bands, limits, point.load_pct)
    if point.phase == "before":  # there is no plan to be on yet, only limits to be near or past
        findings = [replace(f, word="" if f.word == ON else f.word) for f in findings]
    told = [Told(f, tell(f), standing[f.quantity, f.measured.place]) for f in findings]
    word = worst(f.word for f in findings)
    why = ""
    if not word:
        why = "Before the fit: kept to compare with." if point.phase == "before" else "There is nothing in the plan to compare this with."
    return PointVerdict(point, word, told, suspects(findings), plan, why)


def judge_all(points: Iterable[Point], plan: Plan | None) -> list[PointVerdict]:
    """Judge the readings that stand. After the fit `plan` is that of the run, and its bands count as well as limits."""
    points = list(points)
    if plan is not None:
        prefetch_related_objects([plan], "inputs", "own_limits")
    speeds = {p.speed_rpm for p in points if p.phase == "after"}
    bands = bands_at(plan, speeds) if plan is not None and speeds else {}
    return [_judge(p, plan, bands.get(p.speed_rpm, {}) if p.phase == "after" else {}) for p in points]


def judge_run(run: ProvingRun) -> list[PointVerdict]:
    return judge_all(run.points.with_readings(), run.plan)


def run_verdict(run: ProvingRun) -> str:
    return worst(verdict.word for verdict in judge_run(run))


def beyond_stop(run: ProvingRun) -> list[str]:
    """A sentence for each reading of the run that stands beyond a stop limit. Needs only the limits, not the match."""
    texts = []
    prefetch_related_objects([run.plan], "inputs", "own_limits")
    for point in run.points.with_readings():
        limits = [x for x in limits_for(run.plan, "after", point.speed_rpm, point.load_pct) if x.stop_beyond is not None]
        values = [measured_of(r) for r in point.standing()]
        texts += [f"At {point}: {tell(f)}" for f in judge_point(values, {}, limits, point.load_pct) if f.word == STOP]
    return texts
