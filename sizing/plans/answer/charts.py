"""The charts of a plan. Each title is a sentence that gives the chart's answer."""

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from sizing.drawing.map_lines import OnMap, speed_lines
from sizing.drawing.plots import Band, Chart, Line, map_chart
from sizing.physics.compressor.work import corrected_flow_kg_s
from sizing.physics.limits.values import Limits
from sizing.physics.plan.data import PlanInputs, PlanResult
from sizing.physics.plan.solve import air_at_place
from sizing.plans.cases import Case
from sizing.units.figures import bare_unit, figure, gap, to_shown

SPEED = "Engine speed, rpm"


def charts_of(
    case: Case,
    inputs: PlanInputs,
    before: PlanResult,
    after: PlanResult,
    bands: Mapping[str, tuple[np.ndarray, np.ndarray]],
    limits: Limits,
) -> list[Chart]:
    drawn = _Drawing(before, after, bands)
    charts = [
        drawn.over_speed("torque", "torque_nm", "Torque", "Nm", _rise("Most torque", "torque_nm", "Nm", before, after)),
        drawn.over_speed("power", "power_kw", "Power", "kW", _rise("Most power", "power_kw", "kW", before, after)),
        drawn.over_speed(
            "lambda",
            "lambda_ratio",
            "Lambda",
            "",
            _kept("Lambda", after.lambda_ratio, limits.lambda_min_ratio, "", after, np.less),
            limit=limits.lambda_min_ratio,
        ),
        drawn.over_speed(
            "exhaust",
            "exhaust_temperature_c",
            "Exhaust before turbine",
            "°C",
            _kept(
                "Exhaust temperature",
                after.exhaust_temperature_c,
                limits.exhaust_temperature_max_c,
                "°C",
                after,
                np.greater,
            ),
            limit=limits.exhaust_temperature_max_c,
        ),
        drawn.over_speed(
            "boost", "boost_kpa", "Boost, gauge", "kPa", _boost(after), limit=limits.boost_max_kpa, with_before=False
        ),
        drawn.over_speed(
            "charge",
            "charge_temperature_c",
            "Charge temperature",
            "°C",
            _kept(
                "Charge temperature",
                after.charge_temperature_c,
                limits.charge_temperature_max_c,
                "°C",
                after,
                np.greater,
            ),
            limit=limits.charge_temperature_max_c,
            with_before=False,
        ),
    ]
    on_map = _operating_line(case, inputs, after)
    return [*charts, on_map] if on_map else charts


class _Drawing:
    def __init__(self, before: PlanResult, after: PlanResult, bands: Mapping[str, tuple[np.ndarray, np.ndarray]]):
        self.before, self.after, self.bands = before, after, bands
        self.speeds = [float(speed) for speed in after.speed_rpm]

    def over_speed(
        self,
        slug: str,
        name: str,
        label: str,
        unit: str,
        title: str,
        limit: float | None = None,
        with_before: bool = True,
    ) -> Chart:
        lines = [Line("planned", self.speeds, _shown(getattr(self.after, name), unit), "plan")]
        if with_before:
            lines.append(Line("as built", self.speeds, _shown(getattr(self.before, name), unit), "before"))
        if limit is not None:
            ends = [self.speeds[0], self.speeds[-1]]
            lines.append(Line(f"limit {figure(limit, unit)}", ends, _shown([limit, limit], unit), "limit"))
        bands = []
        if name in self.bands:
            low, high = self.bands[name]
            bands.append(Band(self.speeds, _shown(low, unit), _shown(high, unit)))
        words = f"{label}, {bare_unit(unit)}".rstrip(", ")
        return Chart(slug, title, SPEED, words, lines, bands)


def _shown(values: Sequence[float] | np.ndarray, unit: str) -> list[float]:
    return [round(float(value), 4) for value in to_shown(np.asarray(values, dtype=float), unit)]


def _rise(words: str, name: str, unit: str, before: PlanResult, after: PlanResult) -> str:
    old, new = float(np.max(getattr(before, name))), float(np.max(getattr(after, name)))
    at = float(after.speed_rpm[int(np.argmax(getattr(after, name)))])
    if abs(new / old - 1) < 0.01:
        return f"{words} stays at {figure(old, unit)}"
    verb = "rises" if new > old else "falls"
    return f"{words} {verb} from {figure(old, unit)} to {figure(new, unit)}, at {at:,.0f} rpm"


