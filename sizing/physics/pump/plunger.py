"""Injection pump: plunger, stroke, delivery, fuel compressed in the lines, duration, governor."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sizing.physics.errors import Floats, require

FUEL_COMPRESSIBILITY_PER_BAR = 79e-6  # 78 to 80e-6 in Mathur & Sharma, Gupta, Rajput


def plunger_area_mm2(plunger_diameter_mm: ArrayLike) -> Floats:
    """Cross-section of a plunger.

    Parameters
    ----------
    plunger_diameter_mm : float or array
        Plunger diameter, 4 to 20 [mm]

    Returns
    -------
    array
        Area, same shape [mm²]

    Raises
    ------
    OutOfRange
        If the diameter is outside 4 to 20 mm.

    Examples
    --------
    >>> round(float(plunger_area_mm2(8.0)), 3)
    50.265

    References
    ----------
    Geometry.
    """
    diameter = require("plunger_diameter_mm", plunger_diameter_mm, 4.0, 20.0, "mm")
    return np.pi / 4.0 * diameter**2


def geometric_delivery_mm3(plunger_diameter_mm: ArrayLike, effective_stroke_mm: ArrayLike) -> Floats:
    """Volume swept by the plunger while it delivers: an upper bound of what reaches the engine.

    Parameters
    ----------
    plunger_diameter_mm : float or array
        Plunger diameter, 4 to 20 [mm]
    effective_stroke_mm : float or array
        Stroke from closing to opening of the spill port, 0 to 20 [mm]

    Returns
    -------
    array
        Swept volume per stroke, shape of the inputs together [mm³]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(geometric_delivery_mm3(8.0, 1.194)), 1)
    60.0

    References
    ----------
    Geometry.
    """
    stroke = require("effective_stroke_mm", effective_stroke_mm, 0.0, 20.0, "mm")
    return plunger_area_mm2(plunger_diameter_mm) * stroke


def fuel_compression_mm3(
    injection_pressure_bar: ArrayLike,
    enclosed_volume_mm3: ArrayLike,
    compressibility_per_bar: float = FUEL_COMPRESSIBILITY_PER_BAR,
) -> Floats:
    """Volume that disappears because the fuel in barrel, line and injector is compressed.

    Parameters
    ----------
    injection_pressure_bar : float or array
        Pressure rise of the enclosed fuel, 0 to 1500 [bar]
    enclosed_volume_mm3 : float or array
        Volume of barrel above the plunger, line and injector, 0 to 30 000 [mm³]
    compressibility_per_bar : float
        Compressibility of the fuel, 20e-6 to 200e-6 [1/bar]

    Returns
    -------
    array
        Volume per stroke, shape of the inputs together [mm³]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(fuel_compression_mm3(279.0, 8000.0, 80e-6)), 1)
    178.6

    References
    ----------
    Mathur & Sharma, Internal Combustion Engine, ch. 12; Gupta ch. 10; Rajput ch. 12.
    """
    pressure = require("injection_pressure_bar", injection_pressure_bar, 0.0, 1500.0, "bar")
    volume = require("enclosed_volume_mm3", enclosed_volume_mm3, 0.0, 30_000.0, "mm³")
    factor = require("compressibility_per_bar", compressibility_per_bar, 20e-6, 200e-6, "1/bar")
    return factor * pressure * volume


def line_volume_mm3(bore_mm: ArrayLike, length_mm: ArrayLike) -> Floats:
    """Volume of an injection line.

    Parameters
    ----------
    bore_mm : float or array
        Inner diameter of the line, 0.5 to 6 [mm]
    length_mm : float or array
        Length of the line, 0 to 3000 [mm]

    Returns
    -------
    array
        Volume, shape of the inputs together [mm³]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(line_volume_mm3(3.0, 700.0)))
    4948

    References
    ----------
    Geometry.
    """
    bore = require("bore_mm", bore_mm, 0.5, 6.0, "mm")
    length = require("length_mm", length_mm, 0.0, 3000.0, "mm")
    return np.pi / 4.0 * bore**2 * length


def delivery_bound_mm3(
    plunger_diameter_mm: ArrayLike,
    effective_stroke_mm: ArrayLike,
    injection_pressure_bar: ArrayLike,
    enclosed_volume_mm3: ArrayLike,
) -> Floats:
    """Most that a pump can deliver: swept volume less the compression of the fuel.

    Leakage and the elasticity of the lines take more; only the bench says what is left.

    Parameters
    ----------
    plunger_diameter_mm : float or array
        Plunger diameter, 4 to 20 [mm]
    effective_stroke_mm : float or array
        Stroke from closing to opening of the spill port, 0 to 20 [mm]
    injection_pressure_bar : float or array
        Pressure rise of the enclosed fuel, 0 to 1500 [bar]
    enclosed_volume_mm3 : float or array
        Volume of barrel, line and injector, 0 to 30 000 [mm³]

    Returns
    -------
    array
        Delivery per stroke, shape of the inputs together [mm³]

    Raises
    ------
    OutOfRange
        If an input is outside its range, or the compression takes all of the swept volume.

    Examples
    --------
    >>> round(float(delivery_bound_mm3(6.0, 3.0, 300.0, 1200.0)), 1)
    56.4

    References
    ----------
    Mathur & Sharma, Internal Combustion Engine, ch. 12.
    """
    swept = geometric_delivery_mm3(plunger_diameter_mm, effective_stroke_mm)
    lost = fuel_compression_mm3(injection_pressure_bar, enclosed_volume_mm3)
    return require("delivery_left_after_fuel_compression_mm3", swept - lost, 0.1, 2000.0, "mm³")


def effective_stroke_for_mm(
    delivery_mm3: ArrayLike,
    plunger_diameter_mm: ArrayLike,
    injection_pressure_bar: ArrayLike,
    enclosed_volume_mm3: ArrayLike,
    compressibility_per_bar: float = FUEL_COMPRESSIBILITY_PER_BAR,
) -> Floats:
    """Effective stroke that a plunger needs for a delivery, with the fuel compressed on the way.

    Parameters
    ----------
    delivery_mm3 : float or array
        Wanted delivery per stroke, 1 to 1000 [mm³]
    plunger_diameter_mm : float or array
        Plunger diameter, 4 to 20 [mm]
    injection_pressure_bar : float or array
        Pressure rise of the enclosed fuel, 0 to 1500 [bar]
    enclosed_volume_mm3 : float or array
        Volume of barrel, line and injector, 0 to 30 000 [mm³]
    compressibility_per_bar : float
        Compressibility of the fuel, 20e-6 to 200e-6 [1/bar]

    Returns
    -------
    array
        Effective stroke, shape of the inputs together [mm]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> volume = 7000.0 + line_volume_mm3(3.0, 700.0) + 3000.0
    >>> round(float(effective_stroke_for_mm(150.0, 8.0, 199.0, volume, 78.8e-6)), 2)
    7.65

    References
    ----------
    Mathur & Sharma, Internal Combustion Engine, example 12.5.
    """
    wanted = require("delivery_mm3", delivery_mm3, 1.0, 1000.0, "mm³")
    lost = fuel_compression_mm3(injection_pressure_bar, enclosed_volume_mm3, compressibility_per_bar)
    return (wanted + lost) / plunger_area_mm2(plunger_diameter_mm)


def delivery_after_plunger_change_mm3(
    delivery_mm3: ArrayLike, old_diameter_mm: ArrayLike, new_diameter_mm: ArrayLike, compression_mm3: ArrayLike = 0.0
) -> Floats:
    """Delivery at the same rack position after a change of plunger.

    The effective stroke stays, so the swept volume goes with the square of the diameter; the
    compression of the fuel takes the same volume as before.

    Parameters
    ----------
    delivery_mm3 : float or array
        Delivery with the old plunger, 1 to 1000 [mm³]
    old_diameter_mm : float or array
        Diameter of the old plunger, 4 to 20 [mm]
    new_diameter_mm : float or array
        Diameter of the new plunger, 4 to 20 [mm]
    compression_mm3 : float or array
        Volume taken by the compression of the fuel, 0 to 1000 [mm³]

    Returns
    -------
    array
        Delivery with the new plunger, shape of the inputs together [mm³]

    Raises
    ------
    OutOfRange
        If an input is outside its range, or nothing is left to deliver.

    Examples
    --------
    >>> round(float(delivery_after_plunger_change_mm3(40.0, 6.0, 7.0)), 1)
    54.4

    References
    ----------
    Geometry.
    """
    old = require("delivery_mm3", delivery_mm3, 1.0, 1000.0, "mm³")
    lost = require("compression_mm3", compression_mm3, 0.0, 1000.0, "mm³")
    gain = plunger_area_mm2(new_diameter_mm) / plunger_area_mm2(old_diameter_mm)
    return require("new_delivery_mm3", (old + lost) * gain - lost, 0.1, 4000.0, "mm³")


def fuel_flow_kg_s(
    delivery_mm3: ArrayLike, density_kg_m3: ArrayLike, speed_rpm: ArrayLike, cylinder_count: ArrayLike
) -> Floats:
    """Fuel flow of a four-stroke engine with one delivery a cylinder every second turn.

    Parameters
    ----------
    delivery_mm3 : float or array
        Delivery per stroke, 0 to 2000 [mm³]
    density_kg_m3 : float or array
        Density of the fuel at the pump, 700 to 1000 [kg/m³]
    speed_rpm : float or array
        Engine speed, 0 to 8000 [rpm]
    cylinder_count : int or array
        Number of cylinders, 1 to 16 [-]

    Returns
    -------
    array
        Fuel flow, shape of the inputs together [kg/s]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(fuel_flow_kg_s(57.7, 840.0, 2500.0, 6)) * 3600, 1)
    21.8

    References
    ----------
    Definition; 1 mm³ a stroke is 1 cm³ per 1000 strokes.
    """
    delivery = require("delivery_mm3", delivery_mm3, 0.0, 2000.0, "mm³")
    density = require("density_kg_m3", density_kg_m3, 700.0, 1000.0, "kg/m³")
    speed = require("speed_rpm", speed_rpm, 0.0, 8000.0, "rpm")
    cylinders = require("cylinder_count", cylinder_count, 1.0, 16.0, "")
    return delivery * 1e-9 * density * cylinders * speed / 120.0


def delivery_for_flow_mm3(
    fuel_flow_kg_s: ArrayLike, density_kg_m3: ArrayLike, speed_rpm: ArrayLike, cylinder_count: ArrayLike
) -> Floats:
    """Delivery per stroke that makes up a fuel flow, four-stroke.

    Parameters
    ----------
    fuel_flow_kg_s : float or array
        Fuel flow, 0 to 0.5 [kg/s]
    density_kg_m3 : float or array
        Density of the fuel at the pump, 700 to 1000 [kg/m³]
    speed_rpm : float or array
        Engine speed, 100 to 8000 [rpm]
    cylinder_count : int or array
        Number of cylinders, 1 to 16 [-]

    Returns
    -------
    array
        Delivery, shape of the inputs together [mm³]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(delivery_for_flow_mm3(21.805 / 3600, 840.0, 2500.0, 6)), 1)
    57.7

    References
    ----------
    Inverse of `fuel_flow_kg_s`; Mathur & Sharma, example 12.1.
    """
    flow = require("fuel_flow_kg_s", fuel_flow_kg_s, 0.0, 0.5, "kg/s")
    density = require("density_kg_m3", density_kg_m3, 700.0, 1000.0, "kg/m³")
    speed = require("speed_rpm", speed_rpm, 100.0, 8000.0, "rpm")
    cylinders = require("cylinder_count", cylinder_count, 1.0, 16.0, "")
    return flow * 120.0 / (density * cylinders * speed) * 1e9


def duration_ms(duration_deg: ArrayLike, speed_rpm: ArrayLike) -> Floats:
    """Time that an injection of a given crank angle takes.

    Parameters
    ----------
    duration_deg : float or array
        Injection duration in crank degrees, 0 to 90 [deg]
    speed_rpm : float or array
        Engine speed, 100 to 8000 [rpm]

    Returns
    -------
    array
        Duration, shape of the inputs together [ms]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(duration_ms(30.0, 1500.0)), 3)
    3.333

    References
    ----------
    Kinematics.
    """
    angle = require("duration_deg", duration_deg, 0.0, 90.0, "deg")
    speed = require("speed_rpm", speed_rpm, 100.0, 8000.0, "rpm")
    return angle / (6.0 * speed) * 1e3


def governed_share(speed_rpm: ArrayLike, rated_speed_rpm: ArrayLike, governed_speed_rpm: ArrayLike) -> Floats:
    """Share of the full-load delivery above its no-load part that the governor leaves.

    Parameters
    ----------
    speed_rpm : float or array
        Engine speed, 100 to 8000 [rpm]
    rated_speed_rpm : float or array
        Speed at which the governor begins to cut, 500 to 8000 [rpm]
    governed_speed_rpm : float or array
        Highest speed without load, above the rated speed [rpm]

    Returns
    -------
    array
        1 up to the rated speed, falling in a straight line to 0 at the governed speed [-]

    Raises
    ------
    OutOfRange
        If an input is outside its range, or a speed is above the governed speed.

    Examples
    --------
    >>> [round(float(governed_share(n, 4000.0, 4400.0)), 2) for n in (3000.0, 4200.0, 4400.0)]
    [1.0, 0.5, 0.0]

    References
    ----------
    Common practice: the run-down of a mechanical governor is close to a straight line.
    """
    rated = require("rated_speed_rpm", rated_speed_rpm, 500.0, 8000.0, "rpm")
    governed = require("governed_speed_rpm", governed_speed_rpm, 500.0, 9000.0, "rpm")
    require("governed_above_rated_speed_rpm", governed - rated, 10.0, 3000.0, "rpm")
    speed = require("speed_rpm", speed_rpm, 100.0, float(np.max(governed)), "rpm")
    left = (governed - speed) / (governed - rated)
    require("speed_below_governed_speed_rpm", governed - speed, 0.0, 9000.0, "rpm")
    return np.minimum(left, 1.0)
