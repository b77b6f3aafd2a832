"""From a stored plan to figures: which value each input has and where it comes from, then the physics.

What nobody knows is taken as its usual range and counts as guessed, so that a plan on guesses shows a wide band.
"""

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from typing import Any, TypeVar

import numpy as np

from sizing.catalogue.models import Plunger
from sizing.physics.air import density_kg_m3, standard_pressure_kpa
from sizing.physics.around.restriction import cleaner_loss_kpa
from sizing.physics.choice.chances import Chances, chances, draw, draw_ranges
from sizing.physics.errors import Floats, NoSolution, OutOfRange
from sizing.physics.limits.checks import LimitCheck, check_limits, in_order
from sizing.physics.limits.parts import PartFacts, PartLimits, check_parts
from sizing.physics.limits.pump_lines import BenchLimits, BenchPoint, check_bench, read_bench
from sizing.physics.limits.values import Limits, TurboLimits, usual_limits
from sizing.physics.match.solve import TurboFacts as PhysicsTurbo
from sizing.physics.match.solve import solve_match
from sizing.physics.plan.data import PlanInputs, PlanResult, Range
from sizing.physics.plan.solve import air_taken_kg_s, solve_plan, without_turbo
from sizing.plans.cases import Case, case_of, case_without_bench
from sizing.plans.inputs import NEEDED, PART_FACTS, PLAN_INPUTS, usual_range
from sizing.plans.models import Plan
from sizing.plans.turbo_basis import Basis, Measures, basis_of, measures_of

LIMIT_OF = {"line_lambda_min_ratio": "lambda_min_ratio"}  # a check that is held against the limit of another
DRAW_COUNT = 128
CHANCE_DRAW_COUNT = 2000
DRAW_SEED = 1
FEW_SPEEDS = 12
BAND_QUANTILES = (0.025, 0.975)
EXPECTED = (
    "boost_kpa",
    "charge_temperature_c",
    "exhaust_temperature_c",
    "lambda_ratio",
    "torque_nm",
    "power_kw",
    "delivery_mm3",
)


class Incomplete(ValueError):
    """The plan lacks facts without which no figure can be worked out; `missing` are their labels."""

    def __init__(self, missing: Sequence[str]):
        self.missing = list(missing)
        super().__init__(f"Not known yet: {', '.join(missing)}. A guess or a range will do; say that it is one.")


@dataclass(frozen=True)
class Known:
    """The range an input is taken to lie in."""

    low: float
    high: float
    origin: str
    source: str = ""  # the thing of the catalogue that it comes from

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2


def known_inputs(case: Case) -> dict[str, Known]:
    """Every input that has a value: typed, from a chosen part, or the usual range. Raises Incomplete."""
    missing = [PLAN_INPUTS[name].label for name in NEEDED if name not in case.given]
    if missing:
        raise Incomplete(missing)
    known = {name: Known(*given) for name, given in case.given.items() if name not in PART_FACTS}
    if case.plunger:
        _take_plunger(known, case.plunger)
    if case.cooler:
        _take(known, "cooler_effectiveness_ratio", case.cooler.effectiveness_ratio, case.cooler)
        _take(known, "cooler_pressure_loss_kpa", case.cooler.loss_kpa, case.cooler)
    for name in PLAN_INPUTS:
        usual = usual_range(name, case.injection)
        if usual and name not in known:
            known[name] = Known(*usual, "guessed")
    return _at_flow_of_engine(case, known)


def _take(known: dict[str, Known], name: str, value: float, part: object) -> None:
    """A figure of the catalogue, unless somebody typed one for this plan."""
    if name not in known:
        known[name] = Known(value, value, "book", str(part))


def _take_plunger(known: dict[str, Known], plunger: Plunger) -> None:
    """The chosen plunger is the plan's; a diameter that was stated for the engine is then the one as built."""
    if "plunger_diameter_mm" in known:
        known.setdefault("plunger_diameter_as_built_mm", known["plunger_diameter_mm"])
    known["plunger_diameter_mm"] = Known(plunger.diameter_mm, plunger.diameter_mm, "book", str(plunger))


