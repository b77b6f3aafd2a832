"""Turbos of the catalogue with coolers and plungers on the engine of one plan: what is compared, and the ranking."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np

from sizing.catalogue.models import Cooler, Plunger, Turbo
from sizing.physics.around.placement import fit_envelope
from sizing.physics.choice.ranking import Candidate, Figures, Ranked, Weights, figures_of, rank
from sizing.physics.limits.values import Limits, TurboLimits, Verdict
from sizing.physics.plan.data import PlanInputs
from sizing.plans.cases import COOLER_INPUTS, Case, with_cooler, without_cooler
from sizing.plans.solve import Known, known_inputs, limits_of, physics_inputs, turbo_limits_of, worked_out
from sizing.plans.turbo_basis import Measures, basis_of, measures_of

MOST_COMBINATIONS = 10_000  # a few seconds' work while somebody waits
MOST_PLUNGERS = 6
AT_ITS_BEST = 0.8  # flow of a wheel at its best over its choke flow; common practice
ANY_EFFICIENCY = 0.6  # of the turbine, where only the compressor is looked at
SPEED_SHARES = (0.4, 0.55, 0.75, 1.0)


@dataclass(frozen=True)
class Wish:
    """What the person wants compared, and how it is weighed."""

    coolers: str = "own"  # "own": the plan's and none; "all": every one of the catalogue
    wastegate: str = ""
    in_stock_only: bool = False
    space_mm: tuple[float, float, float] | None = None
    weights: Weights = field(default_factory=Weights)


@dataclass(frozen=True)
class Combination:
    turbo: Turbo
    cooler: Cooler | None
    cooler_words: str
    plunger: Plunger | None
    price: float | None
    in_stock: bool


@dataclass
class Compared:
    ranked: list[tuple[Combination, Ranked]]
    left_out: list[tuple[Turbo, str]]
    turbo_count: int  # worked out
    plunger_note: str = ""
    plunger_count: int = 1


@dataclass(frozen=True)
class _Charging:
    """One way to cool the charge, as the physics takes it."""

    cooler: Cooler | None
    words: str
    effectiveness_ratio: float
    loss_kpa: float


def compared(
    case: Case, wish: Wish, turbos: Sequence[Turbo], coolers: Sequence[Cooler], plungers: Sequence[Plunger]
) -> Compared:
    """Work out and rank. Raises ValueError where the plan itself has no answer."""
    known = known_inputs(case)
    inputs = physics_inputs(case.injection, known)
    sizes, plunger_note = _plungers_that_count(case, inputs, plungers)
    known_turbos, left_out = _known_turbos(turbos, wish, float(inputs.column("turbine_efficiency_ratio")))
    charging = _charging(case, coolers if wish.coolers == "all" else [])
    chosen, too_far = _nearest(case, known, known_turbos, MOST_COMBINATIONS // (len(charging) * len(sizes)))
    combinations, candidates = _candidates(case, inputs, chosen, charging, sizes, wish)
    if not candidates:
        return Compared([], left_out + too_far, 0, plunger_note)
    found = _figures(_work(case, inputs, candidates, chosen))
    by_name = dict(zip((c.name for c in candidates), combinations, strict=True))
    ranked = rank(candidates, found, wish.weights)
    return Compared(
        [(by_name[row.candidate.name], row) for row in ranked],
        left_out + too_far,
        len(chosen),
        plunger_note,
        len(sizes),
    )


def _plungers_that_count(
    case: Case, inputs: PlanInputs, plungers: Sequence[Plunger]
) -> tuple[Sequence[Plunger | None], str]:
    """The sizes nearest to the plan's own. A delivery that was typed is the plan's plunger's; the others go by the square."""
    own = case.plunger
    if own is None:
        return [None], "No plunger is chosen in this plan, so its pump is not known: plungers are not compared."
    nearest = sorted({own, *plungers}, key=lambda p: (abs(p.diameter_mm - own.diameter_mm), p.diameter_mm))[
        :MOST_PLUNGERS
    ]
    nearest.sort(key=lambda p: p.diameter_mm)
    if inputs.delivery_mm3 is None or len(nearest) == 1:
        return nearest, ""
    return nearest, (
        f"The delivery of {float(inputs.column('delivery_mm3')):.0f} mm³ a stroke is taken for the plan's {own.diameter_mm:g} mm; other plungers "
        "deliver by the square of the diameters at equal rack (common practice)."
    )


def _delivery_mm3(case: Case, inputs: PlanInputs, plunger: Plunger | None) -> float | None:
    if plunger is None or case.plunger is None or inputs.delivery_mm3 is None:
        return None
    return float(inputs.column("delivery_mm3")) * (plunger.diameter_mm / case.plunger.diameter_mm) ** 2


def _known_turbos(
    turbos: Sequence[Turbo], wish: Wish, efficiency: float
) -> tuple[list[tuple[Turbo, Measures]], list[tuple[Turbo, str]]]:
    known, left_out = [], []
    for turbo in turbos:
        if wish.wastegate and turbo.wastegate != (wish.wastegate == "yes"):
            continue
        if wish.in_stock_only and not turbo.stock_count:
            continue
        measures = measures_of(turbo)
        try:
            basis_of(measures, efficiency)
        except ValueError as error:
            left_out.append((turbo, str(error)))
        else:
            known.append((turbo, measures))
    return known, left_out


