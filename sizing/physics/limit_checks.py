"""Holding a worked-out plan against its limits."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from .limits import DEFAULTS, WORST_FIRST, LimitDefault, Limits, Verdict, judge
from .plan_data import PlanInputs, PlanResult


@dataclass(frozen=True)
class LimitCheck:
    """One limit of a plan with the value that comes nearest to it."""

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


def check_limits(result: PlanResult, inputs: PlanInputs, limits: Limits) -> list[LimitCheck]:
    """Hold a plan against each limit at the speed where it comes nearest.

    Parameters
    ----------
    result : PlanResult
        Answer of `solve_plan` for one plan, without draws
    inputs : PlanInputs
        What the plan was worked out from
    limits : Limits
        Limits to hold

    Returns
    -------
    list of LimitCheck
        Worst verdict first, then the smallest share of margin left

    Raises
    ------
    ValueError
        If the result holds draws.

    Examples
    --------
    >>> from sizing.physics.plan_solve import solve_plan
    >>> inputs = PlanInputs(2.5, 4, 21.0, "indirect", 55.0, 4000.0, delivery_mm3=38.0)
    >>> checks = check_limits(solve_plan(inputs, [2000.0, 4000.0]), inputs, Limits())
    >>> len(checks) == len(DEFAULTS)
    True

    References
    ----------
    `limits.DEFAULTS` for the source of each usual value.
    """
    if result.torque_nm.ndim != 1:
        raise ValueError("the result holds many draws; limits are checked on one plan at a time")
    checks = []
    for field in fields(limits):
        usual = DEFAULTS[field.name]
        limit = float(getattr(limits, field.name))
        values = getattr(result, usual.result)
        index = int(np.argmax(values) if usual.direction == "max" else np.argmin(values))
        value = float(values[index])
        checks.append(
            LimitCheck(
                name=field.name,
                label=usual.label,
                value=value,
                limit=limit,
                unit=usual.unit,
                margin=limit - value if usual.direction == "max" else value - limit,
                at_speed_rpm=float(result.speed_rpm[index]),
                verdict=judge(value, limit, 0.0, usual.direction, usual.edge, usual.stop_beyond),
                source=source_of(usual, limit, inputs),
                why=usual.why,
            )
        )
    return sorted(checks, key=lambda c: (WORST_FIRST.index(c.verdict), c.margin / DEFAULTS[c.name].edge))


def source_of(usual: LimitDefault, limit: float, inputs: PlanInputs) -> str:
    """Where a limit comes from: the usual one's source, or the owner.

    Parameters
    ----------
    usual : LimitDefault
        The usual limit
    limit : float
        The limit in force [unit of the limit]
    inputs : PlanInputs
        What the plan was worked out from

    Returns
    -------
    str
        Source in words

    Raises
    ------
    Nothing.
    """
    value = usual.value
    if inputs.injection == "indirect" and usual.indirect is not None:
        value = usual.indirect
    if not inputs.has_cooler and usual.uncooled is not None:
        value = usual.uncooled
    return usual.source if np.isclose(value, limit) else "set by the owner"
