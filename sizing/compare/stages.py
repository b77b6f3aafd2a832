"""Two stages of one engine side by side: as it is now and with a cooler later, or this plan beside another."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from sizing.drawing.plots import Chart, Line
from sizing.physics.choice.stages import boost_for_air_kpa
from sizing.physics.plan.data import PlanInputs, PlanResult
from sizing.plans.cases import Case
from sizing.plans.solve import check_case, known_inputs, worked_out
from sizing.units.figures import bare_unit, figure, gap, number, to_shown
from sizing.words import in_words

FIGURES = (
    ("boost_kpa", "Boost, gauge", "kPa"),
    ("charge_temperature_c", "Charge temperature", "°C"),
    ("air_flow_kg_s", "Air", "g/s"),
    ("delivery_mm3", "Fuel", "mm³/stroke"),
    ("lambda_ratio", "Lambda", ""),
    ("exhaust_temperature_c", "Exhaust before turbine", "°C"),
    ("torque_nm", "Torque", "Nm"),
    ("power_kw", "Power", "kW"),
    ("peak_pressure_bar", "Peak cylinder pressure", "bar"),
)
AT_SHARES = (0.6, 1.0)  # of rated speed: about the most torque, and the most power


@dataclass(frozen=True)
class Stage:
    title: str
    case: Case
    inputs: PlanInputs
    result: PlanResult
    verdict: str


@dataclass(frozen=True)
class StageRow:
    label: str
    unit: str
    first: str
    second: str
    change: str


@dataclass
class StagePair:
    """Either tables or, in `trouble`, the reason why there are none."""

    titles: tuple[str, str]
    trouble: str = ""
    verdicts: tuple[str, str] = ("", "")
    needed: str = ""
    tables: list[tuple[str, list[StageRow]]] = field(default_factory=list)  # engine speed in words
    charts: list[Chart] = field(default_factory=list)


def stages_beside(first: tuple[str, Case], second: tuple[str, Case]) -> StagePair:
    """Never raises for what was given: the reason stands in the answer."""
    titles = (first[0], second[0])
    try:
        old, new = (_stage(*item) for item in (first, second))
        return StagePair(
            titles,
            verdicts=(old.verdict, new.verdict),
            needed=_boost_needed(old, new),
            tables=[(f"{speed:,.0f} rpm", _rows(old, new, speed)) for speed in _speeds(old, new)],
            charts=_charts(old, new),
        )
    except ValueError as error:
        return StagePair(titles, trouble=in_words(str(error)))


def _stage(title: str, case: Case) -> Stage:
    known = known_inputs(case)
    found = worked_out(case, known)
    return Stage(title, case, found.inputs, found.after, check_case(case, found.inputs, found.after)[0].verdict)


def _speeds(old: Stage, new: Stage) -> list[float]:
    rated = min(float(stage.inputs.column("rated_speed_rpm")) for stage in (old, new))
    return [round(rated * share / 50) * 50.0 for share in AT_SHARES]


def _at(stage: Stage, name: str, speed: float) -> float:
    value = float(np.interp(speed, stage.result.speed_rpm, getattr(stage.result, name)))
    return value * 1000 if name == "air_flow_kg_s" else value


def _rows(old: Stage, new: Stage, speed: float) -> list[StageRow]:
    rows = []
    for name, label, unit in FIGURES:
        a, b = _at(old, name, speed), _at(new, name, speed)
        shown = gap(b - a, unit)
        moved = any(character in "123456789" for character in shown)
        change = f"{'+' if b > a else '−'}{shown}" if moved else "the same"
        rows.append(StageRow(label, bare_unit(unit), number(a, unit), number(b, unit), change))
    return rows


def _boost_needed(old: Stage, new: Stage) -> str:
    """How much boost the second needs for the air that the first has at rated speed, in words."""
    speed = _speeds(old, new)[-1]
    air = float(np.interp(speed, old.result.speed_rpm, old.result.air_flow_kg_s))
    had = _at(old, "boost_kpa", speed)
    try:
        needs = boost_for_air_kpa(new.inputs, air, speed)
    except ValueError:
        return ""
    return (
        f"For the {air * 1000:.0f} g/s of air that the first has with {figure(had, 'kPa')} of boost at {speed:,.0f} rpm, "
        f"the second needs {figure(needs, 'kPa')}."
    )


def _charts(old: Stage, new: Stage) -> list[Chart]:
    charts = []
    for slug, name, label, unit in (
        ("stage-charge", "charge_temperature_c", "Charge temperature", "°C"),
        ("stage-exhaust", "exhaust_temperature_c", "Exhaust before turbine", "°C"),
        ("stage-torque", "torque_nm", "Torque", "Nm"),
    ):
        lines = [_line(stage, name, unit, role) for stage, role in ((old, "before"), (new, "plan"))]
        charts.append(
            Chart(slug, _title(label, name, unit, old, new), "Engine speed, rpm", f"{label}, {bare_unit(unit)}", lines)
        )
    return charts


def _line(stage: Stage, name: str, unit: str, role: str) -> Line:
    speeds = [float(speed) for speed in stage.result.speed_rpm]
    return Line("second" if role == "plan" else "first", speeds, _shown(getattr(stage.result, name), unit), role)


def _shown(values: Sequence[float], unit: str) -> list[float]:
    return [round(float(value), 4) for value in to_shown(np.asarray(values, dtype=float), unit)]


def _title(label: str, name: str, unit: str, old: Stage, new: Stage) -> str:
    a, b = (float(np.max(getattr(stage.result, name))) for stage in (old, new))
    if figure(a, unit) == figure(b, unit):
        return f"{label} is at most {figure(a, unit)} in both"
    return f"{label} is at most {figure(a, unit)} in the first, {figure(b, unit)} in the second"
