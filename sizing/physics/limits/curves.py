"""Each limit over engine speed: value, limit, and at which speeds it counts. One rule for one plan, draws and comparisons."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from sizing.physics.compressor.estimate import CHOKE_ERROR, SURGE_ERROR, TIP_SPEED_ERROR
from sizing.physics.errors import Floats
from sizing.physics.limits.values import (
    BEFORE_BOOST,
    BOOST_WANTED,
    DEFAULTS,
    GAUGE_KPA,
    TURBO_DEFAULTS,
    LimitDefault,
    Limits,
    TurboLimits,
)
from sizing.physics.match.solve import Match
from sizing.physics.plan.data import PlanInputs, PlanResult
from sizing.physics.plan.solve import lambda_as_built

NO_BOOST_KPA = 10.0  # less is no boost to speak of
BOOST_IN_SHARE = 0.5  # boost counts as in from half of its highest on
WHEEL_WORKS_SHARE = 0.25  # below a quarter of the boost the wheel turns under half its speed, where no map is trusted


@dataclass(frozen=True)
class LimitCurve:
    """One limit; arrays of shape (speeds) or (draws, speeds), or what broadcasts to it."""

    name: str
    usual: LimitDefault
    values: Floats
    limit: Floats
    counts: NDArray[np.bool_]
    uncertainty: Floats

    def worst(self) -> Worst:
        """Where the margin is smallest among the speeds that count."""
        sign = 1.0 if self.usual.direction == "max" else -1.0
        shape = np.broadcast_shapes(self.values.shape, self.limit.shape, self.counts.shape, self.uncertainty.shape)
        margin = np.where(self.counts, sign * (self.limit - self.values), np.inf)
        margin = np.broadcast_to(margin, shape)
        at = np.argmin(margin, axis=-1)[..., None]

        def there(x: Floats) -> Floats:
            return np.take_along_axis(np.broadcast_to(x, shape), at, axis=-1)[..., 0]

        return Worst(there(margin), there(self.values), there(self.limit), there(self.uncertainty), at[..., 0])


@dataclass(frozen=True)
class Worst:
    """One value a draw; the margin is infinite where no speed counts."""

    margin: Floats
    value: Floats
    limit: Floats
    uncertainty: Floats
    at: NDArray[np.intp]


def boost_is_in(boost_kpa: Floats) -> NDArray[np.bool_]:
    """From the first speed with half of the highest boost on; everywhere for an engine without boost.

    Takes:
        boost_kpa: boost over rising speed, the last axis [kPa]
    Returns: array of bool: same shape.
    Source: Common practice: below it an engine smokes as it did without a turbo unless a boost compensator holds fuel
        back.

    >>> boost_is_in(np.array([5.0, 30.0, 80.0, 100.0, 40.0])).tolist()
    [False, False, True, True, True]
    """
    highest = np.max(boost_kpa, axis=-1, keepdims=True)
    reached = np.logical_or.accumulate(boost_kpa >= BOOST_IN_SHARE * highest, axis=-1)
    return np.asarray(reached | (highest < NO_BOOST_KPA))


def plan_curves(result: PlanResult, inputs: PlanInputs, limits: Limits) -> list[LimitCurve]:
    """The limits of the engine over speed.

    Lambda is held against its limit from where boost is in. Below, an engine with a larger plunger and no boost compensator
    has the fuel but not yet the air; there it is held against the engine as built at the same speed and place, where that
    smokes more than the limit allows.

    Takes:
        result: answer for one plan or many draws, over rising speeds
        inputs: what it was worked out from, with as many draws [as named]
        limits: limits to hold
    Returns: in the order of `Limits`; that before boost only where there is such a speed.
    Raises: NoSolution if nothing says what the engine was built with.
    Source: `limits.DEFAULTS`.
    """
    is_in = boost_is_in(result.boost_kpa)
    sure = np.zeros(())
    everywhere = np.ones((), dtype=np.bool_)
    curves = []
    for field in fields(limits):
        usual = DEFAULTS[field.name]
        limit = np.asarray(float(getattr(limits, field.name)))
        counts = is_in if field.name == "lambda_min_ratio" else everywhere
        curves.append(LimitCurve(field.name, usual, getattr(result, usual.result), limit, counts, sure))
    if not np.all(is_in):
        own = np.minimum(lambda_as_built(inputs, result.speed_rpm), limits.lambda_min_ratio)
        curves.append(LimitCurve("lambda_before_boost_ratio", BEFORE_BOOST, result.lambda_ratio, own, ~is_in, sure))
    return curves


def turbo_curves(match: Match, limits: TurboLimits) -> list[LimitCurve]:
    """The limits of the turbo over speed; what nothing is known about is left out.

    Takes:
        match: answer of `solve_match`, one plan or many draws
        limits: limits to hold
    Returns: empty where there is no boost to speak of; an estimated map's error stands as uncertainty.
    Source: `limits.TURBO_DEFAULTS`; errors of `map_estimate`.
    """
    boost = match.plan.boost_kpa
    works = boost >= np.maximum(NO_BOOST_KPA, WHEEL_WORKS_SHARE * np.max(boost, axis=-1, keepdims=True))
    surge, choke, tip = match.surge_margin_ratio, match.choke_margin_ratio, match.compressor_tip_speed_m_s
    # A line that has run into the choke end is choked, whatever the map's error.
    guess, runs = np.where(match.estimated_map, 1.0, 0.0), choke > 0.01
    rows: tuple[tuple[str, Floats, Floats, bool], ...] = (
        (
            "surge_margin_min_ratio",
            surge,
            guess * SURGE_ERROR * (1.0 - np.minimum(surge, 1.0)),
            bool(np.all(np.isfinite(surge))),
        ),
        (
            "choke_margin_min_ratio",
            choke,
            guess * runs * CHOKE_ERROR * (1.0 - np.minimum(choke, 1.0)),
            bool(np.all(np.isfinite(choke))),
        ),
        ("tip_speed_max_m_s", tip, guess * TIP_SPEED_ERROR * tip, bool(np.any(tip > 0.0))),
        (
            "exhaust_over_boost_max_ratio",
            match.plan.exhaust_pressure_kpa / match.plan.manifold_pressure_kpa,
            np.zeros(()),
            True,
        ),
    )
    if not np.any(works):
        return []
    return [
        LimitCurve(name, TURBO_DEFAULTS[name], values, np.asarray(float(getattr(limits, name))), works, uncertainty)
        for name, values, uncertainty, is_known in rows if is_known
    ]  # fmt: skip


def boost_wanted_curve(result: PlanResult, inputs: PlanInputs) -> list[LimitCurve]:
    """The highest boost that a turbo brings against the highest that the plan wants.

    Takes:
        result: operating line of a turbo, one plan or many draws
        inputs: what it was worked out from, with as many draws [as named]
    Returns: one, or none where the plan wants no boost.
    Source: `limits.BOOST_WANTED`.
    """
    wanted = np.asarray(inputs.boost_kpa, dtype=np.float64)
    if not np.any(wanted > NO_BOOST_KPA):
        return []
    highest = np.max(result.boost_kpa, axis=-1, keepdims=True)
    limit = (wanted[..., None] if wanted.ndim else wanted) - GAUGE_KPA
    return [LimitCurve("boost_wanted_kpa", BOOST_WANTED, highest, limit, np.ones((1,), dtype=np.bool_), np.zeros(()))]