def _nearest(
    case: Case, known: dict[str, Known], turbos: list[tuple[Turbo, Measures]], most: int
) -> tuple[list[tuple[Turbo, Measures]], list[tuple[Turbo, str]]]:
    """All, or as many as can be worked out at once: those whose compressor comes nearest to the air that the plan asks for.

    The others come back with what they are off by.
    """
    if len(turbos) <= most:
        return turbos, []
    plan = worked_out(case, known).wished
    air_c = known["air_temperature_c"].middle if "air_temperature_c" in known else 25.0
    at = int(np.argmax(plan.air_flow_kg_s))
    flow, inlet = float(plan.air_flow_kg_s[at]), float(plan.manifold_pressure_kpa[at] - plan.boost_kpa[at])
    scored = [(*_how_far_off(measures, flow, air_c, inlet), turbo, measures) for turbo, measures in turbos]
    scored.sort(key=lambda row: (row[0], str(row[2])))
    chosen = [(turbo, measures) for _, _, turbo, measures in scored[:most]]
    return chosen, [(turbo, words) for _, words, turbo, _ in scored[most:]]


def _how_far_off(measures: Measures, air_flow_kg_s: float, air_c: float, inlet_kpa: float) -> tuple[float, str]:
    """How far a compressor is from the air that is asked for, as a logarithm of flow, and in words."""
    chart = basis_of(measures, ANY_EFFICIENCY).turbo.compressor
    if chart is None:
        return float("inf"), "its compressor is not known, so others were looked at first"
    asked = float(chart.correct(air_flow_kg_s, air_c, inlet_kpa))
    passes = float(chart.choke_flow_kg_s(chart.line_speeds_rpm[-1]))
    side = "small" if passes < asked else "large"
    words = f"its wheel is further off (too {side}): it passes {passes:.3f} kg/s at most, and the engine asks for {asked:.3f} kg/s"
    return abs(float(np.log(AT_ITS_BEST * passes / asked))), words


def _charging(case: Case, coolers: Sequence[Cooler]) -> list[_Charging]:
    own = known_inputs(case)
    effectiveness, loss = (own[name].middle if name in own else 0.0 for name in COOLER_INPUTS)
    words = str(case.cooler) if case.cooler else "as typed in the plan" if effectiveness > 0 else "none"
    ways = [_Charging(case.cooler, words, effectiveness, loss)]
    if effectiveness > 0:
        ways.append(_Charging(None, "none", 0.0, 0.0))
    for cooler in coolers:
        if cooler != case.cooler:
            with_it = known_inputs(with_cooler(case, cooler))
            ways.append(_Charging(cooler, str(cooler), *(with_it[name].middle for name in COOLER_INPUTS)))
    return ways


def _candidates(
    case: Case,
    inputs: PlanInputs,
    turbos: Sequence[tuple[Turbo, Measures]],
    charging: list[_Charging],
    plungers: Sequence[Plunger | None],
    wish: Wish,
) -> tuple[list[Combination], list[Candidate]]:
    combinations, candidates = [], []
    efficiency = float(inputs.column("turbine_efficiency_ratio"))
    for turbo, measures in turbos:
        basis = basis_of(measures, efficiency)
        space = _space(turbo, wish.space_mm)
        for way in charging:
            for plunger in plungers:
                price = _price(turbo, way.cooler)
                stock = bool(turbo.stock_count) and (way.cooler is None or bool(way.cooler.stock_count))
                combinations.append(Combination(turbo, way.cooler, way.words, plunger, price, stock))
                candidates.append(
                    Candidate(
                        f"{turbo} | {way.words} | {plunger.diameter_mm if plunger else 0:05.2f}",
                        basis.turbo,
                        way.effectiveness_ratio,
                        way.loss_kpa,
                        plunger.diameter_mm if plunger else None,
                        _delivery_mm3(case, inputs, plunger),
                        price,
                        stock,
                        space,
                    )
                )
    return combinations, candidates


def _price(turbo: Turbo, cooler: Cooler | None) -> float | None:
    """Turbo and cooler together; unknown if either is."""
    prices = [item.price for item in (turbo, cooler) if item]
    known = [price for price in prices if price is not None]
    return float(sum(known)) if len(known) == len(prices) else None


def _space(turbo: Turbo, space_mm: tuple[float, float, float] | None) -> Verdict | None:
    box = turbo.envelope_mm
    return None if space_mm is None or box is None else fit_envelope(box, space_mm).verdict


@dataclass(frozen=True)
class _Work:
    """What moves the physics, as a key; price, stock, space and weights do not, so they cost no new solve."""

    key: tuple[object, ...]
    inputs: PlanInputs = field(compare=False)
    candidates: list[Candidate] = field(compare=False)
    limits: dict[bool, Limits] | None = field(compare=False)
    turbo_limits: TurboLimits = field(compare=False)


def _work(case: Case, inputs: PlanInputs, candidates: list[Candidate], turbos: list[tuple[Turbo, Measures]]) -> _Work:
    limits = None
    if case.own_limits:
        bare = without_cooler(case)
        cooled = replace(bare, given={**bare.given, "cooler_effectiveness_ratio": (0.5, 0.5, "guessed")})
        limits = {False: limits_of(bare), True: limits_of(cooled)}
    sides = tuple(
        (c.name, c.cooler_effectiveness_ratio, c.cooler_pressure_loss_kpa, c.plunger_diameter_mm) for c in candidates
    )
    of_turbo = turbo_limits_of(case)
    key = (repr(inputs), tuple(measures for _, measures in turbos), sides, repr(limits), of_turbo)
    return _Work(key, inputs, candidates, limits, of_turbo)


@lru_cache(maxsize=16)
def _figures(work: _Work) -> list[Figures]:
    speeds = [float(work.inputs.column("rated_speed_rpm")) * share for share in SPEED_SHARES]
    return figures_of(work.inputs, work.candidates, speeds, work.limits, work.turbo_limits)
