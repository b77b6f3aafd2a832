"""Whether a turbo of the catalogue does what the plan wants: one sentence, limits, map and figures over speed."""

from dataclasses import dataclass, field, fields, replace

import numpy as np

from sizing.catalogue.show import map_state
from sizing.drawing.plots import Chart, Line
from sizing.physics.air import ZERO_CELSIUS_K
from sizing.physics.limits.checks import LimitCheck
from sizing.physics.limits.match_checks import check_match
from sizing.physics.limits.values import NEAR, OFF, ON, STOP, WORST_FIRST, judge
from sizing.physics.match.solve import Match
from sizing.plans.answer.answers import ShownLimit, limit_row
from sizing.plans.answer.matching import Matched, matched
from sizing.plans.cases import Case
from sizing.plans.solve import check_case, known_inputs, limits_of, sourced, turbo_limits_of, worked_out
from sizing.units.figures import bare_unit, figure, gap, number
from sizing.words import in_words

# What the turbo decides; the plan's other limits stand with the plan.
FOLLOWS_BOOST = {
    "boost_max_kpa",
    "lambda_min_ratio",
    "lambda_before_boost_ratio",
    "exhaust_temperature_max_c",
    "charge_temperature_max_c",
}
SHORT_BY_KPA = 5.0  # less is lost in the gauge


@dataclass
class MatchAnswer:
    """Either figures or, in `trouble`, the reason why there are none."""

    turbo: str = ""
    trouble: str = ""
    verdict: str = ""
    sentence: str = ""
    is_estimated: bool = False
    notes: tuple[str, ...] = ()
    failures: list[str] = field(default_factory=list)
    limits: list[ShownLimit] = field(default_factory=list)
    chart: Chart | None = None
    table_head: list[tuple[str, str]] = field(default_factory=list)
    table: list[list[str]] = field(default_factory=list)

    @property
    def wrong(self) -> list[ShownLimit]:
        return [row for row in self.limits if row.verdict != ON]

    @property
    def met(self) -> list[ShownLimit]:
        return [row for row in self.limits if row.verdict == ON]


def match_answer(case: Case) -> MatchAnswer:
    """Never raises for what was typed: the reason stands in the answer."""
    if case.turbo is None:
        return MatchAnswer(trouble="No turbo is chosen in this plan yet.")
    try:
        known = known_inputs(case)
        found = matched(case.injection, known, case.turbo)
        planned = worked_out(case, known).wished
        checks = turbo_checks(case, found)
    except ValueError as error:
        return MatchAnswer(str(case.turbo), in_words(str(error)))
    wanted = np.interp(found.match.plan.speed_rpm, planned.speed_rpm, planned.boost_kpa)
    head, rows = _table(found.match, wanted)
    return MatchAnswer(
        turbo=str(case.turbo),
        verdict=_verdict(found, checks, wanted),
        sentence=_sentence(case, found, wanted, checks),
        is_estimated=found.basis.is_estimated,
        notes=found.basis.notes,
        failures=[in_words(f.why) for f in found.match.failures],
        limits=[limit_row(check) for check in checks],
        chart=_chart(found),
        table_head=head,
        table=rows,
    )


def turbo_checks(case: Case, found: Matched) -> list[LimitCheck]:
    """Limits of the turbo and those of the engine that its boost moves, what is wrong first."""
    line = _where(found.match, found.match.solved & (found.match.plan.torque_nm > 0))
    checks = sourced(case, check_match(line, turbo_limits_of(case)))
    checks += [check for check in check_case(case, found.inputs, line.plan) if check.name in FOLLOWS_BOOST]
    checks += _wheel_speed(case, line)
    return sorted(
        checks, key=lambda check: (WORST_FIRST.index(check.verdict), check.margin / (abs(check.limit) or 1.0))
    )


def _where(match: Match, kept: np.ndarray) -> Match:
    """The operating line at some of its speeds. Unloaded and unsolved speeds say nothing about a limit at full load."""
    plan = replace(match.plan, **{f.name: getattr(match.plan, f.name)[kept] for f in fields(match.plan)})
    arrays = {f.name: getattr(match, f.name)[kept] for f in fields(match) if f.name not in {"plan", "failures"}}
    return replace(match, plan=plan, **arrays)


