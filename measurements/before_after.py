"""The before-and-after page of a job: what is compared with what."""

from dataclasses import dataclass

import numpy as np

from measurements.compare import CurveGain, Pair, Stop, Value, curve_gain, pairs
from measurements.findings import PointVerdict, current_plan, judge_all
from measurements.models import Point, PowerCurve, ProvingRun
from shop.models import JobCard
from sizing.models import Plan
from sizing.physics.power import power_kw
from sizing.quantities import QUANTITIES

MEASURED_WAYS = ("brake", "drum", "road")


@dataclass(frozen=True)
class Curve:
    """A curve as it is drawn, torque and power over speed, with its highest of both."""

    row: PowerCurve
    speeds_rpm: list[float]
    torque_nm: list[float]
    power_kw: list[float]

    @property
    def top_torque(self) -> tuple[float, float]:
        return max(zip(self.torque_nm, self.speeds_rpm, strict=True))

    @property
    def top_power(self) -> tuple[float, float]:
        return max(zip(self.power_kw, self.speeds_rpm, strict=True))

    @property
    def uncertainty_of_top_torque(self) -> float | None:
        return None if self.row.uncertainty_pct is None else self.top_torque[0] * self.row.uncertainty_pct / 100

    @property
    def uncertainty_of_top_power(self) -> float | None:
        return None if self.row.uncertainty_pct is None else self.top_power[0] * self.row.uncertainty_pct / 100

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
    curves: list[Curve]
    before: Curve | None
    after: Curve | None
    gain: CurveGain | None

    @property
    def unlike(self) -> list[str]:
        """What makes the two curves hard to compare."""
        if not (self.before and self.after):
            return []
        said = []
        one, other = self.before.row, self.after.row
        if one.kind != other.kind:
            said.append(f"The two were found in different ways: {one.get_kind_display()} before, {other.get_kind_display()} after.")
        said += [f"{c.get_phase_display().capitalize()}: from a book, not measured here." for c in (one, other) if c.kind == "book"]
        if one.uncertainty_pct is None or other.uncertainty_pct is None:
            said.append("How exact they are is not known for both.")
        return said

    @property
    def gains(self) -> list[tuple[float, float, float, float]]:
        if self.gain is None:
            return []
        rows = (self.gain.speeds_rpm, self.gain.before_nm, self.gain.after_nm, self.gain.gain_pct)
        return [tuple(float(x) for x in row) for row in zip(*rows, strict=True)]


def stop_of(verdict: PointVerdict) -> Stop:
    point = verdict.point
    values = {
        t.quantity: Value(t.reading.value, t.finding.measured.uncertainty, t.reading.place, t.word) for t in verdict.told
    }
    return Stop(point.speed_rpm, point.load_pct, values, point.air_temperature_c, point.air_pressure_kpa)


def _curve(row: PowerCurve) -> Curve:
    speeds = [p.speed_rpm for p in row.points.all()]
    torque = [p.torque_nm for p in row.points.all()]
    return Curve(row, speeds, torque, np.round(power_kw(torque, speeds), 3).tolist())


def _newest(curves: list[Curve], phase: str, run: ProvingRun | None, kind: str = "") -> Curve | None:
    """The newest of a phase, one that was measured before one from a book, one of the same kind first of all."""
    own = [c for c in curves if c.row.phase == phase and (phase == "before" or run is None or c.row.run_id in (run.pk, None))]
    return max(own, key=lambda c: (c.row.kind == kind, c.row.kind in MEASURED_WAYS, c.row.at), default=None)


def before_after(job: JobCard, run_number: int | None = None) -> BeforeAfter:
    """Baseline against one proving run, the last one unless another is asked for."""
    runs = list(ProvingRun.objects.of(job).with_people())
    run = next((r for r in runs if r.number == run_number), runs[-1] if runs else None)
    points = list(Point.objects.of(job).with_readings())
    plan = run.plan if run else current_plan(job)
    before = judge_all([p for p in points if p.phase == "before"], None)
    after = judge_all([p for p in points if p.phase == "after" and run and p.run_id == run.pk], plan)
    found = pairs(map(stop_of, before), map(stop_of, after), list(QUANTITIES))
    curves = [_curve(row) for row in PowerCurve.objects.of(job).with_points()]
    last = _newest(curves, "after", run)
    first = _newest(curves, "before", run, last.row.kind if last else "")
    gain = curve_gain(first.points, last.points) if first and last else None
    return BeforeAfter(job, runs, run, plan, found, curves, first, last, gain)
