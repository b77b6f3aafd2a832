"""Judging stored points against the plan they belong to: fetches bands and limits, hands them to checks."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from django.db.models import prefetch_related_objects
from django.utils import timezone
from django.utils.translation import gettext as _

from measurements.proving.models import ProvingRun
from measurements.readings.gauges import gauge_notes
from measurements.readings.models import Point, Reading
from measurements.verdict.cause_rules import CAUSES, HEALTH
from measurements.verdict.causes import Suspect, suspects
from measurements.verdict.checks import Finding, Limit, Measured, judge_point, worst
from measurements.verdict.plan_side import Bands, bands_at, engine_limits, plan_limits, steady_smoke_limits, stop_advice
from measurements.verdict.telling import tell
from shop.jobs.models import JobCard
from sizing.physics.limits.values import ON, STOP
from sizing.plans.models import Plan
from sizing.said import Said, together


@dataclass(frozen=True)
class Told:
    """One judged reading as a page shows it."""

    finding: Finding
    said: Said
    reading: Reading | None = None

    @property
    def sentence(self) -> str:
        return str(self.said)

    @property
    def word(self) -> str:
        return self.finding.word

    @property
    def quantity(self) -> str:
        return self.finding.quantity


@dataclass(frozen=True)
class PointVerdict:
    point: Point
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


def limits_for(
    plan: Plan | None, phase: str, speed_rpm: float, load_pct: float, of_plan: list[Limit] | None = None
) -> list[Limit]:
    """Every limit at a point. Whoever asks for many points of one plan hands in `of_plan`, worked out once."""
    limits = engine_limits(speed_rpm)
    if plan is not None:
        limits += plan_limits(plan, phase) if of_plan is None else of_plan
        limits += steady_smoke_limits(plan, speed_rpm, load_pct)
    return limits


@dataclass(frozen=True)
class _Found:
    """A point with its standing readings and what they were found to be."""

    point: Point
    standing: dict[tuple[str, str], Reading]
    findings: list[Finding]


def _find_all(points: Iterable[Point], plan: Plan | None) -> list[_Found]:
    points = list(points)
    if plan is not None:
        prefetch_related_objects([plan], "inputs", "own_limits")
    speeds = {p.speed_rpm for p in points if p.phase == "after"}
    bands = bands_at(plan, speeds) if plan is not None and speeds else {}
    of_plan = {phase: plan_limits(plan, phase) for phase in {p.phase for p in points}} if plan is not None else {}
    found = []
    for point in points:
        standing = {(r.quantity, r.place): r for r in point.standing()}
        limits = limits_for(plan, point.phase, point.speed_rpm, point.load_pct, of_plan.get(point.phase))
        expected = bands.get(point.speed_rpm, {}) if point.phase == "after" else {}
        findings = judge_point([measured_of(r) for r in standing.values()], expected, limits, point.load_pct)
        if point.phase == "before":  # there is no plan to be on yet, only limits to be near or past
            findings = [replace(f, word="" if f.word == ON else f.word) for f in findings]
        found.append(_Found(point, standing, findings))
    return found


def _told(finding: Finding, reading: Reading) -> Told:
    notes = gauge_notes(reading.instrument, reading.value, timezone.localdate(reading.at))
    return Told(finding, together([tell(finding), *notes]), reading)


def _verdict(found: _Found, plan: Plan | None) -> PointVerdict:
    told = [_told(f, found.standing[f.quantity, f.measured.place]) for f in found.findings]
    word = worst(f.word for f in found.findings)
    why = ""
    if not word:
        before = found.point.phase == "before"
        why = (
            _("Before the fit: kept to compare with.")
            if before
            else _("There is nothing in the plan to compare this with.")
        )
    return PointVerdict(
        found.point,
        word,
        told,
        suspects(found.findings, with_figures=True, table=HEALTH if found.point.phase == "before" else CAUSES),
        plan,
        why,
    )


def judge_all(points: Iterable[Point], plan: Plan | None) -> list[PointVerdict]:
    """Judge the readings that stand. After the fit `plan` is that of the run, and its bands count as well as limits."""
    return [_verdict(found, plan) for found in _find_all(points, plan)]


def bands_and_limits(
    plan: Plan, speeds_rpm: Iterable[float], phase: str = "after"
) -> tuple[dict[float, Bands], list[Limit]]:
    """What a plan says of full load at some speeds, and what it allows at any."""
    prefetch_related_objects([plan], "inputs", "own_limits")
    return bands_at(plan, speeds_rpm), plan_limits(plan, phase)


def points_findings(run: ProvingRun) -> list[Finding]:
    """What the readings of a run were found to be, without the people who read."""
    return [f for found in _find_all(run.points.with_values(), run.plan) for f in found.findings]


def beyond_stop(run: ProvingRun) -> list[Said]:
    """What is said of each reading of the run that stands beyond a stop limit. Needs only the limits, not the match."""
    found = []
    prefetch_related_objects([run.plan], "inputs", "own_limits")
    of_plan = plan_limits(run.plan, "after")
    for point in run.points.with_values():
        limits = limits_for(run.plan, "after", point.speed_rpm, point.load_pct, of_plan)
        limits = [limit for limit in limits if limit.stop_beyond is not None]
        values = [measured_of(r) for r in point.standing()]
        at = {"point": {"way": "point", "speed_rpm": point.speed_rpm, "load_pct": point.load_pct}}
        findings = judge_point(values, {}, limits, point.load_pct)
        found += [Said("stop.at_point", {**at, "what": tell(f)}) for f in findings if f.word == STOP]
    return found
