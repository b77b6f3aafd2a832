"""Torque, power, mean pressure, fuel consumption and efficiency."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sizing.physics.errors import Floats, require
from sizing.physics.fuel import LOWER_HEATING_VALUE_MJ_KG

RPM_NM_PER_KW = 30_000.0 / np.pi  # 9549.297


def power_kw(torque_nm: ArrayLike, speed_rpm: ArrayLike) -> Floats:
    """Power from torque and speed.

    Parameters
    ----------
    torque_nm : float or array
        Torque, -5000 to 20 000 [Nm]
    speed_rpm : float or array
        Engine speed, 0 to 8000 [rpm]

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
    >>> round(float(power_kw(200.0, 3000.0)), 2)
    62.83

    References
    ----------
    P = T ω.
    """
    torque = require("torque_nm", torque_nm, -5000.0, 20_000.0, "Nm")
    speed = require("speed_rpm", speed_rpm, 0.0, 8000.0, "rpm")
    return torque * speed / RPM_NM_PER_KW


def torque_nm(power_kw: ArrayLike, speed_rpm: ArrayLike) -> Floats:
    """Torque from power and speed.

    Parameters
    ----------
    power_kw : float or array
        Power, -1000 to 3000 [kW]
    speed_rpm : float or array
        Engine speed, 1 to 8000 [rpm]

    Returns
    -------
    array
        Torque, shape of the inputs together [Nm]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(torque_nm(62.83, 3000.0)), 1)
    200.0

    References
    ----------
    T = P / ω.
    """
    power = require("power_kw", power_kw, -1000.0, 3000.0, "kW")
    speed = require("speed_rpm", speed_rpm, 1.0, 8000.0, "rpm")
    return power * RPM_NM_PER_KW / speed


def mean_pressure_kpa(torque_nm: ArrayLike, displacement_l: ArrayLike) -> Floats:
    """Brake mean effective pressure of a four-stroke engine.

    Parameters
    ----------
    torque_nm : float or array
        Torque, -5000 to 20 000 [Nm]
    displacement_l : float or array
        Displacement, 0.1 to 60 [L]

    Returns
    -------
    array
        Mean pressure, shape of the inputs together [kPa]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(mean_pressure_kpa(160.0, 2.094)))
    960

    References
    ----------
    bmep = 4 π T / V, four-stroke.
    """
    torque = require("torque_nm", torque_nm, -5000.0, 20_000.0, "Nm")
    displacement = require("displacement_l", displacement_l, 0.1, 60.0, "L")
    return 4.0 * np.pi * torque / displacement


def power_from_mean_pressure_kw(
    mean_pressure_kpa: ArrayLike, displacement_l: ArrayLike, speed_rpm: ArrayLike
) -> Floats:
    """Power of a four-stroke engine from its mean pressure.

    Parameters
    ----------
    mean_pressure_kpa : float or array
        Brake mean effective pressure, -500 to 4000 [kPa]
    displacement_l : float or array
        Displacement, 0.1 to 60 [L]
    speed_rpm : float or array
        Engine speed, 0 to 8000 [rpm]

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
    >>> round(float(power_from_mean_pressure_kw(600.0, 25.0, 2000.0)), 3)
    250.0

    References
    ----------
    P = bmep V n / 120, four-stroke.
    """
    pressure = require("mean_pressure_kpa", mean_pressure_kpa, -500.0, 4000.0, "kPa")
    displacement = require("displacement_l", displacement_l, 0.1, 60.0, "L")
    speed = require("speed_rpm", speed_rpm, 0.0, 8000.0, "rpm")
    return pressure * displacement * speed / 120_000.0


def fuel_consumption_g_kwh(fuel_flow_kg_s: ArrayLike, power_kw: ArrayLike) -> Floats:
    """Brake specific fuel consumption.

    Parameters
    ----------
    fuel_flow_kg_s : float or array
        Fuel flow, 0 to 0.5 [kg/s]
    power_kw : float or array
        Brake power, 0.01 to 3000 [kW]

    Returns
    -------
    array
        Consumption, shape of the inputs together [g/kWh]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(fuel_consumption_g_kwh(0.005, 75.0)), 1)
    240.0

    References
    ----------
    Definition.
    """
    fuel = require("fuel_flow_kg_s", fuel_flow_kg_s, 0.0, 0.5, "kg/s")
    power = require("power_kw", power_kw, 0.01, 3000.0, "kW")
    return fuel * 3.6e6 / power


def brake_efficiency_ratio(
    fuel_consumption_g_kwh: ArrayLike, heating_value_mj_kg: float = LOWER_HEATING_VALUE_MJ_KG
) -> Floats:
    """Brake efficiency from specific fuel consumption.

    Parameters
    ----------
    fuel_consumption_g_kwh : float or array
        Consumption, 100 to 100 000 [g/kWh]
    heating_value_mj_kg : float
        Lower heating value, 30 to 50 [MJ/kg]

    Returns
    -------
    array
        Efficiency, same shape [-]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(brake_efficiency_ratio(240.0)), 3)
    0.35

    References
    ----------
    Definition.
    """
    used = require("fuel_consumption_g_kwh", fuel_consumption_g_kwh, 100.0, 100_000.0, "g/kWh")
    heat = require("heating_value_mj_kg", heating_value_mj_kg, 30.0, 50.0, "MJ/kg")
    return 3600.0 / (used * heat)