def _kept(
    words: str,
    values: np.ndarray,
    limit: float,
    unit: str,
    result: PlanResult,
    is_worse: Callable[[np.ndarray, float], np.ndarray],
) -> str:
    """Whether a limit is kept over all speeds, and if not, where."""
    wrong = is_worse(values, limit)
    limit_text = f"its limit of {figure(limit, unit)}"
    side, past = ("above", "below") if is_worse is np.less else ("below", "above")
    if not wrong.any():
        margin = float(np.min(np.abs(values - limit)))
        return f"{words} stays {gap(margin, unit)} or more {side} {limit_text} at every speed"
    if wrong.all():
        return f"{words} is {past} {limit_text} at every speed"
    speeds = result.speed_rpm[wrong]
    if wrong[0] and not wrong[-1] and np.all(np.diff(wrong.astype(int)) <= 0):
        return f"{words} is {past} {limit_text} up to {speeds[-1]:,.0f} rpm"
    if wrong[-1] and not wrong[0] and np.all(np.diff(wrong.astype(int)) >= 0):
        return f"{words} is {past} {limit_text} from {speeds[0]:,.0f} rpm up"
    return f"{words} is {past} {limit_text} between {speeds[0]:,.0f} and {speeds[-1]:,.0f} rpm"


def _boost(after: PlanResult) -> str:
    most = float(np.max(after.boost_kpa))
    if most < 1:
        return "There is no boost in this plan"
    full = after.speed_rpm[after.boost_kpa >= 0.98 * most][0]
    return f"Full boost of {figure(most, 'kPa')} stands from {full:,.0f} rpm"


def _operating_line(case: Case, inputs: PlanInputs, after: PlanResult) -> Chart | None:
    """The engine's demand on the turbo's own map, where there is a map."""
    turbo = case.turbo
    points = list(turbo.map_points.all()) if turbo else []
    if turbo is None or not points:
        return None
    inlet_kpa = (
        after.manifold_pressure_kpa
        - after.boost_kpa
        - inputs.column("air_cleaner_loss_kpa") * (after.speed_rpm / inputs.column("rated_speed_rpm")) ** 2
    )
    _, dry_share = air_at_place(inputs)  # the wheel moves the moist air, of which the engine's flow is the dry part
    flow = corrected_flow_kg_s(
        after.air_flow_kg_s / dry_share,
        inputs.air_temperature_c,
        inlet_kpa,
        turbo.map_temperature_k - 273.15,
        turbo.map_pressure_kpa,
    )
    line = Line(
        "engine", [round(float(f), 5) for f in flow], [round(float(r), 4) for r in after.pressure_ratio], "plan"
    )
    return map_chart(points, _place_on_map(points, flow, after), line)


def _place_on_map(points: Sequence[OnMap], flow: np.ndarray, after: PlanResult) -> str:
    """Against the surge edge and the right-hand ends of the measured lines, by pressure ratio."""
    lines = list(speed_lines(points).values())
    surge = np.interp(after.pressure_ratio, [n[0].pressure_ratio for n in lines], [n[0].flow_kg_s for n in lines])
    highest = max(point.pressure_ratio for point in points)
    boosted = after.boost_kpa > 0.5 * np.max(after.boost_kpa)
    left = boosted & (flow < surge)
    right = boosted & (flow > max(point.flow_kg_s for point in points))
    if np.any(after.pressure_ratio > highest):
        return (
            f"The map ends at a pressure ratio of {highest:.2f}; the plan asks for {np.max(after.pressure_ratio):.2f}"
        )
    if left.any():
        return f"Under boost the engine stands left of the surge edge up to {after.speed_rpm[left][-1]:,.0f} rpm"
    if right.any():
        return f"The engine asks for more flow than the map has from {after.speed_rpm[right][0]:,.0f} rpm up"
    return "Under boost the engine's line stays inside the compressor map at every speed"
