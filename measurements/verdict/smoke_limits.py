"""How much smoke is too much at a held speed and full load. Pure.

The table is that of UN Regulation 24 for steady speeds: absorption coefficient over the nominal flow of the engine.
It stands here from memory and is a workshop's mark, not a legal verdict: the local rule comes first.
"""

import itertools

R24 = [
    (42, 2.26), (45, 2.19), (50, 2.08), (55, 1.985), (60, 1.90), (65, 1.84), (70, 1.775), (75, 1.72), (80, 1.665),
    (85, 1.62), (90, 1.575), (95, 1.535), (100, 1.495), (105, 1.465), (110, 1.425), (115, 1.395), (120, 1.37),
    (125, 1.345), (130, 1.32), (135, 1.30), (140, 1.27), (145, 1.25), (150, 1.225), (155, 1.205), (160, 1.19),
    (165, 1.17), (170, 1.155), (175, 1.14), (180, 1.125), (185, 1.11), (190, 1.095), (195, 1.08), (200, 1.065),
]  # fmt: skip


def nominal_flow_l_s(displacement_l: float, speed_rpm: float) -> float:
    """Four-stroke: one filling every second turn."""
    return displacement_l * speed_rpm / 120.0


def steady_limit_per_m(displacement_l: float, speed_rpm: float) -> float:
    """Highest k at a held speed; the first and the last row hold beyond the ends.

    >>> steady_limit_per_m(1.2, 4200.0)
    2.26
    >>> steady_limit_per_m(9.0, 3000.0)
    1.065
    """
    flow = nominal_flow_l_s(displacement_l, speed_rpm)
    if flow <= R24[0][0]:
        return R24[0][1]
    for (flow_low, k_low), (flow_high, k_high) in itertools.pairwise(R24):
        if flow <= flow_high:
            return k_low + (k_high - k_low) * (flow - flow_low) / (flow_high - flow_low)
    return R24[-1][1]