def _at_flow_of_engine(case: Case, known: dict[str, Known]) -> dict[str, Known]:
    """Losses of the chosen cooler and air cleaner, from their rated flow to the engine's at rated speed."""
    cooler = case.cooler if known.get("cooler_pressure_loss_kpa", Known(0, 0, "")).source else None
    cleaner = case.air_cleaner if "air_cleaner_loss_kpa" not in case.given else None
    if not (cooler or cleaner):
        return known
    inputs = physics_inputs(case.injection, known)
    flow = _rated_air_flow_kg_s(inputs)
    if cooler:
        loss = cooler.loss_kpa * (flow / cooler.rated_flow_kg_s) ** 2
        known["cooler_pressure_loss_kpa"] = Known(loss, loss, "book", str(cooler))
    if cleaner:
        pressure = inputs.air_pressure_kpa or float(standard_pressure_kpa(inputs.altitude_m))
        density = float(density_kg_m3(pressure, inputs.air_temperature_c))
        volume_m3_h = flow / density * 3600
        loss = float(
            cleaner_loss_kpa(
                volume_m3_h, cleaner.rated_flow_m3_h, cleaner.loss_clean_kpa, cleaner.element_count, density
            )
        )
        known["air_cleaner_loss_kpa"] = Known(loss, loss, "book", str(cleaner))
    return known


def _rated_air_flow_kg_s(inputs: PlanInputs) -> float:
    return float(air_taken_kg_s(inputs, inputs.column("rated_speed_rpm")[None])[0])


def physics_inputs(injection: str, known: Mapping[str, Known]) -> PlanInputs:
    middles = {name: item.middle for name, item in known.items()}
    middles["cylinder_count"] = round(middles["cylinder_count"])
    return PlanInputs(injection=injection, **middles)


def inputs_of(plan: Plan | Case) -> PlanInputs:
    """The middle of every range, for one answer. Raises Incomplete, or OutOfRange of the physics."""
    case = case_without_bench(plan)
    return physics_inputs(case.injection, known_inputs(case))


def limits_of(plan: Plan | Case) -> Limits:
    """The usual limits of such an engine, with the owner's own in their place."""
    case = case_without_bench(plan)
    effectiveness = case.given.get("cooler_effectiveness_ratio", (0, 0, ""))[1]
    usual = usual_limits(case.injection, bool(case.cooler) or effectiveness > 0)
    return _with_own(case, usual)


def turbo_limits_of(case: Case) -> TurboLimits:
    return _with_own(case, TurboLimits())


Own = TypeVar("Own", Limits, TurboLimits, PartLimits, BenchLimits)


def _with_own(case: Case, usual: Own) -> Own:
    names = {field.name for field in fields(usual)}
    return replace(usual, **{name: value for name, (value, _) in case.own_limits.items() if name in names})


def part_facts_of(case: Case) -> PartFacts:
    """What is known of pump, air cleaner, pipes and oil; what is not stays unknown."""
    known = {name: case.given[name][:2] for name in PART_FACTS if name in case.given}
    if case.air_cleaner:
        known.setdefault("service_loss_kpa", (case.air_cleaner.loss_service_kpa,) * 2)
    return PartFacts(**known)


def speeds_of(inputs: PlanInputs) -> list[float]:
    """Round speeds from a quarter of rated speed up to it."""
    rated = float(inputs.column("rated_speed_rpm"))
    step = 100.0 if rated > 2000 else 50.0
    first = max(600.0, np.ceil(0.25 * rated / step) * step)
    speeds = [float(speed) for speed in np.arange(first, rated - step / 4, step)]
    return [*speeds, rated]


def solved(plan: Plan | Case, speeds: Sequence[float] | None = None) -> PlanResult:
    """The middle of a plan over speed: what its turbo does on the engine, or the boost wanted where no turbo is known."""
    case = case_without_bench(plan)
    inputs = inputs_of(case)
    return _line(inputs, measures_if_known(case), list(speeds) if speeds is not None else speeds_of(inputs))