def _wheel_speed(case: Case, line: Match) -> list[LimitCheck]:
    limit = case.turbo.max_speed_rpm if case.turbo else None
    if limit is None or not np.any(line.wheel_speed_rpm > 0):
        return []
    at = int(np.argmax(line.wheel_speed_rpm))
    value = float(line.wheel_speed_rpm[at])
    return [
        LimitCheck(
            "wheel_speed_max_rpm",
            "Wheel speed",
            value,
            limit,
            "rpm",
            limit - value,
            float(line.plan.speed_rpm[at]),
            judge(value, limit, 0.0, "max", 0.05 * limit, 0.05 * limit),
            f"catalogue: {case.turbo}",
            "Past its highest speed a wheel bursts or its bearings fail.",
        )
    ]


def _reaches(found: Matched, wanted: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Under load: speeds at which the boost wanted is reached, and those at which it is short."""
    line = found.match.plan
    asked = (line.speed_rpm <= found.inputs.column("rated_speed_rpm")) & found.match.solved & (wanted >= SHORT_BY_KPA)
    short = asked & (line.boost_kpa < wanted - SHORT_BY_KPA)
    return asked & ~short, short


def _verdict(found: Matched, checks: list[LimitCheck], wanted: np.ndarray) -> str:
    worst = checks[0].verdict if checks else NEAR
    reached, short = _reaches(found, wanted)
    if found.match.failures or (short.any() and not reached.any()):
        worst = min(worst, OFF, key=WORST_FIRST.index)
    elif short.any():
        worst = min(worst, NEAR, key=WORST_FIRST.index)
    return worst


def _sentence(case: Case, found: Matched, wanted: np.ndarray, checks: list[LimitCheck]) -> str:
    parts = [_boost_words(case, found, wanted), _ceiling_words(case, found)]
    if found.match.failures:
        count = len(found.match.failures)
        parts.append(f"at {count} of {len(wanted)} speeds no balance is found, as said below")
    wrong = [check.label.lower() for check in checks if check.verdict in (STOP, OFF) and check.name != "boost_max_kpa"]
    if wrong:
        parts.append(f"past its limit: {', '.join(wrong)}")
    return in_words("; ".join(part for part in parts if part))


def _boost_words(case: Case, found: Matched, wanted: np.ndarray) -> str:
    line = found.match.plan
    reached, short = _reaches(found, wanted)
    most = figure(float(np.max(wanted)), "kPa")
    if not reached.any() and not short.any():
        return f"the plan wants no boost at the speeds at which the {case.turbo} finds a balance"
    if not short.any():
        return f"the {case.turbo} reaches the boost wanted, up to {most}, at every speed from {line.speed_rpm[reached][0]:,.0f} rpm"
    worst = int(np.argmax(np.where(short, wanted - line.boost_kpa, -np.inf)))
    short_by = (
        f"by {gap(float(wanted[worst] - line.boost_kpa[worst]), 'kPa')} at {line.speed_rpm[worst]:,.0f} rpm "
        f"({number(float(line.boost_kpa[worst]), 'kPa')} of {figure(float(wanted[worst]), 'kPa')})"
    )
    where = f"the {case.turbo} is short of the boost wanted at {_speed_words(line.speed_rpm[short])}, most {short_by}"
    after = reached & (line.speed_rpm > line.speed_rpm[short][-1])
    return f"{where}, and reaches it from {line.speed_rpm[after][0]:,.0f} rpm" if after.any() else where


def _speed_words(speeds: np.ndarray) -> str:
    return f"{speeds[0]:,.0f} rpm" if len(speeds) == 1 else f"{speeds[0]:,.0f} to {speeds[-1]:,.0f} rpm"


def _ceiling_words(case: Case, found: Matched) -> str:
    """A turbo without a wastegate floats: what it reaches when the engine is revved out."""
    line, solved = found.match.plan, found.match.solved
    if found.basis.turbo.has_wastegate:
        share = found.match.wastegate_share
        open_at = line.speed_rpm[solved & (share > 0)]
        if not len(open_at):
            return "its wastegate stays shut wherever a balance is found"
        return f"its wastegate opens from {open_at[0]:,.0f} rpm and holds {figure(float(found.inputs.column('boost_kpa')), 'kPa')}"
    ceiling = limits_of(case).boost_max_kpa
    at = int(np.argmax(np.where(solved, line.boost_kpa, -np.inf)))
    top = float(line.boost_kpa[at])
    side = "above" if top > ceiling else "below"
    last = int(np.flatnonzero(solved)[-1])
    return (
        f"without a wastegate it floats to {figure(top, 'kPa')} at {line.speed_rpm[at]:,.0f} rpm, "
        f"{gap(top - ceiling, 'kPa')} {side} the ceiling of {figure(ceiling, 'kPa')}, and stands at "
        f"{figure(float(line.boost_kpa[last]), 'kPa')} at {line.speed_rpm[last]:,.0f} rpm, where the governor holds the fuel back"
    )


def _chart(found: Matched) -> Chart | None:
    chart, match = found.basis.turbo.compressor, found.match
    if chart is None:
        return None
    lines = [
        Line(f"{speed:,.0f}", _rounded(flow), _rounded(ratio), "map")
        for speed, (flow, ratio, _) in zip(chart.line_speeds_rpm, chart.lines, strict=True)
    ]
    edge = Line("surge", [n.x[0] for n in lines], [n.y[0] for n in lines], "limit")
    solved = match.solved & (match.plan.torque_nm > 0)  # past it the governor has taken the fuel away
    own = Line(
        "engine", _rounded(match.corrected_flow_kg_s[solved]), _rounded(match.plan.pressure_ratio[solved]), "plan"
    )
    kind = "estimated" if chart.origin == "estimated" else "own"
    left = solved & (match.plan.boost_kpa >= 10) & (match.surge_margin_ratio < 0)
    place = (
        f"stands left of the surge edge at {_speed_words(match.plan.speed_rpm[left])}"
        if left.any()
        else "stays right of the surge edge wherever there is boost"
    )
    title = f"On the turbo's {kind} map the engine's line {place}; speed lines in rpm"
    state = map_state(chart.reference_temperature_c + ZERO_CELSIUS_K, chart.reference_pressure_kpa)
    return Chart("match-map", title, f"Flow at {state}, kg/s", "Pressure ratio", [*lines, edge, own])


def _rounded(values: np.ndarray) -> list[float]:
    return [round(float(value), 5) for value in values]


def _table(match: Match, wanted: np.ndarray) -> tuple[list[tuple[str, str]], list[list[str]]]:
    plan, has_map = match.plan, bool(np.any(match.wheel_speed_rpm > 0))
    columns = [
        ("Boost wanted", "kPa", np.maximum(wanted, 0.0)),
        ("Boost reached", "kPa", plan.boost_kpa),
        ("Torque", "Nm", plan.torque_nm),
        ("Lambda", "", plan.lambda_ratio),
        ("Exhaust before turbine", "°C", plan.exhaust_temperature_c),
        ("Pressure before turbine, absolute", "kPa", plan.exhaust_pressure_kpa),
        ("Around the wheel by the wastegate", "%", match.wastegate_share * 100),
    ]
    if has_map:
        columns += [
            ("Wheel speed", "rpm", match.wheel_speed_rpm),
            ("Compressor efficiency", "", match.compressor_efficiency_ratio),
            ("Distance from surge", "%", match.surge_margin_ratio * 100),
            ("Distance from choke", "%", match.choke_margin_ratio * 100),
        ]
    head = [("Speed", "rpm"), *((label, bare_unit(unit)) for label, unit, _ in columns)]
    rows = []
    for i, speed in enumerate(plan.speed_rpm):
        cells = [
            number(float(values[i]), unit) if match.solved[i] or label == "Boost wanted" else "no balance"
            for label, unit, values in columns
        ]
        rows.append([f"{speed:,.0f}", *cells])
    return head, rows
