"""Injection pump: plunger, stroke, delivery, fuel compressed in the lines, duration, governor."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sizing.physics import spans
from sizing.physics.errors import Floats, require
from sizing.physics.ranges import Numbers, Span, takes

FUEL_COMPRESSIBILITY_PER_BAR = 79e-6  # 78 to 80e-6 in Mathur & Sharma, Gupta, Rajput

EFFECTIVE_STROKE_MM = Span(0.0, 20.0, "mm", "stroke from closing to opening of the spill port")
COMPRESSIBILITY_PER_BAR = Span(20e-6, 200e-6, "1/bar", "compressibility of the fuel")
ENCLOSED = {
    "injection_pressure_bar": Span(0.0, 1500.0, "bar", "pressure rise of the enclosed fuel"),
    "enclosed_volume_mm3": Span(0.0, 30_000.0, "mm³", "volume of barrel above the plunger, line and injector"),
}


@takes(plunger_diameter_mm=spans.PLUNGER_MM)
def plunger_area_mm2(plunger_diameter_mm: Numbers) -> Floats:
    """Cross-section of a plunger.

    Returns: area, same shape [mm²].
    Source: Geometry.

    >>> round(float(plunger_area_mm2(8.0)), 3)
    50.265
    """
    return np.pi / 4.0 * plunger_diameter_mm**2


@takes(plunger_diameter_mm=spans.PLUNGER_MM, effective_stroke_mm=EFFECTIVE_STROKE_MM)
def geometric_delivery_mm3(plunger_diameter_mm: Numbers, effective_stroke_mm: Numbers) -> Floats:
    """Volume swept by the plunger while it delivers: an upper bound of what reaches the engine.

    Returns: swept volume per stroke, shape of the inputs together [mm³].
    Source: Geometry.

    >>> round(float(geometric_delivery_mm3(8.0, 1.194)), 1)
    60.0
    """
    return plunger_area_mm2(plunger_diameter_mm) * effective_stroke_mm


@takes(**ENCLOSED, compressibility_per_bar=COMPRESSIBILITY_PER_BAR)
def fuel_compression_mm3(
    injection_pressure_bar: Numbers,
    enclosed_volume_mm3: Numbers,
    compressibility_per_bar: float = FUEL_COMPRESSIBILITY_PER_BAR,
) -> Floats:
    """Volume that disappears because the fuel in barrel, line and injector is compressed.

    Returns: volume per stroke, shape of the inputs together [mm³].
    Source: Mathur & Sharma, Internal Combustion Engine, ch. 12; Gupta ch. 10; Rajput ch. 12.

    >>> round(float(fuel_compression_mm3(279.0, 8000.0, 80e-6)), 1)
    178.6
    """
    return compressibility_per_bar * injection_pressure_bar * enclosed_volume_mm3


@takes(
    bore_mm=Span(0.5, 6.0, "mm", "inner diameter of the line"), length_mm=Span(0.0, 3000.0, "mm", "length of the line")
)
def line_volume_mm3(bore_mm: Numbers, length_mm: Numbers) -> Floats:
    """Volume of an injection line.

    Returns: volume, shape of the inputs together [mm³].
    Source: Geometry.

    >>> round(float(line_volume_mm3(3.0, 700.0)))
    4948
    """
    return np.pi / 4.0 * bore_mm**2 * length_mm


@takes(plunger_diameter_mm=spans.PLUNGER_MM, effective_stroke_mm=EFFECTIVE_STROKE_MM, **ENCLOSED)
def delivery_bound_mm3(
    plunger_diameter_mm: Numbers,
    effective_stroke_mm: Numbers,
    injection_pressure_bar: Numbers,
    enclosed_volume_mm3: Numbers,
) -> Floats:
    """Most that a pump can deliver: swept volume less the compression of the fuel.

    Leakage and the elasticity of the lines take more; only the bench says what is left.

    Returns: delivery per stroke, shape of the inputs together [mm³].
    Raises: OutOfRange if an input is outside its range, or the compression takes all of the swept volume.
    Source: Mathur & Sharma, Internal Combustion Engine, ch. 12.

    >>> round(float(delivery_bound_mm3(6.0, 3.0, 300.0, 1200.0)), 1)
    56.4
    """
    swept = geometric_delivery_mm3(plunger_diameter_mm, effective_stroke_mm)
    lost = fuel_compression_mm3(injection_pressure_bar, enclosed_volume_mm3)
    return require("delivery_left_after_fuel_compression_mm3", swept - lost, 0.1, 2000.0, "mm³")


@takes(
    delivery_mm3=spans.DELIVERY_MM3.of("wanted delivery per stroke"),
    plunger_diameter_mm=spans.PLUNGER_MM,
    **ENCLOSED,
    compressibility_per_bar=COMPRESSIBILITY_PER_BAR,
)
def effective_stroke_for_mm(
    delivery_mm3: Numbers,
    plunger_diameter_mm: Numbers,
    injection_pressure_bar: Numbers,
    enclosed_volume_mm3: Numbers,
    compressibility_per_bar: float = FUEL_COMPRESSIBILITY_PER_BAR,
) -> Floats:
    """Effective stroke that a plunger needs for a delivery, with the fuel compressed on the way.

    Returns: effective stroke, shape of the inputs together [mm].
    Source: Mathur & Sharma, Internal Combustion Engine, example 12.5.

    >>> volume = 7000.0 + line_volume_mm3(3.0, 700.0) + 3000.0
    >>> round(float(effective_stroke_for_mm(150.0, 8.0, 199.0, volume, 78.8e-6)), 2)
    7.65
    """
    lost = fuel_compression_mm3(injection_pressure_bar, enclosed_volume_mm3, compressibility_per_bar)
    stroke: Floats = (delivery_mm3 + lost) / plunger_area_mm2(plunger_diameter_mm)
    return stroke


@takes(
    delivery_mm3=spans.DELIVERY_MM3.of("delivery with the old plunger"),
    old_diameter_mm=spans.PLUNGER_MM.of("diameter of the old plunger"),
    new_diameter_mm=spans.PLUNGER_MM.of("diameter of the new plunger"),
    compression_mm3=Span(0.0, 1000.0, "mm³", "volume taken by the compression of the fuel"),
)
def delivery_after_plunger_change_mm3(
    delivery_mm3: Numbers, old_diameter_mm: Numbers, new_diameter_mm: Numbers, compression_mm3: Numbers = 0.0
) -> Floats:
    """Delivery at the same rack position after a change of plunger.

    The effective stroke stays, so the swept volume goes with the square of the diameter; the
    compression of the fuel takes the same volume as before.

    Returns: delivery with the new plunger, shape of the inputs together [mm³].
    Raises: OutOfRange if an input is outside its range, or nothing is left to deliver.
    Source: Geometry.

    >>> round(float(delivery_after_plunger_change_mm3(40.0, 6.0, 7.0)), 1)
    54.4
    """
    gain = plunger_area_mm2(new_diameter_mm) / plunger_area_mm2(old_diameter_mm)
    return require("new_delivery_mm3", (delivery_mm3 + compression_mm3) * gain - compression_mm3, 0.1, 4000.0, "mm³")


@takes(
    delivery_mm3=Span(0.0, 2000.0, "mm³", "delivery per stroke"),
    density_kg_m3=spans.FUEL_DENSITY_KG_M3,
    speed_rpm=spans.ANY_RPM,
    cylinder_count=spans.CYLINDERS,
)
def fuel_flow_kg_s(
    delivery_mm3: Numbers, density_kg_m3: Numbers, speed_rpm: Numbers, cylinder_count: Numbers
) -> Floats:
    """Fuel flow of a four-stroke engine with one delivery a cylinder every second turn.

    Returns: fuel flow, shape of the inputs together [kg/s].
    Source: Definition; 1 mm³ a stroke is 1 cm³ per 1000 strokes.

    >>> round(float(fuel_flow_kg_s(57.7, 840.0, 2500.0, 6)) * 3600, 1)
    21.8
    """
    return delivery_mm3 * 1e-9 * density_kg_m3 * cylinder_count * speed_rpm / 120.0


@takes(
    fuel_flow_kg_s=spans.FUEL_FLOW_KG_S,
    density_kg_m3=spans.FUEL_DENSITY_KG_M3,
    speed_rpm=spans.TURNING_RPM,
    cylinder_count=spans.CYLINDERS,
)
def delivery_for_flow_mm3(
    fuel_flow_kg_s: Numbers, density_kg_m3: Numbers, speed_rpm: Numbers, cylinder_count: Numbers
) -> Floats:
    """Delivery per stroke that makes up a fuel flow, four-stroke.

    Returns: delivery, shape of the inputs together [mm³].
    Source: Inverse of `fuel_flow_kg_s`; Mathur & Sharma, example 12.1.

    >>> round(float(delivery_for_flow_mm3(21.805 / 3600, 840.0, 2500.0, 6)), 1)
    57.7
    """
    return fuel_flow_kg_s * 120.0 / (density_kg_m3 * cylinder_count * speed_rpm) * 1e9


@takes(duration_deg=Span(0.0, 90.0, "deg", "injection duration in crank degrees"), speed_rpm=spans.TURNING_RPM)
def duration_ms(duration_deg: Numbers, speed_rpm: Numbers) -> Floats:
    """Time that an injection of a given crank angle takes.

    Returns: duration, shape of the inputs together [ms].
    Source: Kinematics.

    >>> round(float(duration_ms(30.0, 1500.0)), 3)
    3.333
    """
    return duration_deg / (6.0 * speed_rpm) * 1e3


@takes(
    speed_rpm="engine speed, 100 to 8000 [rpm]",
    rated_speed_rpm=Span(500.0, 8000.0, "rpm", "speed at which the governor begins to cut"),
    governed_speed_rpm=Span(500.0, 9000.0, "rpm", "highest speed without load, above the rated speed"),
)
def governed_share(speed_rpm: ArrayLike, rated_speed_rpm: Numbers, governed_speed_rpm: Numbers) -> Floats:
    """Share of the full-load delivery above its no-load part that the governor leaves.

    Returns: 1 up to the rated speed, falling in a straight line to 0 at the governed speed [-].
    Raises: OutOfRange if an input is outside its range, or a speed is above the governed speed.
    Source: Common practice: the run-down of a mechanical governor is close to a straight line.

    >>> [round(float(governed_share(n, 4000.0, 4400.0)), 2) for n in (3000.0, 4200.0, 4400.0)]
    [1.0, 0.5, 0.0]
    """
    require("governed_above_rated_speed_rpm", governed_speed_rpm - rated_speed_rpm, 10.0, 3000.0, "rpm")
    speed = require("speed_rpm", speed_rpm, 100.0, float(np.max(governed_speed_rpm)), "rpm")
    left = (governed_speed_rpm - speed) / (governed_speed_rpm - rated_speed_rpm)
    require("speed_below_governed_speed_rpm", governed_speed_rpm - speed, 0.0, 9000.0, "rpm")
    return np.minimum(left, 1.0)