def measures_if_known(case: Case) -> Measures | None:
    """Measures of the plan's turbo; None without a turbo, or where too little is known of it to solve it."""
    if case.turbo is None:
        return None
    measures = measures_of(case.turbo)
    return measures if _basis(measures) else None


def _basis(measures: Measures | None, efficiency_ratio: float = 0.6) -> Basis | None:
    try:
        return basis_of(measures, efficiency_ratio) if measures else None
    except ValueError:
        return None


def _line(inputs: PlanInputs, measures: Measures | None, speeds: Sequence[float]) -> PlanResult:
    basis = _basis(measures, float(inputs.column("turbine_efficiency_ratio")))
    return _with_turbo(inputs, basis.turbo if basis else None, speeds)


def _with_turbo(inputs: PlanInputs, turbo: PhysicsTurbo | None, speeds: Sequence[float]) -> PlanResult:
    """Where a turbo finds no balance at any speed its own panel says so; the plan then shows the boost wanted."""
    if turbo is not None:
        with suppress(NoSolution):
            return solve_match(inputs, turbo, speeds).plan
    return solve_plan(inputs, speeds)


def checked(plan: Plan | Case) -> list[LimitCheck]:
    """Each limit against the middle of the plan, what is wrong first; own limits carry the owner's source."""
    case = plan if isinstance(plan, Case) else case_of(plan)
    return check_case(case, inputs_of(case), solved(case))


def check_case(case: Case, inputs: PlanInputs, result: PlanResult) -> list[LimitCheck]:
    parts, _ = check_parts(result, inputs, part_facts_of(case), _with_own(case, PartLimits()))
    lines = check_bench(bench_points(case, result)[0], inputs, limits_of(case), _with_own(case, BenchLimits()))
    return sourced(case, in_order([*check_limits(result, inputs, limits_of(case)), *parts, *lines]))


def bench_points(case: Case, result: PlanResult) -> tuple[list[BenchPoint], str]:
    """What the bench read beside the plan; none, and why in words, where it does not speak of this plan."""
    if case.bench is None:
        return [], ""
    if case.bench.plunger != case.plunger:
        was, now = (str(one) if one else "the plunger as built" for one in (case.bench.plunger, case.plunger))
        return [], f"they were measured with {was}, and the plan has {now} now. Measure again with that one"
    try:
        return read_bench(case.bench.lines_mm3, result), ""
    except OutOfRange:
        wanted = float(result.delivery_mm3[-1])
        return (
            [],
            f"they are far from the {wanted:.0f} mm³ that the plan has at rated speed. Look at the readings again",
        )


def sourced(case: Case, checks: Sequence[LimitCheck]) -> list[LimitCheck]:
    """Own limits carry the owner's source."""
    owns = {check.name: LIMIT_OF.get(check.name, check.name) for check in checks}
    return [
        replace(check, source=f"own limit: {case.own_limits[owns[check.name]][1]}")
        if owns[check.name] in case.own_limits
        else check
        for check in checks
    ]


def not_held(case: Case, inputs: PlanInputs, result: PlanResult) -> list[str]:
    """Names of the part limits that nothing is known for."""
    return check_parts(result, inputs, part_facts_of(case), PartLimits())[1]


def ranged_inputs(injection: str, known: Mapping[str, Known]) -> PlanInputs:
    """The physics' inputs with every unknown as its range."""
    values = {
        name: item.middle if item.low == item.high else Range(item.low, item.high, item.origin)
        for name, item in known.items()
    }
    return PlanInputs(injection=injection, **values)


def bands(plan: Plan | Case, speeds: Iterable[float]) -> dict[str, tuple[Floats, Floats]]:
    """Between which values each figure lies at each speed, from the ranges of the inputs (95 of 100 draws)."""
    case = case_without_bench(plan)
    known = known_inputs(case)
    return _bands(case.injection, _in_order(known), measures_if_known(case), tuple(float(s) for s in speeds))


@dataclass(frozen=True)
class WorkedOut:
    """A case in the middle of its ranges, and the same engine as it was built, over the same speeds.

    `wished` takes the boost wanted as given; `after` is what the plan's turbo makes of it, where enough is known of it.
    """

    inputs: PlanInputs
    after: PlanResult
    before: PlanResult
    wished: PlanResult


