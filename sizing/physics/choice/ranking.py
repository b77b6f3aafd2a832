"""Every turbo with every cooler and plunger, ranked, with the reason for which each one falls out."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import ArrayLike

from sizing.physics.errors import Floats, NoSolution, OutOfRange, require
from sizing.physics.limits.curves import NO_BOOST_KPA, boost_wanted_curve, plan_curves, turbo_curves
from sizing.physics.limits.values import (
    NEAR,
    OFF,
    ON,
    STOP,
    WORST_FIRST,
    Direction,
    Limits,
    TurboLimits,
    Verdict,
    places,
    usual_limits,
)
from sizing.physics.match.solve import Match, TurboFacts, solve_matches
from sizing.physics.plan.data import PlanInputs
from sizing.physics.plan.solve import with_delivery_as_built

TOGETHER = 2048  # candidates solved at a time, so that memory stays bounded
ROOM_THAT_COUNTS = 3.0  # widths of its edge: more room to a limit is worth no more
UNKNOWN_SHARE = 0.5  # of price, stock or space that nobody has entered


@dataclass(frozen=True)
class Candidate:
    """One combination to be held against the others."""

    name: str
    turbo: TurboFacts
    cooler_effectiveness_ratio: float = 0.0  # 0: no cooler
    cooler_pressure_loss_kpa: float = 0.0
    plunger_diameter_mm: float | None = None  # None: as in the inputs
    delivery_mm3: float | None = None  # of that plunger; None: as the inputs say, or by the square of its diameter
    price: float | None = None
    in_stock: bool | None = None
    space: Verdict | None = None  # from `placement.fit_envelope`


@dataclass(frozen=True)
class Weights:
    """How much each side counts among candidates of equal verdict, 0 to 10."""

    torque: float = 3.0
    margin: float = 3.0
    low_speed: float = 2.0
    price: float = 1.0
    stock: float = 1.0
    space: float = 1.0

    def __post_init__(self) -> None:
        for field in fields(self):
            require(f"weight_of_{field.name}", getattr(self, field.name), 0.0, 10.0, "")


@dataclass(frozen=True)
class Reason:
    """What a candidate falls out for: a limit with its figures, or words where there is none."""

    words: str
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    direction: Direction = "max"

    def __str__(self) -> str:
        if self.value is None or self.limit is None:
            return self.words
        sense = "above" if self.direction == "max" else "below"
        return f"{self.words} {self.value:.3g} {self.unit}".rstrip() + f" is {sense} {self.limit:.3g}"


@dataclass(frozen=True)
class Share:
    """One side of a score: how much it counts, and how much of it the candidate has, 0 to 1."""

    name: str
    weight: float
    share: float


@dataclass(frozen=True)
class Ranked:
    """A candidate with its place."""

    candidate: Candidate
    verdict: Verdict
    score: float  # 0 to 1: the shares by their weights
    reasons: list[Reason]  # what it falls out for, worst first; empty if nothing does
    torque_nm: float  # highest
    boost_kpa: float  # highest
    smallest_margin: float  # in widths of its limit's edge
    shares: tuple[Share, ...] = ()


def compare(
    inputs: PlanInputs,
    candidates: Sequence[Candidate],
    speeds_rpm: ArrayLike,
    limits: Limits | Mapping[bool, Limits] | None = None,
    turbo_limits: TurboLimits | None = None,
    weights: Weights | None = None,
) -> list[Ranked]:
    """Rank candidates on one engine.

    Takes:
        inputs: facts and choices without ranges and draws; cooler and plunger come from each candidate [as named]
        candidates: what to compare, 1 to 20 000
        speeds_rpm: engine speeds; the first half counts as low speed [rpm]
        limits: limits to hold, or those by whether there is a cooler; None takes the usual ones
        turbo_limits: limits of the turbo; None takes the usual ones
        weights: what the owner cares for
    Returns: best first: by verdict, then by score.
    Raises: OutOfRange if there is no candidate, or an input is outside its range.
    Source: Verdict first, so that no price buys a limit; then a weighted sum of shares from 0 to 1.

    >>> inputs = PlanInputs(2.5, 4, 21.0, "indirect", 52.0, 4000.0, boost_kpa=100.0, delivery_mm3=52.0)
    >>> both = [Candidate("fits", TurboFacts(0.09, True)), Candidate("far too large", TurboFacts(1.5, True))]
    >>> compare(inputs, both, [1600.0, 2400.0, 3200.0])[0].candidate.name
    'fits'
    """
    return rank(candidates, figures_of(inputs, candidates, speeds_rpm, limits, turbo_limits), weights)


@dataclass(frozen=True)
class Figures:
    """What a candidate does on the engine, before price, stock and space count."""

    verdict: Verdict
    reasons: list[Reason]
    mean_torque: float
    low_torque: float
    torque: float
    boost: float
    margin: float


def figures_of(
    inputs: PlanInputs,
    candidates: Sequence[Candidate],
    speeds_rpm: ArrayLike,
    limits: Limits | Mapping[bool, Limits] | None = None,
    turbo_limits: TurboLimits | None = None,
) -> list[Figures]:
    """Work candidates out on one engine; the slow half of `compare`, with the same arguments.

    Takes:
        inputs, candidates, speeds_rpm, limits, turbo_limits: as `compare` [as named]
    Returns: in the order of the candidates.
    Raises: OutOfRange if there is no candidate, or an input is outside its range.
    Source: `solve_matches`, some thousand at a time.
    """
    require("number_of_candidates", len(candidates), 1, 20_000, "")
    turbo_limits = turbo_limits or TurboLimits()
    speeds = np.atleast_1d(np.asarray(speeds_rpm, dtype=np.float64))
    inputs = with_delivery_as_built(inputs)
    found: dict[int, Figures] = {}
    for has_cooler, numbers in _groups(candidates):
        own = limits.get(has_cooler) if isinstance(limits, Mapping) else limits
        held = own or usual_limits(inputs.injection, has_cooler)
        for i in range(0, len(numbers), TOGETHER):
            some = numbers[i : i + TOGETHER]
            group = [candidates[k] for k in some]
            found.update(zip(some, _figures(inputs, group, speeds, held, turbo_limits), strict=True))
    return [found[i] for i in range(len(candidates))]


def rank(candidates: Sequence[Candidate], found: Sequence[Figures], weights: Weights | None = None) -> list[Ranked]:
    """Put worked-out candidates in order; the quick half of `compare`.

    Takes:
        candidates: what was compared
        found: what each one does, in the same order
        weights: what the owner cares for
    Returns: best first: by verdict, then by score.
    Source: As `compare`.
    """
    weights = weights or Weights()
    best_torque = max((f.mean_torque for f in found), default=1.0) or 1.0
    best_low = max((f.low_torque for f in found), default=1.0) or 1.0
    dearest = max((float(c.price) for c in candidates if c.price), default=0.0)
    ranked = []
    for candidate, figures in zip(candidates, found, strict=True):
        price = UNKNOWN_SHARE if candidate.price is None or not dearest else 1.0 - candidate.price / dearest
        stock = UNKNOWN_SHARE if candidate.in_stock is None else float(candidate.in_stock)
        space = {None: UNKNOWN_SHARE, ON: 1.0, NEAR: 0.5}.get(candidate.space, 0.0)
        room = min(max(figures.margin / ROOM_THAT_COUNTS, 0.0), 1.0)
        shares = (
            Share("torque", weights.torque, max(figures.mean_torque / best_torque, 0.0)),
            Share("low_speed", weights.low_speed, max(figures.low_torque / best_low, 0.0)),
            Share("margin", weights.margin, room), Share("price", weights.price, price),
            Share("stock", weights.stock, stock), Share("space", weights.space, space),
        )  # fmt: skip
        total = sum(s.weight for s in shares) or 1.0
        score = sum(s.weight * s.share for s in shares) / total
        verdict, reasons = figures.verdict, figures.reasons
        if candidate.space in (OFF, STOP):
            verdict = min(verdict, OFF, key=WORST_FIRST.index)
            reasons = [Reason("does not go into the space measured"), *reasons]
        ranked.append(Ranked(candidate, verdict, score, reasons, figures.torque, figures.boost, figures.margin, shares))
    return sorted(ranked, key=lambda r: (-WORST_FIRST.index(r.verdict), -r.score, r.candidate.name))


def _groups(candidates: Sequence[Candidate]) -> list[tuple[bool, list[int]]]:
    """Candidates that can be worked out together: with the same limits, and all with a map or none."""
    groups: dict[tuple[bool, bool, bool], list[int]] = defaultdict(list)
    for i, c in enumerate(candidates):
        groups[c.cooler_effectiveness_ratio > 0.0, c.turbo.compressor is None, c.delivery_mm3 is None].append(i)
    return [(has_cooler, numbers) for (has_cooler, _, _), numbers in groups.items()]


def _figures(
    inputs: PlanInputs, group: list[Candidate], speeds: Floats, limits: Limits, turbo_limits: TurboLimits
) -> list[Figures]:
    plunger = [inputs.plunger_diameter_mm if c.plunger_diameter_mm is None else c.plunger_diameter_mm for c in group]
    delivery = [c.delivery_mm3 for c in group]
    try:
        many = replace(
            inputs,
            cooler_effectiveness_ratio=np.array([c.cooler_effectiveness_ratio for c in group]),
            cooler_pressure_loss_kpa=np.array([c.cooler_pressure_loss_kpa for c in group]),
            plunger_diameter_mm=None if any(p is None for p in plunger) else np.array(plunger, dtype=np.float64),
            delivery_mm3=inputs.delivery_mm3 if delivery[0] is None else np.array(delivery, dtype=np.float64),
        )
        match = solve_matches(many, [c.turbo for c in group], speeds)
        return _judged(match, many, limits, turbo_limits)
    except (NoSolution, OutOfRange) as none:
        if len(group) == 1:
            return [Figures(OFF, [Reason(str(none))], 0.0, 0.0, 0.0, 0.0, -9.0)]
        half = len(group) // 2  # find the ones that spoil the others
        return [
            *_figures(inputs, group[:half], speeds, limits, turbo_limits),
            *_figures(inputs, group[half:], speeds, limits, turbo_limits),
        ]


def _judged(match: Match, inputs: PlanInputs, limits: Limits, turbo_limits: TurboLimits) -> list[Figures]:
    """Every candidate against every limit, a limit at a time."""
    plan = match.plan
    count = len(plan.torque_nm)
    lowest = np.full(count, len(WORST_FIRST) - 1)
    smallest = np.full(count, np.inf)
    missed: list[list[tuple[int, float, Reason]]] = [[] for _ in range(count)]
    for curve in (
        *plan_curves(plan, inputs, limits),
        *turbo_curves(match, turbo_limits),
        *boost_wanted_curve(plan, inputs),
    ):
        usual, worst = curve.usual, curve.worst()
        margin = np.where(np.isfinite(worst.margin), worst.margin, ROOM_THAT_COUNTS * usual.edge)
        found_places = places(margin, worst.limit, worst.uncertainty, usual.edge, usual.stop_beyond)
        lowest = np.minimum(lowest, found_places)
        smallest = np.minimum(smallest, margin / usual.edge)
        for at in np.flatnonzero(found_places < 2):
            reason = Reason(usual.label, float(worst.value[at]), float(worst.limit[at]), usual.unit, usual.direction)
            missed[at].append((int(found_places[at]), float(margin[at]) / usual.edge, reason))
    boost, solved = np.max(plan.boost_kpa, axis=1), match.solved
    low = max(plan.torque_nm.shape[1] // 2, 1)
    found = []
    for k in range(count):
        reasons = [reason for _, _, reason in sorted(missed[k], key=lambda row: row[:2])]
        place = int(lowest[k])
        if boost[k] < NO_BOOST_KPA:
            reasons.insert(0, Reason("the turbine is too large: it gives no boost to speak of at any speed"))
            place = min(place, 1)
        if not np.all(solved[k]):
            first = float(plan.speed_rpm[k][int(np.argmin(solved[k]))])
            lost = int(np.sum(~solved[k]))
            reasons.insert(0, Reason(f"no balance from {first:.0f} rpm on {lost} of {len(solved[k])} speeds"))
            place = min(place, 1)
        torque = plan.torque_nm[k]
        found.append(
            Figures(
                WORST_FIRST[place], reasons, float(torque.mean()), float(torque[:low].mean()), float(torque.max()),
                float(boost[k]), float(smallest[k]),
            )
        )  # fmt: skip
    return found
