"""Compressor: temperature rise, work, charge density, corrected flow, tip speed."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sizing.physics.air import GAS_CONSTANT_AIR_J_KG_K, ZERO_CELSIUS_K
from sizing.physics.errors import Floats, require

AIR_EXPONENT = 1.4
AIR_CP_J_KG_K = GAS_CONSTANT_AIR_J_KG_K * AIR_EXPONENT / (AIR_EXPONENT - 1.0)
_POWER = (AIR_EXPONENT - 1.0) / AIR_EXPONENT


def outlet_temperature_c(
    inlet_temperature_c: ArrayLike, pressure_ratio: ArrayLike, efficiency_ratio: ArrayLike
) -> Floats:
    """Air temperature behind a compressor.

    Parameters
    ----------
    inlet_temperature_c : float or array
        Air temperature before the compressor, -60 to 100 [°C]
    pressure_ratio : float or array
        Outlet over inlet pressure, absolute, total to total, 1 to 6 [-]
    efficiency_ratio : float or array
        Isentropic efficiency, 0.2 to 1 [-]

    Returns
    -------
    array
        Temperature, shape of the inputs together [°C]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(outlet_temperature_c(25.0, 2.0, 0.70)), 1)
    118.3

    References
    ----------
    Ideal gas of exponent 1.4. Against real air it reads 0.3 K high at ratio 2 and 1.1 K at 3.
    """
    inlet = require("inlet_temperature_c", inlet_temperature_c, -60.0, 100.0, "°C")
    ratio = require("pressure_ratio", pressure_ratio, 1.0, 6.0, "")
    efficiency = require("efficiency_ratio", efficiency_ratio, 0.2, 1.0, "")
    # Written as a rise, so that without pressure the outlet is the inlet to the last digit.
    return inlet + (inlet + ZERO_CELSIUS_K) * (ratio**_POWER - 1.0) / efficiency


def efficiency_ratio(
    inlet_temperature_c: ArrayLike, outlet_temperature_c: ArrayLike, pressure_ratio: ArrayLike
) -> Floats:
    """Isentropic efficiency from measured temperatures and pressure ratio.

    Parameters
    ----------
    inlet_temperature_c : float or array
        Air temperature before the compressor, -60 to 100 [°C]
    outlet_temperature_c : float or array
        Air temperature behind it, above the inlet temperature, up to 400 [°C]
    pressure_ratio : float or array
        Outlet over inlet pressure, absolute, 1.01 to 6 [-]

    Returns
    -------
    array
        Efficiency, shape of the inputs together; a figure above 1 says that a reading is wrong [-]

    Raises
    ------
    OutOfRange
        If an input is outside its range or the air has not become warmer.

    Examples
    --------
    >>> round(float(efficiency_ratio(25.0, 118.3, 2.0)), 2)
    0.7

    References
    ----------
    Ideal gas of exponent 1.4, inverse of `outlet_temperature_c`.
    """
    inlet = require("inlet_temperature_c", inlet_temperature_c, -60.0, 100.0, "°C") + ZERO_CELSIUS_K
    outlet = require("outlet_temperature_c", outlet_temperature_c, -60.0, 400.0, "°C") + ZERO_CELSIUS_K
    ratio = require("pressure_ratio", pressure_ratio, 1.01, 6.0, "")
    rise = require("temperature_rise", outlet - inlet, 0.1, 400.0, "K")
    return inlet * (ratio**_POWER - 1.0) / rise


def power_kw(air_flow_kg_s: ArrayLike, inlet_temperature_c: ArrayLike, outlet_temperature_c: ArrayLike) -> Floats:
    """Power that the compressor puts into the air.

    Parameters
    ----------
    air_flow_kg_s : float or array
        Air flow, 0 to 5 [kg/s]
    inlet_temperature_c : float or array
        Air temperature before the compressor, -60 to 100 [°C]
    outlet_temperature_c : float or array
        Air temperature behind it, -60 to 400 [°C]

    Returns
    -------
    array
        Power, shape of the inputs together [kW]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(power_kw(0.1, 25.0, 125.0)), 2)
    10.05

    References
    ----------
    cp of air 1004.7 J/(kg K).
    """
    flow = require("air_flow_kg_s", air_flow_kg_s, 0.0, 5.0, "kg/s")
    inlet = require("inlet_temperature_c", inlet_temperature_c, -60.0, 100.0, "°C")
    outlet = require("outlet_temperature_c", outlet_temperature_c, -60.0, 400.0, "°C")
    return flow * AIR_CP_J_KG_K * (outlet - inlet) / 1e3


def density_gain_ratio(
    pressure_ratio: ArrayLike, inlet_temperature_c: ArrayLike, charge_temperature_c: ArrayLike
) -> Floats:
    """Charge density over the density before the compressor.

    Parameters
    ----------
    pressure_ratio : float or array
        Manifold over inlet pressure, absolute, after the loss of a cooler, 0.5 to 6 [-]
    inlet_temperature_c : float or array
        Air temperature before the compressor, -60 to 100 [°C]
    charge_temperature_c : float or array
        Air temperature in the manifold, -60 to 400 [°C]

    Returns
    -------
    array
        Density ratio, shape of the inputs together [-]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(density_gain_ratio(2.0, 25.0, 53.0)), 2)
    1.83

    References
    ----------
    Ideal gas law.
    """
    ratio = require("pressure_ratio", pressure_ratio, 0.5, 6.0, "")
    inlet = require("inlet_temperature_c", inlet_temperature_c, -60.0, 100.0, "°C") + ZERO_CELSIUS_K
    charge = require("charge_temperature_c", charge_temperature_c, -60.0, 400.0, "°C") + ZERO_CELSIUS_K
    return ratio * inlet / charge


def corrected_flow_kg_s(
    flow_kg_s: ArrayLike,
    temperature_c: ArrayLike,
    pressure_kpa: ArrayLike,
    reference_temperature_c: float,
    reference_pressure_kpa: float,
) -> Floats:
    """Flow as it would read at the reference state of a map.

    Parameters
    ----------
    flow_kg_s : float or array
        Flow as measured, 0 to 100 [kg/s]
    temperature_c : float or array
        Total temperature at the inlet, -60 to 1000 [°C]
    pressure_kpa : float or array
        Total pressure at the inlet, absolute, 10 to 600 [kPa]
    reference_temperature_c : float
        Temperature of the map's reference state, -20 to 1000 [°C]
    reference_pressure_kpa : float
        Pressure of the map's reference state, 50 to 200 [kPa]

    Returns
    -------
    array
        Corrected flow, shape of the inputs together [kg/s]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(corrected_flow_kg_s(0.1, 15.0, 101.325, 15.0, 101.325)), 3)
    0.1

    References
    ----------
    Mach similarity; SAE J1826 uses 298 K and 100 kPa, SAE J922 302.6 K and 96.2 kPa (from memory),
    aero practice 288.15 K and 101.325 kPa. The same flow differs by up to 8 % between them.
    """
    flow = require("flow_kg_s", flow_kg_s, 0.0, 100.0, "kg/s")
    kelvin = require("temperature_c", temperature_c, -60.0, 1000.0, "°C") + ZERO_CELSIUS_K
    pressure = require("pressure_kpa", pressure_kpa, 10.0, 600.0, "kPa")
    base_k = require("reference_temperature_c", reference_temperature_c, -20.0, 1000.0, "°C") + ZERO_CELSIUS_K
    base = require("reference_pressure_kpa", reference_pressure_kpa, 50.0, 200.0, "kPa")
    return flow * np.sqrt(kelvin / base_k) / (pressure / base)


def corrected_speed_rpm(speed_rpm: ArrayLike, temperature_c: ArrayLike, reference_temperature_c: float) -> Floats:
    """Wheel speed as it would read at the reference temperature of a map.

    Parameters
    ----------
    speed_rpm : float or array
        Wheel speed, 0 to 400 000 [rpm]
    temperature_c : float or array
        Total temperature at the inlet, -60 to 1000 [°C]
    reference_temperature_c : float
        Temperature of the map's reference state, -20 to 1000 [°C]

    Returns
    -------
    array
        Corrected speed, shape of the inputs together [rpm]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(corrected_speed_rpm(100_000, 25.0, 25.0)))
    100000

    References
    ----------
    Mach similarity.
    """
    speed = require("speed_rpm", speed_rpm, 0.0, 400_000.0, "rpm")
    kelvin = require("temperature_c", temperature_c, -60.0, 1000.0, "°C") + ZERO_CELSIUS_K
    base_k = require("reference_temperature_c", reference_temperature_c, -20.0, 1000.0, "°C") + ZERO_CELSIUS_K
    return speed / np.sqrt(kelvin / base_k)


def tip_speed_m_s(wheel_diameter_mm: ArrayLike, speed_rpm: ArrayLike) -> Floats:
    """Speed of the outer edge of a wheel.

    Parameters
    ----------
    wheel_diameter_mm : float or array
        Outer diameter of the wheel, 20 to 1000 [mm]
    speed_rpm : float or array
        Wheel speed, 0 to 400 000 [rpm]

    Returns
    -------
    array
        Tip speed, shape of the inputs together [m/s]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(tip_speed_m_s(60.0, 150_000)), 1)
    471.2

    References
    ----------
    Kinematics.
    """
    diameter = require("wheel_diameter_mm", wheel_diameter_mm, 20.0, 1000.0, "mm")
    speed = require("speed_rpm", speed_rpm, 0.0, 400_000.0, "rpm")
    return np.pi * diameter / 1e3 * speed / 60.0
