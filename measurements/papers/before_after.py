"""The before-and-after page of a job: what is compared with what."""

from dataclasses import dataclass

import numpy as np

from measurements.bench.curves.models import PowerCurve
from measurements.papers.compare import AIR_APART_C, ComparedStop, CurveGain, Difference, Pair, Value, curve_gain, pairs
from measurements.proving.models import ProvingRun
from measurements.readings.gauges import curve_gauge_notes
from measurements.readings.models import Point
from measurements.verdict.bench_tests import JudgedSmoke, Tests, all_tests, half_width_nm, place_of
from measurements.verdict.findings import PointVerdict, current_plan, judge_all
from shop.jobs.models import JobCard
from sizing.physics.engine.power import power_kw
from sizing.plans.models import Plan
from sizing.units.quantities import QUANTITIES
from sizing.ways import word_of

MEASURED_WAYS = ("brake", "drum", "road")


@dataclass(frozen=True)
class CurveBeside:
    """A curve as it is drawn, torque and power over speed, with its highest of both."""

    row: PowerCurve
    speeds_rpm: list[float]
    torque_nm: list[float]
    power_kw: list[float]
    halves_nm: list[float | None]

    @property
    def place(self) -> str:
        return place_of(self.row)

    @property
    def test(self):
        return getattr(self.row, "dyno", None)

    @property
    def halves_kw(self) -> list[float | None]:
        return [
            None if h is None else float(power_kw(h, s)) for h, s in zip(self.halves_nm, self.speeds_rpm, strict=True)
        ]

    @property
    def top_torque(self) -> tuple[float, float]:
        return max(zip(self.torque_nm, self.speeds_rpm, strict=True))

    @property
    def top_power(self) -> tuple[float, float]:
        return max(zip(self.power_kw, self.speeds_rpm, strict=True))

    @property
    def uncertainty_of_top_torque(self) -> float | None:
        return self.halves_nm[self.speeds_rpm.index(self.top_torque[1])]

    @property
    def uncertainty_of_top_power(self) -> float | None:
        return self.halves_kw[self.speeds_rpm.index(self.top_power[1])]

    @property
    def points(self) -> list[tuple[float, float]]:
        return list(zip(self.speeds_rpm, self.torque_nm, strict=True))


@dataclass(frozen=True)
class BeforeAfter:
    job: JobCard
    runs: list[ProvingRun]
    run: ProvingRun | None
    plan: Plan | None
    pairs: list[Pair]
    curves: list[CurveBeside]
    before: CurveBeside | None
    after: CurveBeside | None
    gain: CurveGain | None
    tests: Tests

    @property
    def smoke_before(self) -> JudgedSmoke | None:
        return self.tests.before().last_smoke

    @property
    def smoke_after(self) -> JudgedSmoke | None:
        return self.tests.of_run(self.run).last_smoke if self.run else None

    @property
    def smoke_difference(self) -> Difference | None:
        """Mean absorption coefficient of two tests made in the same way; both meters count, as independent."""
        one, other = self.smoke_before, self.smoke_after
        if not (one and other) or one.test.procedure != other.test.procedure:
            return None
        before, after = (Value(s.outcome.mean_per_m, s.error_per_m, "tail_pipe", s.word) for s in (one, other))
        return Difference("smoke_k_per_m", before, after)

    @property
    def power_difference(self) -> Difference | None:
        """Highest power of the two curves, as measured."""
        return self._difference(lambda c: Value(c.top_power[0], c.uncertainty_of_top_power))

    @property
    def corrected_difference(self) -> Difference | None:
        """Highest power of both brought to standard air by the same standard; None where one could not be."""
        tests = [c.test for c in (self.before, self.after) if c]
        if (
            len(tests) < 2
            or any(t is None or t.corrected_kw is None for t in tests)
            or tests[0].standard != tests[1].standard
        ):
            return None
        return self._difference(lambda c: Value(c.test.corrected_kw, c.test.corrected_uncertainty_kw))

    @property
    def smokes(self) -> list[tuple[JudgedSmoke | None, str]]:
        return [(self.smoke_before, "Before"), (self.smoke_after, "After")]

    @property
    def powers(self) -> list[tuple[Difference | None, str]]:
        return [(self.power_difference, "As measured"), (self.corrected_difference, "In standard air")]

    @property
    def why_not_corrected(self) -> str:
        said = [
            c.test.refusal if c.test else "the air and the fuel of a curve were not written down"
            for c in (self.before, self.after)
            if c
        ]
        return next((text for text in said if text), "by different standards")

    def _difference(self, value) -> Difference | None:
        if not (self.before and self.after) or self.before.place != self.after.place:
            return None
        return Difference("power_kw", value(self.before), value(self.after))

    @property
    def shown_tests(self) -> Tests:
        """The tests of the run that is compared, for a paper."""
        return self.tests.of_run(self.run) if self.run else Tests([], [])

    @property
    def unlike(self) -> list[str]:
        """What makes the two curves hard to compare."""
        if not (self.before and self.after):
            return []
        said = []
        one, other = self.before.row, self.after.row
        if one.kind != other.kind:
            said.append(
                f"The two were found in different ways: {one.get_kind_display()} before, {other.get_kind_display()} after."
            )
        said += [f"{c.get_phase_display().capitalize()}: {note}" for c in (one, other) for note in curve_gauge_notes(c)]
        said += [
            f"{c.get_phase_display().capitalize()}: from a book, not measured here."
            for c in (one, other)
            if c.kind == "book"
        ]
        if self.before.place != self.after.place:
            where = [
                f"{c.row.phase} {'at the ' + word_of('curve_place', c.place) if c.place else 'at a place nobody wrote down'}"
                for c in (self.before, self.after)
            ]
            said.append(f"They hold at different places: {', '.join(where)}.")
        airs = [c.test.air_temperature_c if c.test else None for c in (self.before, self.after)]
        if None not in airs and abs(airs[0] - airs[1]) > AIR_APART_C and self.corrected_difference is None:
            said.append(
                f"Air was {airs[0]:.0f} °C before and {airs[1]:.0f} °C after, and the two could not be brought to the same air."
            )
        if one.uncertainty_pct is None or other.uncertainty_pct is None:
            said.append("How exact they are is not known for both.")
        return said

    @property
    def gains(self) -> list[tuple[float, float, float, float]]:
        if self.gain is None:
            return []
        rows = (self.gain.speeds_rpm, self.gain.before_nm, self.gain.after_nm, self.gain.gain_pct)
        return [tuple(float(x) for x in row) for row in zip(*rows, strict=True)]


