"""How much air an engine takes in: volumetric efficiency and speed-density air flow."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from sizing.physics.air import GAS_CONSTANT_AIR_J_KG_K, ZERO_CELSIUS_K
from sizing.physics.errors import Floats, OutOfRange, require

Injection = Literal["indirect", "direct"]

# Handbook ranges, naturally aspirated: direct 0.80 to 0.90, indirect 0.75 to 0.85 (from memory).
# The upper end is taken at half the rated speed, the middle of the range at rated speed.
PEAK_VOLUMETRIC_EFFICIENCY = {"direct": 0.90, "indirect": 0.85}
FALL_TO_RATED_SPEED = 0.05
REFERENCE_CHARGE_K = 298.0


def check_injection(injection: str) -> None:
    """Refuse any kind of injection but the two that exist.

    Parameters
    ----------
    injection : str
        "indirect" or "direct" [-]

    Raises
    ------
    ValueError
        If it is anything else.
    """
    if injection not in PEAK_VOLUMETRIC_EFFICIENCY:
        raise ValueError(f"injection is {injection!r}; allowed is 'indirect' or 'direct'")


def volumetric_efficiency_ratio(
    speed_rpm: ArrayLike, rated_speed_rpm: ArrayLike, injection: str, charge_temperature_c: ArrayLike
) -> Floats:
    """Volumetric efficiency of a full-load diesel, referred to the density in the manifold.

    A parabola over speed with its top at half the rated speed. A warmer charge picks up less
    heat on the way in, so the efficiency rises with the root of its temperature.

    Parameters
    ----------
    speed_rpm : float or array
        Engine speed, 300 to 6500 [rpm]
    rated_speed_rpm : float or array
        Speed of rated power, 500 to 6500 [rpm]
    injection : str
        "indirect" or "direct" [-]
    charge_temperature_c : float or array
        Air temperature in the manifold, -60 to 400 [°C]

    Returns
    -------
    array
        Volumetric efficiency, shape of the inputs together [-]

    Raises
    ------
    OutOfRange
        If an input is outside its range or the speed is above 1.4 times the rated speed.
    ValueError
        If the injection is neither of the two.

    Examples
    --------
    >>> round(float(volumetric_efficiency_ratio(2000.0, 4000.0, "direct", 24.85)), 2)
    0.9

    References
    ----------
    Handbook ranges (from memory), top at mid speed: common practice. Root of temperature:
    Heywood, Internal Combustion Engine Fundamentals, section 6.2.3.
    """
    check_injection(injection)
    speed = require("speed_rpm", speed_rpm, 300.0, 6500.0, "rpm")
    rated = require("rated_speed_rpm", rated_speed_rpm, 500.0, 6500.0, "rpm")
    kelvin = require("charge_temperature_c", charge_temperature_c, -60.0, 400.0, "°C") + ZERO_CELSIUS_K
    share = require("speed_over_rated_speed", speed / rated, 0.0, 1.4, "")
    curve = PEAK_VOLUMETRIC_EFFICIENCY[injection] - FALL_TO_RATED_SPEED * (2.0 * share - 1.0) ** 2
    return curve * np.sqrt(kelvin / REFERENCE_CHARGE_K)


def air_flow_kg_s(
    displacement_l: ArrayLike,
    speed_rpm: ArrayLike,
    volumetric_efficiency_ratio: ArrayLike,
    manifold_pressure_kpa: ArrayLike,
    charge_temperature_c: ArrayLike,
) -> Floats:
    """Air flow of a four-stroke engine from manifold pressure and temperature (speed-density).

    Parameters
    ----------
    displacement_l : float or array
        Displacement, 0.1 to 60 [L]
    speed_rpm : float or array
        Engine speed, 1 to 6500 [rpm]
    volumetric_efficiency_ratio : float or array
        Volumetric efficiency referred to the manifold density, 0.3 to 1.5 [-]
    manifold_pressure_kpa : float or array
        Manifold pressure, absolute; the dry part gives the flow of dry air, 20 to 600 [kPa]
    charge_temperature_c : float or array
        Air temperature in the manifold, -60 to 400 [°C]

    Returns
    -------
    array
        Air flow, shape of the inputs together [kg/s]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(air_flow_kg_s(2.5, 2000.0, 0.85, 101.325, 15.0)), 4)
    0.0434

    References
    ----------
    Ideal gas law, one filling every second turn.
    """
    displacement = require("displacement_l", displacement_l, 0.1, 60.0, "L")
    speed = require("speed_rpm", speed_rpm, 1.0, 6500.0, "rpm")
    efficiency = require("volumetric_efficiency_ratio", volumetric_efficiency_ratio, 0.3, 1.5, "")
    pressure = require("manifold_pressure_kpa", manifold_pressure_kpa, 20.0, 600.0, "kPa")
    kelvin = require("charge_temperature_c", charge_temperature_c, -60.0, 400.0, "°C") + ZERO_CELSIUS_K
    return displacement * speed / 120.0 * efficiency * pressure / (GAS_CONSTANT_AIR_J_KG_K * kelvin)


def manifold_pressure_kpa(
    displacement_l: ArrayLike,
    speed_rpm: ArrayLike,
    volumetric_efficiency_ratio: ArrayLike,
    air_flow_kg_s: ArrayLike,
    charge_temperature_c: ArrayLike,
) -> Floats:
    """Manifold pressure at which a four-stroke engine takes a given air flow.

    Parameters
    ----------
    displacement_l : float or array
        Displacement, 0.1 to 60 [L]
    speed_rpm : float or array
        Engine speed, 1 to 6500 [rpm]
    volumetric_efficiency_ratio : float or array
        Volumetric efficiency referred to the manifold density, 0.3 to 1.5 [-]
    air_flow_kg_s : float or array
        Air flow, 1e-5 to 5 [kg/s]
    charge_temperature_c : float or array
        Air temperature in the manifold, -60 to 400 [°C]

    Returns
    -------
    array
        Manifold pressure, absolute, shape of the inputs together [kPa]

    Raises
    ------
    OutOfRange
        If an input is outside its range or the pressure would be above 600 kPa.

    Examples
    --------
    >>> round(float(manifold_pressure_kpa(2.5, 2000.0, 0.85, 0.0434, 15.0)), 1)
    101.4

    References
    ----------
    Inverse of `air_flow_kg_s`.
    """
    displacement = require("displacement_l", displacement_l, 0.1, 60.0, "L")
    speed = require("speed_rpm", speed_rpm, 1.0, 6500.0, "rpm")
    efficiency = require("volumetric_efficiency_ratio", volumetric_efficiency_ratio, 0.3, 1.5, "")
    flow = require("air_flow_kg_s", air_flow_kg_s, 1e-5, 5.0, "kg/s")
    kelvin = require("charge_temperature_c", charge_temperature_c, -60.0, 400.0, "°C") + ZERO_CELSIUS_K
    pressure = flow * GAS_CONSTANT_AIR_J_KG_K * kelvin * 120.0 / (displacement * speed * efficiency)
    return require("manifold_pressure_kpa", pressure, 0.0, 600.0, "kPa")


__all__ = [
    "Injection",
    "OutOfRange",
    "air_flow_kg_s",
    "check_injection",
    "manifold_pressure_kpa",
    "volumetric_efficiency_ratio",
]
