"""Holding a worked-out plan against its limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from sizing.physics.errors import Floats
from sizing.physics.limits.curves import LimitCurve, plan_curves
from sizing.physics.limits.values import DEFAULTS, WORST_FIRST, LimitDefault, Limits, Verdict, judge
from sizing.physics.plan.data import PlanInputs, PlanResult
from sizing.physics.plan.solve import delivery_without_boost_mm3

FULL_BOOST_SHARE = 0.9  # of the highest; below it a boost compensator still holds fuel back


@dataclass(frozen=True)
class LimitCheck:
    """One limit of a plan with the value that comes nearest to it.

    `uncertainty` is the half width of what an estimate leaves open. `remedy_delivery_mm3` is, for smoke
    before boost comes in, the delivery without boost at which lambda keeps its limit.
    """

    name: str
    label: str
    value: float
    limit: float
    unit: str
    margin: float
    at_speed_rpm: float
    verdict: Verdict
    source: str
    why: str
    edge: float = 1.0
    uncertainty: float = 0.0
    remedy_delivery_mm3: float | None = None


def check_limits(result: PlanResult, inputs: PlanInputs, limits: Limits) -> list[LimitCheck]:
    """Hold a plan against each limit at the speed where it comes nearest.

    Takes:
        result: answer of `solve_plan` for one plan, without draws
        inputs: what the plan was worked out from
        limits: limits to hold
    Returns: worst verdict first, then the smallest share of margin left.
    Raises: ValueError if the result holds draws.
    Source: `limits.DEFAULTS` for the source of each usual value.

    >>> from sizing.physics.plan.solve import solve_plan
    >>> inputs = PlanInputs(2.5, 4, 21.0, "indirect", 55.0, 4000.0, delivery_mm3=38.0)
    >>> checks = check_limits(solve_plan(inputs, [2000.0, 4000.0]), inputs, Limits())
    >>> {check.name for check in checks} == set(DEFAULTS)
    True
    """
    if result.torque_nm.ndim != 1:
        raise ValueError("the result holds many draws; limits are checked on one plan at a time")
    checks = []
    for curve in plan_curves(result, inputs, limits):
        is_usual = curve.name not in DEFAULTS
        source = curve.usual.source if is_usual else source_of(curve.usual, float(curve.limit), inputs)
        check = judged(curve, result.speed_rpm, source)
        if curve.usual.result == "lambda_ratio" and check.value < limits.lambda_min_ratio:
            check = replace(check, remedy_delivery_mm3=_remedy(result, inputs, limits, check.at_speed_rpm))
        checks.append(check)
    return in_order(checks)


def _remedy(result: PlanResult, inputs: PlanInputs, limits: Limits, at_speed_rpm: float) -> float | None:
    """Delivery without boost that does not smoke; None where it smokes under full boost, which no compensator cures."""
    rising = result.boost_kpa < FULL_BOOST_SHARE * np.max(result.boost_kpa)
    if not np.any(rising & (result.speed_rpm == at_speed_rpm)):
        return None
    before = result.speed_rpm[rising & (result.speed_rpm <= at_speed_rpm)]
    return delivery_without_boost_mm3(inputs, limits.lambda_min_ratio, before)


def judged(curve: LimitCurve, speed_rpm: Floats, source: str | None) -> LimitCheck:
    """One curve of one plan, at the speed where it comes nearest to its limit.

    Takes:
        curve: limit over speed, without draws, with a speed that counts
        speed_rpm: the speeds [rpm]
        source: where the limit comes from; None is the owner
    Returns: with its verdict.
    Raises: OutOfRange if no speed counts.
    """
    worst = curve.worst()
    return checked_value(
        curve.name,
        curve.usual,
        float(worst.value),
        float(worst.limit),
        float(speed_rpm[int(worst.at)]),
        source,
        float(worst.uncertainty),
    )


def checked_value(
    name: str,
    usual: LimitDefault,
    value: float,
    limit: float,
    at_speed_rpm: float,
    source: str | None,
    uncertainty: float = 0.0,
) -> LimitCheck:
    """One value against one limit.

    Takes:
        name: of the limit [-]
        usual: its label, direction, edge and reason
        value, limit: to be judged, and the limit in force [unit of the limit]
        at_speed_rpm: where the value stands; 0 where it does not hang on speed [rpm]
        source: where the limit comes from; None is the owner
        uncertainty: half width of what the value leaves open, 0 or more [unit]
    Returns: with its verdict.
    Raises: OutOfRange if a figure is not a finite number.
    """
    margin = limit - value if usual.direction == "max" else value - limit
    verdict = judge(value, limit, uncertainty, usual.direction, usual.edge, usual.stop_beyond)
    return LimitCheck(
        name, usual.label, value, limit, usual.unit, margin, at_speed_rpm, verdict, "set by the owner" if source is None else source,
        usual.why, usual.edge, uncertainty,
    )  # fmt: skip


def in_order(checks: Sequence[LimitCheck]) -> list[LimitCheck]:
    """Worst verdict first, then the smallest margin in widths of its edge."""
    return sorted(checks, key=lambda c: (WORST_FIRST.index(c.verdict), c.margin / c.edge))


def source_of(usual: LimitDefault, limit: float, inputs: PlanInputs) -> str:
    """Where a limit comes from: the usual one's source, or the owner.

    Takes:
        usual: the usual limit
        limit: the limit in force [unit of the limit]
        inputs: what the plan was worked out from
    Returns: source in words.
    """
    value = usual.value
    if inputs.injection == "indirect" and usual.indirect is not None:
        value = usual.indirect
    if not inputs.has_cooler and usual.uncooled is not None:
        value = usual.uncooled
    return usual.source if np.isclose(value, limit) else "set by the owner"