def worked_out(case: Case, known: Mapping[str, Known]) -> WorkedOut:
    return _worked_out(case.injection, _in_order(known), measures_if_known(case))


@lru_cache(maxsize=64)
def _worked_out(injection: str, known: tuple[tuple[str, Known], ...], measures: Measures | None) -> WorkedOut:
    inputs = physics_inputs(injection, dict(known))
    speeds = speeds_of(inputs)
    wished = solve_plan(inputs, speeds)
    after = _line(inputs, measures, speeds) if measures else wished
    return WorkedOut(inputs, after, solve_plan(without_turbo(inputs), speeds), wished)


def chances_of(plan: Plan | Case) -> Chances:
    """How likely each limit is met, and what moves the answer most. Raises ValueError where the plan has no answer."""
    case = case_without_bench(plan)
    known = known_inputs(case)
    speeds = speeds_of(physics_inputs(case.injection, known))
    return _chances(
        case.injection, _in_order(known), measures_if_known(case), limits_of(case), turbo_limits_of(case), tuple(speeds)
    )


def _in_order(known: Mapping[str, Known]) -> tuple[tuple[str, Known], ...]:
    return tuple(sorted(known.items(), key=lambda item: item[0]))


@lru_cache(maxsize=64)
def _chances(
    injection: str,
    known: tuple[tuple[str, Known], ...],
    measures: Measures | None,
    limits: Limits,
    turbo_limits: TurboLimits,
    speeds: tuple[float, ...],
) -> Chances:
    basis, inputs = _basis(measures), ranged_inputs(injection, dict(known))
    turbo, ranges = (basis.turbo, basis.ranges) if basis else (None, None)
    return chances(inputs, limits, CHANCE_DRAW_COUNT, DRAW_SEED, speeds, turbo, ranges, turbo_limits)


@lru_cache(maxsize=256)
def _bands(
    injection: str, known: tuple[tuple[str, Known], ...], measures: Measures | None, speeds: tuple[float, ...]
) -> dict[str, tuple[Floats, Floats]]:
    inputs, basis = draw(ranged_inputs(injection, dict(known)), DRAW_COUNT, DRAW_SEED), _basis(measures)
    turbo = None
    if basis:
        unknown: dict[str, Any] = {  # by field of the turbo
            "turbine_efficiency_ratio": inputs.turbine_efficiency_ratio,
            **draw_ranges(basis.ranges, DRAW_COUNT, DRAW_SEED + 1),
        }
        turbo = replace(basis.turbo, **unknown)
    grid = _every_other(speeds) if turbo else list(speeds)
    result = _with_turbo(inputs, turbo, grid)
    found = {}
    for name in EXPECTED:
        ends = np.quantile(np.atleast_2d(getattr(result, name)), BAND_QUANTILES, axis=0)
        low, high = (np.interp(speeds, grid, np.broadcast_to(end, len(grid))) for end in ends)
        found[name] = (low, high)
    return found


def _every_other(speeds: tuple[float, ...]) -> list[float]:
    """With a turbo half of many speeds are solved and straight lines drawn between: bands are smoother than what they go around."""
    return list(speeds) if len(speeds) <= FEW_SPEEDS else sorted({*speeds[::2], speeds[-1]})


def expected_at(plan: Plan | Case, speed_rpm: float) -> dict[str, tuple[float, float]]:
    """The band at full load and one speed, by quantity. Raises ValueError where the plan has no answer.

    Between the round speeds of the plan the band is read off by straight lines, so that many readings cost one solve.
    """
    case = case_without_bench(plan)
    speeds = speeds_of(inputs_of(case))
    if not speeds[0] <= speed_rpm <= speeds[-1]:
        speeds = [float(speed_rpm)]
    found = bands(case, speeds)
    return {
        name: (float(np.interp(speed_rpm, speeds, low)), float(np.interp(speed_rpm, speeds, high)))
        for name, (low, high) in found.items()
    }