def stop_of(verdict: PointVerdict) -> ComparedStop:
    point = verdict.point
    values = {
        t.quantity: Value(t.reading.value, t.finding.measured.uncertainty, t.reading.place, t.word)
        for t in verdict.told
    }
    return ComparedStop(point.speed_rpm, point.load_pct, values, point.air_temperature_c, point.air_pressure_kpa)


def _curve(row: PowerCurve) -> CurveBeside:
    speeds = [p.speed_rpm for p in row.points.all()]
    torque = [p.torque_nm for p in row.points.all()]
    halves = [half_width_nm(row, p.torque_nm, p.uncertainty_nm) for p in row.points.all()]
    return CurveBeside(row, speeds, torque, np.round(power_kw(torque, speeds), 3).tolist(), halves)


def _newest(curves: list[CurveBeside], phase: str, run: ProvingRun | None, kind: str = "") -> CurveBeside | None:
    """The newest of a phase, one that was measured before one from a book, one of the same kind first of all."""
    own = [
        c
        for c in curves
        if c.row.phase == phase and (phase == "before" or run is None or c.row.run_id in (run.pk, None))
    ]
    return max(own, key=lambda c: (c.row.kind == kind, c.row.kind in MEASURED_WAYS, c.row.at), default=None)


def before_after_of(job: JobCard, run_number: int | None = None) -> BeforeAfter:
    """Baseline against one proving run, the last one unless another is asked for."""
    runs = list(ProvingRun.objects.of(job).with_people())
    run = next((r for r in runs if r.number == run_number), runs[-1] if runs else None)
    points = list(Point.objects.of(job).with_readings())
    plan = run.plan if run else current_plan(job)
    before = judge_all([p for p in points if p.phase == "before"], None)
    after = judge_all([p for p in points if p.phase == "after" and run and p.run_id == run.pk], plan)
    found = pairs(map(stop_of, before), map(stop_of, after), list(QUANTITIES))
    tests = all_tests(job, {r.pk: r.plan for r in runs})
    curves = [_curve(judged.curve) for judged in tests.curves]
    last = _newest(curves, "after", run)
    first = _newest(curves, "before", run, last.row.kind if last else "")
    gain = curve_gain(first.points, last.points) if first and last else None
    return BeforeAfter(job, runs, run, plan, found, curves, first, last, gain, tests)
