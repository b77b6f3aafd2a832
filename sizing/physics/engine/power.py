"""Torque, power, mean pressure, fuel consumption and efficiency."""

from __future__ import annotations

import numpy as np

from sizing.physics import spans
from sizing.physics.errors import Floats
from sizing.physics.fuel import LOWER_HEATING_VALUE_MJ_KG
from sizing.physics.ranges import Numbers, Span, takes

RPM_NM_PER_KW = 30_000.0 / np.pi  # 9549.297


@takes(torque_nm=spans.TORQUE_NM, speed_rpm=spans.ANY_RPM)
def power_kw(torque_nm: Numbers, speed_rpm: Numbers) -> Floats:
    """Power from torque and speed.

    Returns: power, shape of the inputs together [kW].
    Source: P = T ω.

    >>> round(float(power_kw(200.0, 3000.0)), 2)
    62.83
    """
    return torque_nm * speed_rpm / RPM_NM_PER_KW


@takes(power_kw=Span(-1000.0, 3000.0, "kW"), speed_rpm=spans.BRAKE_RPM)
def torque_nm(power_kw: Numbers, speed_rpm: Numbers) -> Floats:
    """Torque from power and speed.

    Returns: torque, shape of the inputs together [Nm].
    Source: T = P / ω.

    >>> round(float(torque_nm(62.83, 3000.0)), 1)
    200.0
    """
    return power_kw * RPM_NM_PER_KW / speed_rpm


@takes(torque_nm=spans.TORQUE_NM, displacement_l=spans.DISPLACEMENT_L)
def mean_pressure_kpa(torque_nm: Numbers, displacement_l: Numbers) -> Floats:
    """Brake mean effective pressure of a four-stroke engine.

    Returns: mean pressure, shape of the inputs together [kPa].
    Source: bmep = 4 π T / V, four-stroke.

    >>> round(float(mean_pressure_kpa(160.0, 2.094)))
    960
    """
    return 4.0 * np.pi * torque_nm / displacement_l


@takes(
    mean_pressure_kpa=Span(-500.0, 4000.0, "kPa", "brake mean effective pressure"),
    displacement_l=spans.DISPLACEMENT_L,
    speed_rpm=spans.ANY_RPM,
)
def power_from_mean_pressure_kw(mean_pressure_kpa: Numbers, displacement_l: Numbers, speed_rpm: Numbers) -> Floats:
    """Power of a four-stroke engine from its mean pressure.

    Returns: power, shape of the inputs together [kW].
    Source: P = bmep V n / 120, four-stroke.

    >>> round(float(power_from_mean_pressure_kw(600.0, 25.0, 2000.0)), 3)
    250.0
    """
    return mean_pressure_kpa * displacement_l * speed_rpm / 120_000.0


@takes(fuel_flow_kg_s=spans.FUEL_FLOW_KG_S, power_kw=Span(0.01, 3000.0, "kW", "brake power"))
def fuel_consumption_g_kwh(fuel_flow_kg_s: Numbers, power_kw: Numbers) -> Floats:
    """Brake specific fuel consumption.

    Returns: consumption, shape of the inputs together [g/kWh].
    Source: Definition.

    >>> round(float(fuel_consumption_g_kwh(0.005, 75.0)), 1)
    240.0
    """
    return fuel_flow_kg_s * 3.6e6 / power_kw


@takes(
    fuel_consumption_g_kwh=Span(100.0, 100_000.0, "g/kWh", "consumption"),
    heating_value_mj_kg=Span(30.0, 50.0, "MJ/kg", "lower heating value"),
)
def brake_efficiency_ratio(
    fuel_consumption_g_kwh: Numbers, heating_value_mj_kg: float = LOWER_HEATING_VALUE_MJ_KG
) -> Floats:
    """Brake efficiency from specific fuel consumption.

    Returns: efficiency, same shape [-].
    Source: Definition.

    >>> round(float(brake_efficiency_ratio(240.0)), 3)
    0.35
    """
    return 3600.0 / (fuel_consumption_g_kwh * heating_value_mj_kg)
