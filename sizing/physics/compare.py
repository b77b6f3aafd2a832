"""Every turbo with every cooler and plunger, ranked, with the reason for which each one falls out."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import ArrayLike

from .errors import Floats, NoSolution, OutOfRange, require
from .limits import DEFAULTS, WORST_FIRST, LimitDefault, Limits, Verdict, judge, usual_limits
from .match import Match, Turbo, solve_match
from .match_checks import TURBO_DEFAULTS, TurboLimits
from .plan_data import PlanInputs


@dataclass(frozen=True)
class Candidate:
    """One combination to be held against the others."""

    name: str
    turbo: Turbo
    cooler_effectiveness_ratio: float = 0.0  # 0: no cooler
    cooler_pressure_loss_kpa: float = 0.0
    plunger_diameter_mm: float | None = None  # None: as in the inputs
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
class Ranked:
    """A candidate with its place."""

    candidate: Candidate
    verdict: Verdict
    score: float  # 0 to 1
    reasons: list[str]  # what it falls out for, worst first; empty if nothing does
    torque_nm: float  # highest
    boost_kpa: float  # highest
    smallest_margin: float  # in widths of its limit's edge


def compare(
    inputs: PlanInputs,
    candidates: Sequence[Candidate],
    speeds_rpm: ArrayLike,
    limits: Limits | None = None,
    turbo_limits: TurboLimits | None = None,
    weights: Weights | None = None,
) -> list[Ranked]:
    """Rank candidates on one engine.

    Parameters
    ----------
    inputs : PlanInputs
        Facts and choices without ranges and draws; cooler and plunger come from each candidate [as named]
    candidates : sequence of Candidate
        What to compare, 1 to 20 000
    speeds_rpm : array
        Engine speeds; the first half counts as low speed [rpm]
    limits : Limits or None
        Limits to hold; None takes the usual ones, with or without a cooler
    turbo_limits : TurboLimits or None
        Limits of the turbo; None takes the usual ones
    weights : Weights or None
        What the owner cares for

    Returns
    -------
    list of Ranked
        Best first: by verdict, then by score

    Raises
    ------
    OutOfRange
        If there is no candidate, or an input is outside its range.

    Examples
    --------
    >>> inputs = PlanInputs(2.5, 4, 21.0, "indirect", 52.0, 4000.0, boost_kpa=100.0, delivery_mm3=52.0)
    >>> both = [Candidate("fits", Turbo(0.09, True)), Candidate("far too large", Turbo(1.5, True))]
    >>> compare(inputs, both, [1600.0, 2400.0, 3200.0])[0].candidate.name
    'fits'

    References
    ----------
    Verdict first, so that no price buys a limit; then a weighted sum of shares from 0 to 1.
    """
    return rank(candidates, figures_of(inputs, candidates, speeds_rpm, limits, turbo_limits), weights)


@dataclass(frozen=True)
class Figures:
    """What a candidate does on the engine, before price, stock and space count."""

    verdict: Verdict
    reasons: list[str]
    mean_torque: float
    low_torque: float
    torque: float
    boost: float
    margin: float


def figures_of(
    inputs: PlanInputs,
    candidates: Sequence[Candidate],
    speeds_rpm: ArrayLike,
    limits: Limits | None = None,
    turbo_limits: TurboLimits | None = None,
) -> list[Figures]:
    """Work candidates out on one engine; the slow half of `compare`, with the same arguments.

    Parameters
    ----------
    inputs, candidates, speeds_rpm, limits, turbo_limits
        As `compare` [as named]

    Returns
    -------
    list of Figures
        In the order of the candidates

    Raises
    ------
    OutOfRange
        If there is no candidate, or an input is outside its range.

    References
    ----------
    `solve_match`.
    """
    require("number_of_candidates", len(candidates), 1, 20_000, "")
    turbo_limits = turbo_limits or TurboLimits()
    speeds = np.atleast_1d(np.asarray(speeds_rpm, dtype=np.float64))
    found: dict[int, Figures] = {}
    for numbers in _alike(candidates).values():
        group = [candidates[i] for i in numbers]
        for i, figures in zip(numbers, _figures(inputs, group, speeds, limits, turbo_limits), strict=True):
            found[i] = figures
    return [found[i] for i in range(len(candidates))]


def rank(
    candidates: Sequence[Candidate], found: Sequence[Figures], weights: Weights | None = None
) -> list[Ranked]:
    """Put worked-out candidates in order; the quick half of `compare`.

    Parameters
    ----------
    candidates : sequence of Candidate
        What was compared
    found : sequence of Figures
        What each one does, in the same order
    weights : Weights or None
        What the owner cares for

    Returns
    -------
    list of Ranked
        Best first: by verdict, then by score

    Raises
    ------
    Nothing.

    References
    ----------
    As `compare`.
    """
    weights = weights or Weights()
    best_torque = max((f.mean_torque for f in found), default=1.0) or 1.0
    best_low = max((f.low_torque for f in found), default=1.0) or 1.0
    dearest = max((float(c.price) for c in candidates if c.price), default=0.0)
    ranked = []
    for candidate, figures in zip(candidates, found, strict=True):
        parts = (
            (weights.torque, figures.mean_torque / best_torque),
            (weights.low_speed, figures.low_torque / best_low),
            (weights.margin, float(np.clip(figures.margin / 3.0, 0.0, 1.0))),
            (weights.price, 0.5 if candidate.price is None or not dearest else 1.0 - candidate.price / dearest),
            (weights.stock, 0.5 if candidate.in_stock is None else float(candidate.in_stock)),
            (weights.space, {None: 0.5, "on plan": 1.0, "near the edge": 0.5}.get(candidate.space, 0.0)),
        )
        total = sum(w for w, _ in parts) or 1.0
        score = sum(w * max(s, 0.0) for w, s in parts) / total
        verdict, reasons = figures.verdict, figures.reasons
        if candidate.space in ("off plan", "stop"):
            verdict = min(verdict, "off plan", key=WORST_FIRST.index)
            reasons = ["does not go into the space measured", *reasons]
        ranked.append(Ranked(candidate, verdict, score, reasons, figures.torque, figures.boost, figures.margin))
    return sorted(ranked, key=lambda r: (-WORST_FIRST.index(r.verdict), -r.score, r.candidate.name))


def _alike(candidates: Sequence[Candidate]) -> dict[tuple[object, ...], list[int]]:
    """Candidates that differ only in numbers are worked out together."""
    groups: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for i, c in enumerate(candidates):
        turbo = c.turbo
        groups[
            (
                id(turbo.compressor), turbo.has_wastegate, turbo.compressor_wheel_mm, turbo.turbine_wheel_mm,
            )
        ].append(i)  # fmt: skip
    return groups


def _figures(
    inputs: PlanInputs, group: list[Candidate], speeds: Floats, limits: Limits | None, turbo_limits: TurboLimits
) -> list[Figures]:
    plunger = [inputs.plunger_diameter_mm if c.plunger_diameter_mm is None else c.plunger_diameter_mm for c in group]
    try:
        many = replace(
            inputs,
            cooler_effectiveness_ratio=np.array([c.cooler_effectiveness_ratio for c in group]),
            cooler_pressure_loss_kpa=np.array([c.cooler_pressure_loss_kpa for c in group]),
            plunger_diameter_mm=None if any(p is None for p in plunger) else np.array(plunger, dtype=np.float64),
        )
        turbo = replace(
            group[0].turbo,
            turbine_capacity_kg_s=np.array([float(np.asarray(c.turbo.turbine_capacity_kg_s)) for c in group]),
            turbine_efficiency_ratio=np.array([float(np.asarray(c.turbo.turbine_efficiency_ratio)) for c in group]),
        )
        match = solve_match(many, turbo, speeds)
    except (NoSolution, OutOfRange) as none:
        if len(group) == 1:
            return [Figures("off plan", [str(none)], 0.0, 0.0, 0.0, 0.0, -9.0)]
        half = len(group) // 2  # find the ones that spoil the others
        return [
            *_figures(inputs, group[:half], speeds, limits, turbo_limits),
            *_figures(inputs, group[half:], speeds, limits, turbo_limits),
        ]
    own = [limits or usual_limits(inputs.injection, c.cooler_effectiveness_ratio > 0.0) for c in group]
    return [_judge_one(match, k, speeds, own[k], turbo_limits) for k in range(len(group))]


def _judge_one(match: Match, k: int, speeds: Floats, limits: Limits, turbo_limits: TurboLimits) -> Figures:
    plan = match.plan
    works = plan.boost_kpa[k] >= 10.0
    rows: list[tuple[LimitDefault, float, Floats]] = [
        (DEFAULTS[f.name], float(getattr(limits, f.name)), getattr(plan, DEFAULTS[f.name].result)[k])
        for f in fields(limits)
    ]
    with_boost = {
        "surge_margin_min_ratio": match.surge_margin_ratio[k],
        "choke_margin_min_ratio": match.choke_margin_ratio[k],
        "tip_speed_max_m_s": match.compressor_tip_speed_m_s[k],
        "exhaust_over_boost_max_ratio": plan.exhaust_pressure_kpa[k] / plan.manifold_pressure_kpa[k],
    }
    for name, curve in with_boost.items():
        if np.any(works) and np.all(np.isfinite(curve)) and np.any(curve != 0.0):
            rows.append((TURBO_DEFAULTS[name], float(getattr(turbo_limits, name)), curve[works]))
    judged: list[tuple[Verdict, float, str]] = []
    for usual, limit, curve in rows:
        value = float(np.max(curve) if usual.direction == "max" else np.min(curve))
        margin = (limit - value if usual.direction == "max" else value - limit) / usual.edge
        verdict = judge(value, limit, 0.0, usual.direction, usual.edge, usual.stop_beyond)
        sense = "above" if usual.direction == "max" else "below"
        judged.append((verdict, margin, f"{usual.label} {value:.3g} {usual.unit}".rstrip() + f" is {sense} {limit:.3g}"))
    judged.sort(key=lambda j: (WORST_FIRST.index(j[0]), j[1]))
    reasons = [text for verdict, _, text in judged if verdict in ("stop", "off plan")]
    verdict = judged[0][0]
    if not np.any(works):
        reasons.insert(0, "the turbine is too large: it gives no boost to speak of at any speed")
        verdict = min(verdict, "off plan", key=WORST_FIRST.index)
    missing = ~match.solved[k]
    if np.any(missing):
        first = float(speeds[int(np.argmax(missing))])
        reasons.insert(0, f"no balance from {first:.0f} rpm on {int(missing.sum())} of {len(speeds)} speeds")
        verdict = min(verdict, "off plan", key=WORST_FIRST.index)
    low = max(len(speeds) // 2, 1)
    return Figures(
        verdict, reasons, float(np.mean(plan.torque_nm[k])), float(np.mean(plan.torque_nm[k, :low])),
        float(np.max(plan.torque_nm[k])), float(np.max(plan.boost_kpa[k])), float(judged[0][1]),
    )  # fmt: skip
