"""A plan in one place: inputs, solving, limits. The work is done in the files named beside each name."""

from __future__ import annotations

from .limit_checks import LimitCheck, check_limits
from .limits import DEFAULTS, LimitDefault, Limits, judge, usual_limits
from .plan_data import ALLOWED, Allowed, PlanInputs, PlanResult, Range
from .plan_solve import delivery_as_built_mm3, full_delivery_mm3, solve_plan, without_turbo

__all__ = [
    "ALLOWED",
    "DEFAULTS",
    "Allowed",
    "LimitCheck",
    "LimitDefault",
    "Limits",
    "PlanInputs",
    "PlanResult",
    "Range",
    "check_limits",
    "delivery_as_built_mm3",
    "full_delivery_mm3",
    "judge",
    "solve_plan",
    "usual_limits",
    "without_turbo",
]
