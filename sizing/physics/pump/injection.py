"""How long the plunger takes to push a delivery out."""

from __future__ import annotations

from sizing.physics import spans
from sizing.physics.errors import Floats
from sizing.physics.pump.plunger import plunger_area_mm2
from sizing.physics.ranges import Numbers, Span, takes


@takes(
    delivery_mm3=Span(0.0, 1000.0, "mm³", "delivery a stroke"),
    plunger_diameter_mm=spans.PLUNGER_MM,
    plunger_speed_mm_deg=Span(0.05, 1.5, "mm/deg", "lift for a degree of pump shaft while the ports are shut"),
)
def injection_duration_deg(
    delivery_mm3: Numbers, plunger_diameter_mm: Numbers, plunger_speed_mm_deg: Numbers
) -> Floats:
    """Crank angle in which a plunger pushes a delivery out, its speed being even meanwhile.

    Fuel taken by compression is pushed before the nozzle opens and is not counted.

    Returns: crank angle, shape of the inputs together [deg].
    Source: Geometry; the pump of a four-stroke turns at half engine speed.

    >>> round(float(injection_duration_deg(60.0, 8.0, 0.2)), 2)
    11.94
    """
    return 2.0 * delivery_mm3 / (plunger_area_mm2(plunger_diameter_mm) * plunger_speed_mm_deg)
