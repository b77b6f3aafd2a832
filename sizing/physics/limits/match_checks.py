"""Limits that only a match can be held against: surge, choke, tip speed, pressure before the turbine."""

from __future__ import annotations

from sizing.physics.limits.checks import LimitCheck, in_order, judged
from sizing.physics.limits.curves import turbo_curves
from sizing.physics.limits.values import TURBO_DEFAULTS, TurboLimits
from sizing.physics.match.solve import Match

__all__ = ["TURBO_DEFAULTS", "TurboLimits", "check_match"]


def check_match(match: Match, limits: TurboLimits) -> list[LimitCheck]:
    """Hold an operating line against the limits of the turbo.

    A limit about which nothing is known, for want of a map or a wheel diameter, is left out. They are
    looked at where the turbo works: from 10 kPa and a quarter of its highest boost on. Where the map is
    an estimate, its error is the uncertainty of surge, choke and tip speed.

    Takes:
        match: answer of `solve_match` for one plan, without draws
        limits: limits to hold
    Returns: worst verdict first.
    Raises: ValueError if the match holds draws.
    Source: `TURBO_DEFAULTS` for the source of each usual value.
    """
    if match.solved.ndim != 1:
        raise ValueError("the match holds many draws; limits are checked on one plan at a time")
    return in_order([
        judged(curve, match.plan.speed_rpm, None if curve.limit != curve.usual.value else curve.usual.source)
        for curve in turbo_curves(match, limits)
    ])  # fmt: skip
