"""Compressor: temperature rise, work, charge density, corrected flow, tip speed."""

from __future__ import annotations

import numpy as np

from sizing.physics import spans
from sizing.physics.air import GAS_CONSTANT_AIR_J_KG_K, ZERO_CELSIUS_K
from sizing.physics.errors import Floats, require
from sizing.physics.ranges import Numbers, Span, takes

AIR_EXPONENT = 1.4
AIR_CP_J_KG_K = GAS_CONSTANT_AIR_J_KG_K * AIR_EXPONENT / (AIR_EXPONENT - 1.0)
_POWER = (AIR_EXPONENT - 1.0) / AIR_EXPONENT


@takes(
    inlet_temperature_c=spans.COMPRESSOR_INLET_C,
    pressure_ratio=spans.PRESSURE_RATIO,
    efficiency_ratio=Span(0.2, 1.0, "", "isentropic efficiency"),
)
def outlet_temperature_c(inlet_temperature_c: Numbers, pressure_ratio: Numbers, efficiency_ratio: Numbers) -> Floats:
    """Air temperature behind a compressor.

    Returns: temperature, shape of the inputs together [°C].
    Source: Ideal gas of exponent 1.4. Against real air it reads 0.3 K high at ratio 2 and 1.1 K at 3.

    >>> round(float(outlet_temperature_c(25.0, 2.0, 0.70)), 1)
    118.3
    """
    # Written as a rise, so that without pressure the outlet is the inlet to the last digit.
    return (
        inlet_temperature_c + (inlet_temperature_c + ZERO_CELSIUS_K) * (pressure_ratio**_POWER - 1.0) / efficiency_ratio
    )


@takes(
    inlet_temperature_c=spans.COMPRESSOR_INLET_C,
    outlet_temperature_c=spans.CHARGE_C.of("air temperature behind it, above the inlet temperature"),
    pressure_ratio=Span(1.01, 6.0, "", "outlet over inlet pressure, absolute"),
)
def efficiency_ratio(inlet_temperature_c: Numbers, outlet_temperature_c: Numbers, pressure_ratio: Numbers) -> Floats:
    """Isentropic efficiency from measured temperatures and pressure ratio.

    Returns: efficiency, shape of the inputs together; a figure above 1 says that a reading is wrong [-].
    Raises: OutOfRange if an input is outside its range or the air has not become warmer.
    Source: Ideal gas of exponent 1.4, inverse of `outlet_temperature_c`.

    >>> round(float(efficiency_ratio(25.0, 118.3, 2.0)), 2)
    0.7
    """
    inlet = inlet_temperature_c + ZERO_CELSIUS_K
    outlet = outlet_temperature_c + ZERO_CELSIUS_K
    rise = require("temperature_rise", outlet - inlet, 0.1, 400.0, "K")
    return inlet * (pressure_ratio**_POWER - 1.0) / rise


@takes(
    air_flow_kg_s=spans.FLOW_OR_NONE_KG_S,
    inlet_temperature_c=spans.COMPRESSOR_INLET_C,
    outlet_temperature_c=spans.CHARGE_C.of("air temperature behind it"),
)
def compression_power_kw(air_flow_kg_s: Numbers, inlet_temperature_c: Numbers, outlet_temperature_c: Numbers) -> Floats:
    """Power that the compressor puts into the air.

    Returns: power, shape of the inputs together [kW].
    Source: cp of air 1004.7 J/(kg K).

    >>> round(float(compression_power_kw(0.1, 25.0, 125.0)), 2)
    10.05
    """
    return air_flow_kg_s * AIR_CP_J_KG_K * (outlet_temperature_c - inlet_temperature_c) / 1e3


@takes(
    pressure_ratio=Span(0.5, 6.0, "", "manifold over inlet pressure, absolute, after the loss of a cooler"),
    inlet_temperature_c=spans.COMPRESSOR_INLET_C,
    charge_temperature_c=spans.CHARGE_C,
)
def density_gain_ratio(pressure_ratio: Numbers, inlet_temperature_c: Numbers, charge_temperature_c: Numbers) -> Floats:
    """Charge density over the density before the compressor.

    Returns: density ratio, shape of the inputs together [-].
    Source: Ideal gas law.

    >>> round(float(density_gain_ratio(2.0, 25.0, 53.0)), 2)
    1.83
    """
    inlet = inlet_temperature_c + ZERO_CELSIUS_K
    charge = charge_temperature_c + ZERO_CELSIUS_K
    return pressure_ratio * inlet / charge


@takes(
    flow_kg_s=spans.MAP_FLOW_KG_S.of("flow as measured"),
    temperature_c=spans.MAP_INLET_C,
    pressure_kpa=Span(10.0, 600.0, "kPa", "total pressure at the inlet, absolute"),
    reference_temperature_c=spans.MAP_REFERENCE_C,
    reference_pressure_kpa=spans.MAP_REFERENCE_KPA,
)
def corrected_flow_kg_s(
    flow_kg_s: Numbers,
    temperature_c: Numbers,
    pressure_kpa: Numbers,
    reference_temperature_c: float,
    reference_pressure_kpa: float,
) -> Floats:
    """Flow as it would read at the reference state of a map.

    Returns: corrected flow, shape of the inputs together [kg/s].
    Source: Mach similarity; SAE J1826 uses 298 K and 100 kPa, SAE J922 302.6 K and 96.2 kPa (from memory), aero
        practice 288.15 K and 101.325 kPa. The same flow differs by up to 8 % between them.

    >>> round(float(corrected_flow_kg_s(0.1, 15.0, 101.325, 15.0, 101.325)), 3)
    0.1
    """
    kelvin = temperature_c + ZERO_CELSIUS_K
    base_k = reference_temperature_c + ZERO_CELSIUS_K
    return flow_kg_s * np.sqrt(kelvin / base_k) / (pressure_kpa / reference_pressure_kpa)


@takes(speed_rpm=spans.WHEEL_RPM, temperature_c=spans.MAP_INLET_C, reference_temperature_c=spans.MAP_REFERENCE_C)
def corrected_speed_rpm(speed_rpm: Numbers, temperature_c: Numbers, reference_temperature_c: float) -> Floats:
    """Wheel speed as it would read at the reference temperature of a map.

    Returns: corrected speed, shape of the inputs together [rpm].
    Source: Mach similarity.

    >>> round(float(corrected_speed_rpm(100_000, 25.0, 25.0)))
    100000
    """
    kelvin = temperature_c + ZERO_CELSIUS_K
    base_k = reference_temperature_c + ZERO_CELSIUS_K
    return speed_rpm / np.sqrt(kelvin / base_k)


@takes(wheel_diameter_mm=Span(20.0, 1000.0, "mm", "outer diameter of the wheel"), speed_rpm=spans.WHEEL_RPM)
def tip_speed_m_s(wheel_diameter_mm: Numbers, speed_rpm: Numbers) -> Floats:
    """Speed of the outer edge of a wheel.

    Returns: tip speed, shape of the inputs together [m/s].
    Source: Kinematics.

    >>> round(float(tip_speed_m_s(60.0, 150_000)), 1)
    471.2
    """
    return np.pi * wheel_diameter_mm / 1e3 * speed_rpm / 60.0
