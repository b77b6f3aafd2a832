"""Ranges: chance that each limit is met, bands around the curves, and what to measure next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import ArrayLike

from sizing.physics.errors import Floats
from sizing.physics.limits.curves import boost_wanted_curve, plan_curves, turbo_curves
from sizing.physics.limits.values import Limits, TurboLimits
from sizing.physics.match.solve import TurboFacts, solve_match
from sizing.physics.plan.data import PlanInputs, PlanResult, Range
from sizing.physics.plan.solve import solve_plan, with_delivery_as_built
from sizing.physics.ranges import Span, takes

WHOLE_NUMBERS = {"cylinder_count"}
TURBO_UNKNOWNS = ("turbine_capacity_kg_s", "map_flow_ratio", "map_efficiency_shift", "surge_flow_ratio")
BANDS = (0.1, 0.5, 0.9)


@dataclass(frozen=True)
class LimitChance:
    """How likely one limit is met, and between which values the answer lies."""

    name: str
    label: str
    unit: str
    limit: float
    chance: float
    low: float  # 10 % of the draws lie below
    middle: float
    high: float  # 90 % of the draws lie below


@dataclass(frozen=True)
class Influence:
    """How much one unknown moves the answer."""

    name: str
    low: float
    high: float
    origin: str
    share: float  # of the spread of the limit that is hardest to meet, 0 to 1
    limit_moved: str
    limit_label: str = ""


@dataclass(frozen=True)
class Chances:
    """Answer of `chances`."""

    draws: int
    limits: list[LimitChance]
    low: PlanResult  # 10 % of the draws lie below, at each speed and for each curve
    middle: PlanResult
    high: PlanResult
    influences: list[Influence]


@takes(inputs="facts and choices [as named]", count=Span(2, 200, "", "number of speeds"))
def usual_speeds_rpm(inputs: PlanInputs, count: int = 15) -> Floats:
    """Speeds at which a plan is usually worked out: from 30 % of rated speed up to rated speed.

    Returns: speeds, evenly spaced [rpm].
    Source: Common practice.

    >>> usual_speeds_rpm(PlanInputs(2.5, 4, 21.0, "indirect", 55.0, 4000.0), 3).tolist()
    [1200.0, 2600.0, 4000.0]
    """
    rated = inputs.rated_speed_rpm
    top = float(np.min(np.asarray(rated.low if isinstance(rated, Range) else rated)))
    return np.linspace(max(0.3 * top, 400.0), top, count)


@takes(
    inputs="facts and choices, some of them ranges [as named]",
    draws=Span(10, 100_000, "", "number of draws"),
    seed="start of the random numbers; the same seed gives the same draws [-]",
)
def draw(inputs: PlanInputs, draws: int, seed: int) -> PlanInputs:
    """Replace every range by draws from it.

    Returns: the same with arrays in place of ranges.
    Raises: OutOfRange if the number of draws is outside its range.
    Source: Latin hypercube (McKay, Beckman, Conover 1979): each range is cut into as many equal parts as there are
        draws and each part is met once, so that few draws already cover it.

    >>> drawn = draw(PlanInputs(Range(2.4, 2.6), 4, 21.0, "indirect", 55.0, 4000.0), 50, 1)
    >>> drawn.displacement_l.shape
    (50,)
    """
    random = np.random.default_rng(seed)
    values = {name: _drawn(given, draws, random) for name, given in inputs.ranges().items()}
    rounded = {name: np.round(x) if name in WHOLE_NUMBERS else x for name, x in values.items()}
    return replace(inputs, **rounded)  # type: ignore[arg-type]


def draw_ranges(ranges: Mapping[str, Range], draws: int, seed: int) -> dict[str, Floats]:
    """Draws from ranges by name, as `draw`."""
    random = np.random.default_rng(seed)
    return {name: _drawn(given, draws, random) for name, given in ranges.items()}


def _drawn(given: Range, number: int, random: np.random.Generator) -> Floats:
    place = (random.permutation(number) + random.random(number)) / number
    return given.low + (given.high - given.low) * place


def chances(
    inputs: PlanInputs,
    limits: Limits,
    draws: int = 2000,
    seed: int = 1,
    speeds_rpm: ArrayLike | None = None,
    turbo: TurboFacts | None = None,
    turbo_ranges: Mapping[str, Range] | None = None,
    turbo_limits: TurboLimits | None = None,
) -> Chances:
    """Chance that each limit is met when some inputs are known only as ranges.

    Takes:
        inputs: facts and choices; any number may be a `Range` [as named]
        limits: limits to hold
        draws: number of draws, 10 to 100 000 [-]
        seed: start of the random numbers [-]
        speeds_rpm: rising speeds; None takes `usual_speeds_rpm` [rpm]
        turbo: the turbo that must bring the boost, every draw through the whole match; its efficiency is that of the
            inputs. None: the boost is taken as given
        turbo_ranges: what is known of it only as a range, by the names of `TURBO_UNKNOWNS`
        turbo_limits: limits of the turbo; None takes the usual ones
    Returns: chances (hardest limit first), 10 % and 90 % curves, influences (strongest first).
    Raises: OutOfRange if an input is outside its range for any draw; NoSolution if a balance cannot hold for some draw,
        or a turbo finds none in any; ValueError if `turbo_ranges` names anything else.
    Source: Share of the draws. Influence is the squared rank correlation (Spearman) of each unknown with the margin of
        the limit that is met least often.

    >>> inputs = PlanInputs(2.5, 4, 21.0, "indirect", 55.0, 4000.0, boost_kpa=120.0,
    ...                     delivery_mm3=Range(50.0, 70.0))
    >>> found = chances(inputs, Limits(), draws=50)
    >>> found.influences[0].name
    'delivery_mm3'
    """
    unknown = inputs.ranges()
    speeds = usual_speeds_rpm(inputs) if speeds_rpm is None else np.atleast_1d(speeds_rpm)
    drawn = draw(inputs, draws, seed)
    values = {name: np.ravel(getattr(drawn, name)) for name in unknown}
    drawn = with_delivery_as_built(drawn)
    if turbo is None:
        result = solve_plan(drawn, speeds)
        curves = plan_curves(result, drawn, limits)
    else:
        held = dict(turbo_ranges or {})
        if not set(held) <= set(TURBO_UNKNOWNS):
            raise ValueError(f"only {', '.join(TURBO_UNKNOWNS)} of a turbo may be ranges")
        found = draw_ranges(held, draws, seed + 1)
        drawn_turbo = replace(turbo, **{"turbine_efficiency_ratio": drawn.turbine_efficiency_ratio, **found})  # type: ignore[arg-type]
        match = solve_match(drawn, drawn_turbo, speeds)
        result, unknown, values = match.plan, {**unknown, **held}, {**values, **found}
        curves = [*plan_curves(result, drawn, limits), *turbo_curves(match, turbo_limits or TurboLimits())]
        curves += boost_wanted_curve(result, drawn)
    if result.torque_nm.ndim == 1:
        result = PlanResult(**{f.name: getattr(result, f.name)[None, :] for f in fields(result)})
    rows = []
    margins: dict[str, Floats] = {}
    for curve in curves:
        usual, worst = curve.usual, curve.worst()
        counts = np.isfinite(np.atleast_1d(worst.margin))  # a draw in which no speed counts has met it
        margin = np.where(counts, np.atleast_1d(worst.margin), usual.edge)
        margins[curve.name] = margin / usual.edge
        low, middle, high = (float(x) for x in np.quantile(np.atleast_1d(worst.value)[counts], BANDS))
        limit = float(np.median(np.atleast_1d(worst.limit)[counts]))
        met = float(np.mean(margin >= -1e-9 * abs(limit)))
        rows.append(LimitChance(curve.name, usual.label, usual.unit, limit, met, low, middle, high))
    rows.sort(key=lambda c: (c.chance, float(np.median(margins[c.name]))))
    ends = {f.name: np.quantile(getattr(result, f.name), BANDS, axis=0) for f in fields(result)}
    bands = [PlanResult(**{name: x[k] for name, x in ends.items()}) for k in range(len(BANDS))]
    hardest = next((row for row in rows if float(np.ptp(margins[row.name])) > 1e-9), None)
    influences = []
    for name, given in unknown.items():
        share = rank_correlation(values[name], margins[hardest.name]) ** 2 if hardest else 0.0
        moved = hardest or rows[0]
        influences.append(Influence(name, given.low, given.high, given.origin, share, moved.name, moved.label))
    influences.sort(key=lambda i: -i.share)
    return Chances(result.torque_nm.shape[0], rows, bands[0], bands[1], bands[2], influences)


def rank_correlation(first: Floats, second: Floats) -> float:
    """Spearman's rank correlation; 0 where one of the two does not vary.

    Takes:
        first, second: two rows of equal length, two values or more [-]
    Returns: correlation, -1 to 1 [-].
    Raises: ValueError if the rows differ in length or have fewer than two values.
    Source: Spearman 1904; ties get the order in which they stand.

    >>> rank_correlation(np.array([1.0, 2.0, 3.0]), np.array([10.0, 100.0, 1000.0]))
    1.0
    """
    if first.shape != second.shape or first.size < 2:
        raise ValueError("two rows of equal length with at least two values are needed")
    if float(np.ptp(first)) == 0.0 or float(np.ptp(second)) == 0.0:
        return 0.0
    ranks = [np.argsort(np.argsort(x, kind="stable"), kind="stable").astype(np.float64) for x in (first, second)]
    centred = [r - r.mean() for r in ranks]
    return float(centred[0] @ centred[1] / np.sqrt((centred[0] @ centred[0]) * (centred[1] @ centred[1])))


def swing(inputs: PlanInputs, limits: Limits, speeds_rpm: ArrayLike | None = None) -> dict[str, float]:
    """How far the hardest margin moves when one unknown goes from its low to its high end alone.

    Takes:
        inputs: facts and choices, some of them ranges [as named]
        limits: limits to hold
        speeds_rpm: speeds; None takes `usual_speeds_rpm` [rpm]
    Returns: dict of float: for each unknown the change of the smallest margin, in widths of that limit's edge [-].
    Raises: OutOfRange if an input is outside its range at an end.
    Source: One at a time, the others at their middle.

    >>> inputs = PlanInputs(2.5, 4, 21.0, "indirect", 55.0, 4000.0, boost_kpa=120.0,
    ...                     delivery_mm3=Range(50.0, 70.0))
    >>> swing(inputs, Limits())["delivery_mm3"] < 0
    True
    """
    speeds = usual_speeds_rpm(inputs) if speeds_rpm is None else np.atleast_1d(speeds_rpm)
    unknown = inputs.ranges()
    middle = replace(inputs, **{n: _middle(n, r) for n, r in unknown.items()})  # type: ignore[arg-type]
    moved = {}
    for name, given in unknown.items():
        ends = [_smallest_margin(replace(middle, **{name: e}), speeds, limits)  # type: ignore[arg-type]
                for e in (given.low, given.high)]  # fmt: skip
        moved[name] = ends[1] - ends[0]
    return moved


def _middle(name: str, given: Range) -> float:
    value = 0.5 * (given.low + given.high)
    return float(round(value)) if name in WHOLE_NUMBERS else value


def _smallest_margin(inputs: PlanInputs, speeds: Floats, limits: Limits) -> float:
    result = solve_plan(inputs, speeds)
    return min(float(curve.worst().margin) / curve.usual.edge for curve in plan_curves(result, inputs, limits))
