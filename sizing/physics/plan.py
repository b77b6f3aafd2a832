"""A plan in one place: inputs, solving, limits. The work is done in the files named beside each name."""

from __future__ import annotations

from .limit_checks import LimitCheck, check_limits
from .limits import DEFAULTS, LimitDefault, Limits, judge, usual_limits
from .plan_data import ALLOWED, Allowed, PlanInputs, PlanResult, Range
from .plan_solve import delivery_as_built_mm3, full_delivery_mm3, solve_plan, without_turbo
from .uncertainty import Chances, Influence, LimitChance, chances, swing, usual_speeds_rpm

__all__ = [
    "ALLOWED",
    "DEFAULTS",
    "Allowed",
    "Chances",
    "Influence",
    "LimitChance",
    "LimitCheck",
    "LimitDefault",
    "Limits",
    "PlanInputs",
    "PlanResult",
    "Range",
    "chances",
    "check_limits",
    "delivery_as_built_mm3",
    "full_delivery_mm3",
    "judge",
    "solve_plan",
    "swing",
    "usual_limits",
    "usual_speeds_rpm",
    "without_turbo",
]
