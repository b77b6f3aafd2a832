"""What a plan page says: verdict in a sentence, limits with what is wrong first, charts, figures over speed."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from sizing.drawing.plots import Chart
from sizing.physics.limits.checks import LimitCheck
from sizing.physics.limits.parts import PART_DEFAULTS
from sizing.physics.limits.values import NEAR, OFF, STOP
from sizing.physics.plan.data import PlanInputs, PlanResult
from sizing.plans.answer.charts import charts_of
from sizing.plans.bench.rows import BenchAnswer, bench_answer
from sizing.plans.cases import Case
from sizing.plans.inputs import HANGS_ON, MEASURE
from sizing.plans.solve import Known, bands, check_case, known_inputs, limits_of, not_held, worked_out
from sizing.units.figures import bare_unit, figure, gap, number
from sizing.words import in_words

Bands = dict[str, tuple[np.ndarray, np.ndarray]]


@dataclass(frozen=True)
class ShownLimit:
    verdict: str
    label: str
    value: str
    unit: str
    limit: str
    margin: str
    at_speed: str
    source: str
    why: str
    note: str = ""


@dataclass
class PlanAnswer:
    """Either figures or, in `trouble`, the reason why there are none."""

    trouble: str = ""
    verdict: str = ""
    sentence: str = ""
    headline: list[tuple[str, str, str]] = field(default_factory=list)  # what, value with unit, beside it
    limits: list[ShownLimit] = field(default_factory=list)
    not_held: list[tuple[str, str]] = field(default_factory=list)  # a limit, and what to measure so that it can be held
    charts: list[Chart] = field(default_factory=list)
    table_head: list[tuple[str, str]] = field(default_factory=list)
    table: list[list[str]] = field(default_factory=list)
    known: dict[str, Known] = field(default_factory=dict)
    band_trouble: str = ""
    bench: BenchAnswer | None = None

    @property
    def guessed_count(self) -> int:
        return sum(item.origin == "guessed" for item in self.known.values())


def answer(case: Case) -> PlanAnswer:
    """Work a case out. Never raises for what was typed: the reason stands in the answer."""
    try:
        known = known_inputs(case)
        found = worked_out(case, known)
        inputs, after, before = found.inputs, found.after, found.before
        checks = check_case(case, inputs, after)
    except ValueError as error:
        return PlanAnswer(trouble=in_words(str(error)))
    band, band_trouble = _bands_or_reason(case, after.speed_rpm)
    head, rows = figures_table(inputs, before, after)
    return PlanAnswer(
        verdict=checks[0].verdict,
        sentence=plan_sentence(checks),
        headline=headline(before, after, band),
        limits=[limit_row(check) for check in checks],
        not_held=[
            (PART_DEFAULTS[name].label, in_words(MEASURE[HANGS_ON[name]])) for name in not_held(case, inputs, after)
        ],
        charts=charts_of(case, inputs, before, after, band, limits_of(case)),
        table_head=head,
        table=rows,
        known=known,
        band_trouble=band_trouble,
        bench=bench_answer(case, after),
    )


def _bands_or_reason(case: Case, speeds: Iterable[float]) -> tuple[Bands, str]:
    try:
        return bands(case, speeds), ""
    except ValueError as error:
        return {}, in_words(str(error))


def plan_sentence(checks: Sequence[LimitCheck]) -> str:
    """What is met and what is not, the worst first."""
    worst = [check for check in checks if check.verdict in (STOP, OFF)]
    near = [check for check in checks if check.verdict == NEAR]
    met = len(checks) - len(worst) - len(near)
    if not worst and not near:
        return f"All {met} limits are met. {_nearest(checks[0])}"
    parts = [_missed(check) for check in worst]
    if near:
        verb = "is" if len(near) == 1 else "are"
        parts.append(f"{_list([check.label for check in near])} {verb} met with little in hand")
    parts.append(f"{met} of {len(checks)} limits are met with room" if met else "no limit is met with room")
    return in_words("; ".join(parts))


def _missed(check: LimitCheck) -> str:
    side = "below" if check.value < check.limit else "above"
    return (
        f"{check.label} is {figure(check.value, check.unit)}{_at(check)}, "
        f"{gap(check.margin, check.unit)} {side} the limit of {figure(check.limit, check.unit)}"
    )


def _nearest(check: LimitCheck) -> str:
    return (
        f"The nearest is {check.label.lower()}: {figure(check.value, check.unit)}{_at(check)}, "
        f"{gap(check.margin, check.unit)} in hand."
    )


def _at(check: LimitCheck) -> str:
    return f" at {check.at_speed_rpm:,.0f} rpm" if check.at_speed_rpm else ""


def _list(words: Sequence[str]) -> str:
    lowered = [words[0], *[word.lower() for word in words[1:]]]
    return lowered[0] if len(lowered) == 1 else f"{', '.join(lowered[:-1])} and {lowered[-1]}"


def limit_row(check: LimitCheck) -> ShownLimit:
    gauge = " gauge" if check.name == "boost_max_kpa" else ""
    in_hand = "in hand" if check.margin >= 0 else "too low" if check.value < check.limit else "too high"
    return ShownLimit(
        check.verdict,
        check.label,
        number(check.value, check.unit),
        f"{bare_unit(check.unit)}{gauge}",
        f"{figure(check.limit, check.unit)}{gauge}",
        f"{gap(check.margin, check.unit)} {in_hand}",
        _at(check),
        check.source,
        check.why,
        _note(check),
    )


def _note(check: LimitCheck) -> str:
    """What an estimate leaves open, and the remedy where there is one."""
    if check.remedy_delivery_mm3 is not None:
        return (
            f"Remedy: a boost compensator, or a smoke limit on the bench, that holds the pump to {check.remedy_delivery_mm3:.0f} mm³ a "
            "stroke until boost is there keeps lambda at its limit (common practice)."
        )
    if check.uncertainty > 0 and abs(check.margin) <= check.uncertainty + check.edge:
        suffix = f" {bare_unit(check.unit)}".rstrip()
        low, high = (number(check.value + side * check.uncertainty, check.unit) for side in (-1, 1))
        why = "its measure is a range" if check.name in HANGS_ON else "the map is an estimate"
        return f"Not sure: {why}, and the true value may lie between {low} and {high}{suffix}."
    return ""


def headline(before: PlanResult, after: PlanResult, band: Bands) -> list[tuple[str, str, str]]:
    rows = []
    for name, words, unit in (("torque_nm", "Most torque", "Nm"), ("power_kw", "Most power", "kW")):
        old, new = getattr(before, name), getattr(after, name)
        at = int(np.argmax(new))
        beside = f"at {after.speed_rpm[at]:,.0f} rpm; as built, at this place, {figure(float(np.max(old)), unit)}"
        if name in band:
            low, high = (float(end[at]) for end in band[name])
            beside += f"; {number(low, unit)} to {figure(high, unit)} by what is not known for sure"
        rows.append((words, figure(float(new[at]), unit), beside))
    return rows


_COLUMNS = (
    ("boost_kpa", "Boost, gauge", "kPa"),
    ("charge_temperature_c", "Charge temperature", "°C"),
    ("delivery_mm3", "Delivery", "mm³/stroke"),
    ("lambda_ratio", "Lambda", ""),
    ("exhaust_temperature_c", "Exhaust before turbine", "°C"),
    ("mean_pressure_kpa", "Mean pressure", "kPa"),
)


def figures_table(
    inputs: PlanInputs, before: PlanResult, after: PlanResult
) -> tuple[list[tuple[str, str]], list[list[str]]]:
    """A dozen speeds at most: heads with unit, then text cells."""
    head = [("Speed", "rpm")] + [(label, bare_unit(unit)) for _, label, unit in _COLUMNS]
    for label, unit in (("Torque", "Nm"), ("Power", "kW")):
        head += [(f"{label}, planned", bare_unit(unit)), (f"{label}, as built", bare_unit(unit))]
    step = 500 if float(inputs.column("rated_speed_rpm")) > 3000 else 250
    rows = []
    for i, speed in enumerate(after.speed_rpm):
        if speed % step and i != len(after.speed_rpm) - 1:
            continue
        cells = [number(float(getattr(after, name)[i]), unit) for name, _, unit in _COLUMNS]
        for name, unit in (("torque_nm", "Nm"), ("power_kw", "kW")):
            cells += [number(float(getattr(result, name)[i]), unit) for result in (after, before)]
        rows.append([f"{speed:,.0f}", *cells])
    return head, rows
