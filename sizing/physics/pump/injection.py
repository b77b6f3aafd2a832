"""How long the plunger takes to push a delivery out."""

from __future__ import annotations

from numpy.typing import ArrayLike

from sizing.physics.errors import Floats, require
from sizing.physics.pump.plunger import plunger_area_mm2


def injection_duration_deg(
    delivery_mm3: ArrayLike, plunger_diameter_mm: ArrayLike, plunger_speed_mm_deg: ArrayLike
) -> Floats:
    """Crank angle in which a plunger pushes a delivery out, its speed being even meanwhile.

    Fuel taken by compression is pushed before the nozzle opens and is not counted.

    Parameters
    ----------
    delivery_mm3 : float or array
        Delivery a stroke, 0 to 1000 [mm³]
    plunger_diameter_mm : float or array
        Plunger diameter, 4 to 20 [mm]
    plunger_speed_mm_deg : float or array
        Lift for a degree of pump shaft while the ports are shut, 0.05 to 1.5 [mm/deg]

    Returns
    -------
    array
        Crank angle, shape of the inputs together [deg]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(injection_duration_deg(60.0, 8.0, 0.2)), 2)
    11.94

    References
    ----------
    Geometry; the pump of a four-stroke turns at half engine speed.
    """
    delivery = require("delivery_mm3", delivery_mm3, 0.0, 1000.0, "mm³")
    speed = require("plunger_speed_mm_deg", plunger_speed_mm_deg, 0.05, 1.5, "mm/deg")
    return 2.0 * delivery / (plunger_area_mm2(plunger_diameter_mm) * speed)
