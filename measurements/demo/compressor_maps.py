"""Compressor maps for some demo turbos, from wheel measures and a published non-dimensional shape.

Speed lines are ellipses between surge and choke, as in the surge and choke capable compressor model of Leufvén and
Eriksson (Control Engineering Practice 2013; from memory). The pressure at surge follows from the work of the wheel.
They are there to be looked at and matched against; nobody measured them, and each says so.
"""

import numpy as np

from sizing.catalogue.models import MapPoint, Turbo

GAMMA, AIR_CP_J_KG_K, AIR_R_J_KG_K = 1.4, 1005.0, 287.05
SPEED_SHARES = (0.45, 0.60, 0.72, 0.83, 0.92, 1.0)
POINTS_A_LINE = 8
CHOKED_FLUX_KG_S_M2 = 235.0  # sonic, at the reference state
OPEN_SHARE = 0.70  # of the inlet circle: hub, blades and boundary layer take the rest
EFFICIENCY_TOP = 0.76


def _work_ratio(backsweep_deg: float, blades: float) -> float:
    """Work over tip speed squared: slip of Stodola, less for backswept blades."""
    slip = 1.0 - np.pi * np.cos(np.radians(backsweep_deg)) / blades
    return float(slip - 0.20 * np.tan(np.radians(backsweep_deg))) * 1.03  # disc friction


def map_points(turbo: Turbo) -> list[MapPoint]:
    """Speed lines at the turbo's reference state, slowest first."""
    kelvin = turbo.map_temperature_k
    inlet_m2 = np.pi / 4 * (turbo.compressor_inducer_mm / 1e3) ** 2
    most = CHOKED_FLUX_KG_S_M2 * OPEN_SHARE * inlet_m2
    work = _work_ratio(turbo.backsweep_deg, turbo.compressor_blade_count)
    points = []
    for share in SPEED_SHARES:
        speed = share * turbo.max_speed_rpm
        tip_m_s = np.pi * turbo.compressor_exducer_mm / 1e3 * speed / 60.0
        best = EFFICIENCY_TOP - 0.06 * max(0.0, share - 0.72) / 0.28 - 0.05 * max(0.0, 0.72 - share)
        surge_ratio = (1.0 + best * work * tip_m_s**2 / (AIR_CP_J_KG_K * kelvin)) ** (GAMMA / (GAMMA - 1.0))
        choke = most * (1.0 - 0.62 * (1.0 - share) - 0.30 * (1.0 - share) ** 2)
        surge = choke * (0.24 + 0.20 * share)
        for step in np.linspace(0.0, 0.97, POINTS_A_LINE):
            flow = surge + (choke - surge) * step
            ratio = 1.0 + (surge_ratio - 1.0) * (1.0 - step**2.6) ** (1.0 / 1.8)
            efficiency = best * (1.0 - 0.62 * abs(step - 0.42) ** 2.2)
            points.append(
                MapPoint(
                    speed_rpm=round(float(speed), -2), flow_kg_s=round(float(flow), 5),
                    pressure_ratio=round(float(ratio), 4), efficiency_ratio=round(float(efficiency), 4),
                )
            )  # fmt: skip
    return points
