"""Limits that only a match can be held against: surge, choke, tip speed, pressure before the turbine."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from .errors import Floats, require
from .limit_checks import LimitCheck
from .limits import PRACTICE, WORST_FIRST, LimitDefault, judge
from .match import Match

TURBO_DEFAULTS: dict[str, LimitDefault] = {
    "surge_margin_min_ratio": LimitDefault(
        "Distance from surge", 0.10, "", "min", 0.05, PRACTICE + ": 10 to 15 % of flow",
        "In surge the air turns back in the wheel, with thumps that break blades and bearings.",
        "surge_margin_ratio", low=0.0, high=0.5,
    ),
    "choke_margin_min_ratio": LimitDefault(
        "Distance from choke", 0.05, "", "min", 0.03, PRACTICE,
        "Near choke the wheel speeds up and heats the air without more boost.",
        "choke_margin_ratio", low=0.0, high=0.5,
    ),
    "tip_speed_max_m_s": LimitDefault(
        "Compressor tip speed", 500.0, "m/s", "max", 30.0,
        "Cast aluminium wheels: about 500 to 530 m/s (literature, from memory)",
        "A wheel that bursts goes through its housing.",
        "compressor_tip_speed_m_s", stop_beyond=30.0, low=250.0, high=650.0,
    ),
    "exhaust_over_boost_max_ratio": LimitDefault(
        "Pressure before turbine over manifold pressure", 1.50, "", "max", 0.20,
        PRACTICE + ": absolute pressures about equal when well matched, up to 1.5 with a small housing",
        "The pistons push against it: fuel is lost, and burnt gas stays in the cylinder.",
        "exhaust_over_boost_ratio", low=0.8, high=4.0,
    ),
}


@dataclass(frozen=True)
class TurboLimits:
    """Limits of the turbo itself; `TURBO_DEFAULTS` holds source and reason of each."""

    surge_margin_min_ratio: float = TURBO_DEFAULTS["surge_margin_min_ratio"].value
    choke_margin_min_ratio: float = TURBO_DEFAULTS["choke_margin_min_ratio"].value
    tip_speed_max_m_s: float = TURBO_DEFAULTS["tip_speed_max_m_s"].value
    exhaust_over_boost_max_ratio: float = TURBO_DEFAULTS["exhaust_over_boost_max_ratio"].value

    def __post_init__(self) -> None:
        for field in fields(self):
            usual = TURBO_DEFAULTS[field.name]
            require(field.name, getattr(self, field.name), usual.low, usual.high, usual.unit)


def check_match(match: Match, limits: TurboLimits) -> list[LimitCheck]:
    """Hold an operating line against the limits of the turbo.

    A limit about which nothing is known, for want of a map or a wheel diameter, is left out.
    Surge and choke are only looked at where the turbo works (10 kPa of boost or more).

    Parameters
    ----------
    match : Match
        Answer of `solve_match` for one plan, without draws
    limits : TurboLimits
        Limits to hold

    Returns
    -------
    list of LimitCheck
        Worst verdict first

    Raises
    ------
    ValueError
        If the match holds draws.

    References
    ----------
    `TURBO_DEFAULTS` for the source of each usual value.
    """
    if match.solved.ndim != 1:
        raise ValueError("the match holds many draws; limits are checked on one plan at a time")
    works = match.plan.boost_kpa >= 10.0
    curves: dict[str, Floats] = {
        "surge_margin_min_ratio": match.surge_margin_ratio,
        "choke_margin_min_ratio": match.choke_margin_ratio,
        "tip_speed_max_m_s": match.compressor_tip_speed_m_s,
        "exhaust_over_boost_max_ratio": match.plan.exhaust_pressure_kpa / match.plan.manifold_pressure_kpa,
    }
    checks = []
    for name, curve in curves.items():
        known = np.all(np.isfinite(curve)) and np.any(curve != 0.0)
        if not known or not np.any(works):
            continue
        usual = TURBO_DEFAULTS[name]
        limit = float(getattr(limits, name))
        index = int(np.argmax(np.where(works, curve, -np.inf)) if usual.direction == "max"
                    else np.argmin(np.where(works, curve, np.inf)))  # fmt: skip
        value = float(curve[index])
        checks.append(
            LimitCheck(
                name, usual.label, value, limit, usual.unit,
                limit - value if usual.direction == "max" else value - limit,
                float(match.plan.speed_rpm[index]),
                judge(value, limit, 0.0, usual.direction, usual.edge, usual.stop_beyond),
                usual.source if np.isclose(limit, usual.value) else "set by the owner",
                usual.why,
            )
        )  # fmt: skip
    return sorted(checks, key=lambda c: (WORST_FIRST.index(c.verdict), c.margin / TURBO_DEFAULTS[c.name].edge))
