"""Smoke tests and full-load curves judged: a word, what it stands on, and what they say for the causes.

A curve at the wheels is compared with what the plan leaves of itself behind the driveline, a range; where nobody wrote
down where it holds, the range goes up to the whole. Nothing is taken off or added as if it had been measured.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from django.utils import timezone
from django.utils.translation import gettext as _

from measurements.bench.curves.models import PowerCurve
from measurements.bench.dyno.models import DynoTest
from measurements.bench.dyno.runs import FLYWHEEL, TAKE_OFF, WHEELS
from measurements.bench.smoke.actions import meter_error
from measurements.bench.smoke.models import SmokeTest
from measurements.bench.smoke.page import SmokePage
from measurements.bench.smoke.standard import meter_error_per_m
from measurements.proving.models import ProvingRun
from measurements.readings.gauges import curve_gauge_notes, overdue_notes
from measurements.verdict.checks import Finding, Limit, Measured, judge_reading, tolerance_of, worst
from measurements.verdict.findings import Told, bands_and_limits
from measurements.verdict.plan_side import Bands
from measurements.verdict.telling import tell
from shop.jobs.models import JobCard
from sizing.physics.engine.power import RPM_NM_PER_KW
from sizing.physics.limits.values import ON
from sizing.plans.models import Plan
from sizing.said import Said, together

# What reaches the wheels of what the flywheel gives: 10 to 18 % are lost on the way, from memory; vehicles differ.
WHEEL_SHARE = (0.82, 0.90)
SHARE_NOTES = {WHEELS: "curve.at_wheels", "": "curve.place_not_known", TAKE_OFF: "curve.at_take_off"}
SHARES = {FLYWHEEL: (1.0, 1.0), TAKE_OFF: (0.92, 1.0), WHEELS: WHEEL_SHARE, "": (WHEEL_SHARE[0], 1.0)}
CURVED = ("torque_nm", "power_kw")


class JudgedSmoke(SmokePage):
    """A smoke test as a verdict: the word against its own recorded limit."""

    @property
    def word(self) -> str:
        return self.outcome.word if self.is_done else ""

    @property
    def sentence(self) -> str:
        return self.outcome.sentence if self.is_done else _("Not finished.")

    @property
    def error_per_m(self) -> float | None:
        """Half width of the mean as absorption coefficient, whatever the limit is stated in."""
        if self.outcome.mean_per_m is None:
            return None
        error = meter_error(self.test, self.test.measured_per_m())
        return meter_error_per_m(self.outcome.mean_per_m) if error is None else error

    @property
    def gauge_notes(self) -> list[Said]:
        meter = self.test.meter
        notes = overdue_notes(meter, timezone.localdate(self.test.at)) if meter else []
        if self.meter_beyond_range:
            notes.append(Said("gauge.snap_beyond_range", {"gauge": str(meter)}))
        return notes

    @property
    def findings(self) -> list[Finding]:
        """What it says of smoke, for the causes."""
        found, bound = self.outcome, self.test.bound
        if not self.is_done or found.mean_per_m is None or found.state == "unsteady":
            return []
        limit = Limit("smoke_k_per_m", bound.value, self.test.limit_source) if bound and bound.quantity == "k" else None
        measured = Measured("smoke_k_per_m", found.mean_per_m, "tail_pipe", self.error_per_m)
        return [Finding(measured, self.word, limit=limit, limit_word=self.word)]


@dataclass(frozen=True)
class JudgedCurve:
    """A full-load curve against the plan: its worst speed and its highest power."""

    curve: PowerCurve
    told: list[Told]
    why_none: str = ""

    @cached_property
    def word(self) -> str:
        return worst(t.word for t in self.told)

    @property
    def findings(self) -> list[Finding]:
        return [t.finding for t in self.told]

    @property
    def test(self) -> DynoTest | None:
        return getattr(self.curve, "dyno", None)

    @property
    def place(self) -> str:
        return place_of(self.curve)

    @property
    def gauge_notes(self) -> list[Said]:
        return curve_gauge_notes(self.curve)


def place_of(curve: PowerCurve) -> str:
    """Where a curve holds; empty when nobody wrote it down."""
    test = getattr(curve, "dyno", None)
    return test.place if test else {"brake": "flywheel", "book": "flywheel", "road": "wheels"}.get(curve.kind, "")


def half_width_nm(curve: PowerCurve, torque_nm: float, own: float | None) -> float | None:
    """Of one point: its own, or else the share that was entered for the whole curve."""
    if own is not None:
        return own
    return None if curve.uncertainty_pct is None else torque_nm * curve.uncertainty_pct / 100


def _widened(band: tuple[float, float] | None, place: str) -> tuple[float, float] | None:
    least, most = SHARES[place]
    return band and (band[0] * least, band[1] * most)


def _how_far(finding: Finding) -> float:
    """Distance to the plan in its own tolerance, past a limit counting as far as it is past."""
    far = abs(finding.difference or 0.0) / tolerance_of(finding.quantity, finding.measured.value)
    return (far if finding.word != ON else 0.0) + (1.0 if finding.beyond else 0.0)


def judge_curve(curve: PowerCurve, bands: Mapping[float, Bands], limits: list[Limit]) -> JudgedCurve:
    """Judge torque at each speed and power at its highest; `bands` by speed, as the plan has them."""
    place = place_of(curve)
    torque: list[tuple[float, Finding]] = []
    power: list[tuple[float, Finding]] = []
    for point in curve.points.all():
        half = half_width_nm(curve, point.torque_nm, point.uncertainty_nm)
        known = bands.get(point.speed_rpm, {})
        to_kw = point.speed_rpm / RPM_NM_PER_KW
        for slug, factor, found in (("torque_nm", 1.0, torque), ("power_kw", to_kw, power)):
            measured = Measured(slug, point.torque_nm * factor, "flywheel", None if half is None else half * factor)
            found.append((point.speed_rpm, judge_reading(measured, _widened(known.get(slug), place), limits)))
    said = [x for x in torque if x[1].word]
    if not said:
        return JudgedCurve(
            curve,
            [],
            _("From a book, not measured here.")
            if curve.kind == "book"
            else _("The plan does not speak of these speeds."),
        )
    picked = [max(said, key=lambda x: (_how_far(x[1]), x[1].measured.value))]
    picked += (
        [max((x for x in power if x[1].band), key=lambda x: x[1].measured.value)]
        if any(x[1].band for x in power)
        else []
    )
    note = [Said(SHARE_NOTES[place])] if place in SHARE_NOTES else []
    told = [Told(f, Said("curve.at", {"speed_rpm": round(speed), "what": tell(f)})) for speed, f in picked]
    last = told[-1]
    return JudgedCurve(curve, [*told[:-1], Told(last.finding, together([last.said, *note]))])


@dataclass(frozen=True)
class Tests:
    """What was tested on a job beside its readings."""

    smoke: list[JudgedSmoke]
    curves: list[JudgedCurve]

    @property
    def word(self) -> str:
        return worst([*(s.word for s in self.smoke), *(c.word for c in self.curves)])

    @property
    def findings(self) -> list[Finding]:
        return [
            *(f for test in self.smoke for f in test.findings),
            *(f for curve in self.curves for f in curve.findings),
        ]

    def of_run(self, run: ProvingRun) -> "Tests":
        return Tests(
            [s for s in self.smoke if s.test.run_id == run.pk], [c for c in self.curves if c.curve.run_id == run.pk]
        )

    def before(self) -> "Tests":
        return Tests(
            [s for s in self.smoke if s.test.phase == "before"], [c for c in self.curves if c.curve.phase == "before"]
        )

    @property
    def last_smoke(self) -> JudgedSmoke | None:
        return next((s for s in reversed(self.smoke) if s.is_done), None)


def _judged(curves: Iterable[PowerCurve], plan: Plan | None) -> list[JudgedCurve]:
    curves = list(curves)
    mine = [c for c in curves if c.phase == "after" and c.kind != "book"]
    if plan is None or not mine:
        return [
            JudgedCurve(
                c,
                [],
                _("Before the fit: kept to compare with.") if c.phase == "before" else _("No plan to compare it with."),
            )
            for c in curves
        ]
    bands, limits = bands_and_limits(plan, {p.speed_rpm for c in mine for p in c.points.all()})
    why = {"book": _("From a book, not measured here.")}
    return [
        judge_curve(c, bands, limits)
        if c in mine
        else JudgedCurve(c, [], why.get(c.kind, _("Before the fit: kept to compare with.")))
        for c in curves
    ]


def all_tests(job: JobCard, plan_of: dict[int, Plan]) -> Tests:
    """Every test of a job, a curve after the fit judged by the plan of its run."""
    smoke = [JudgedSmoke(test) for test in SmokeTest.objects.of(job).with_snaps()]
    by_run: dict[int | None, list[PowerCurve]] = {}
    for curve in PowerCurve.objects.of(job).with_points():
        by_run.setdefault(curve.run_id, []).append(curve)
    judged = [c for run, curves in by_run.items() for c in _judged(curves, plan_of.get(run) if run else None)]
    return Tests(smoke, sorted(judged, key=lambda c: (c.curve.at, c.curve.pk)))


def run_tests(run: ProvingRun) -> Tests:
    smoke = [JudgedSmoke(test) for test in SmokeTest.objects.filter(run=run).with_snaps()]
    return Tests(smoke, _judged(run.curves.with_points(), run.plan))
