"""Air at the place: pressure and temperature by altitude, humidity, density."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sizing.physics.errors import Floats, require

ZERO_CELSIUS_K = 273.15
GAS_CONSTANT_AIR_J_KG_K = 287.05  # dry air; CoolProp: 287.05
MOLAR_RATIO_WATER_AIR = 0.62198  # 18.0153 / 28.9647
EARTH_RADIUS_M = 6_356_766.0  # US Standard Atmosphere 1976
SEA_LEVEL_K = 288.15
SEA_LEVEL_KPA = 101.325
LAPSE_K_M = 0.0065
BAROMETRIC_EXPONENT = 5.25588

# Wagner and Pruss (IAPWS), saturation pressure over water
_WATER = (-7.85951783, 1.84408259, -11.7866497, 22.6807411, -15.9618719, 1.80122502)
_WATER_CRITICAL_K = 647.096
_WATER_CRITICAL_KPA = 22_064.0
# IAPWS R14-08(2011), sublimation pressure over ice
_ICE = ((-21.2144006, 0.00333333333), (27.3203819, 1.20666667), (-6.10598130, 1.70333333))
_TRIPLE_K = 273.16
_TRIPLE_KPA = 0.611657


def _geopotential_m(altitude_m: Floats) -> Floats:
    return EARTH_RADIUS_M * altitude_m / (EARTH_RADIUS_M + altitude_m)


def standard_temperature_c(altitude_m: ArrayLike) -> Floats:
    """Air temperature of the standard atmosphere.

    Parameters
    ----------
    altitude_m : float or array
        Height above sea level, -500 to 11 000 [m]

    Returns
    -------
    array
        Temperature, same shape [°C]

    Raises
    ------
    OutOfRange
        If the altitude is outside -500 to 11 000 m.

    Examples
    --------
    >>> round(float(standard_temperature_c(1000)), 2)
    8.5

    References
    ----------
    US Standard Atmosphere 1976, troposphere: 6.5 K per geopotential kilometre.
    """
    height = _geopotential_m(require("altitude_m", altitude_m, -500.0, 11_020.0, "m"))
    return SEA_LEVEL_K - LAPSE_K_M * height - ZERO_CELSIUS_K


def standard_pressure_kpa(altitude_m: ArrayLike) -> Floats:
    """Air pressure of the standard atmosphere.

    Parameters
    ----------
    altitude_m : float or array
        Height above sea level, -500 to 11 000 [m]

    Returns
    -------
    array
        Absolute pressure, same shape [kPa]

    Raises
    ------
    OutOfRange
        If the altitude is outside -500 to 11 000 m.

    Examples
    --------
    >>> round(float(standard_pressure_kpa(2000)), 2)
    79.5

    References
    ----------
    US Standard Atmosphere 1976, troposphere.
    """
    temperature_k = standard_temperature_c(altitude_m) + ZERO_CELSIUS_K
    return SEA_LEVEL_KPA * (temperature_k / SEA_LEVEL_K) ** BAROMETRIC_EXPONENT


def saturation_pressure_kpa(temperature_c: ArrayLike) -> Floats:
    """Saturation pressure of water vapour, over water above 0.01 °C and over ice below.

    Parameters
    ----------
    temperature_c : float or array
        Air temperature, -60 to 150 [°C]

    Returns
    -------
    array
        Saturation pressure, same shape [kPa]

    Raises
    ------
    OutOfRange
        If the temperature is outside -60 to 150 °C.

    Examples
    --------
    >>> round(float(saturation_pressure_kpa(25)), 4)
    3.1698

    References
    ----------
    Wagner and Pruss, IAPWS saturation line; IAPWS R14-08(2011) for ice.
    """
    kelvin = require("temperature_c", temperature_c, -60.0, 150.0, "°C") + ZERO_CELSIUS_K
    gap = 1.0 - kelvin / _WATER_CRITICAL_K
    exponents = (1.0, 1.5, 3.0, 3.5, 4.0, 7.5)
    total = sum((a * gap**b for a, b in zip(_WATER, exponents, strict=True)), np.zeros_like(kelvin))
    over_water = _WATER_CRITICAL_KPA * np.exp(_WATER_CRITICAL_K / kelvin * total)
    ratio = kelvin / _TRIPLE_K
    frozen = sum((a * ratio**b for a, b in _ICE), np.zeros_like(kelvin))
    over_ice = _TRIPLE_KPA * np.exp(frozen / ratio)
    return np.where(kelvin >= _TRIPLE_K, over_water, over_ice)


def vapour_pressure_kpa(temperature_c: ArrayLike, relative_humidity_pct: ArrayLike) -> Floats:
    """Partial pressure of the water in moist air.

    Parameters
    ----------
    temperature_c : float or array
        Air temperature, -60 to 150 [°C]
    relative_humidity_pct : float or array
        Relative humidity, 0 to 100 [%]

    Returns
    -------
    array
        Vapour pressure, shape of the inputs together [kPa]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(vapour_pressure_kpa(25, 50)), 3)
    1.585

    References
    ----------
    Definition of relative humidity with the saturation line of `saturation_pressure_kpa`.
    """
    humidity = require("relative_humidity_pct", relative_humidity_pct, 0.0, 100.0, "%")
    return humidity / 100.0 * saturation_pressure_kpa(temperature_c)


def dry_pressure_kpa(air_pressure_kpa: ArrayLike, temperature_c: ArrayLike, relative_humidity_pct: ArrayLike) -> Floats:
    """Pressure of the dry part of moist air, the part that brings oxygen.

    Parameters
    ----------
    air_pressure_kpa : float or array
        Barometer reading, absolute, 20 to 120 [kPa]
    temperature_c : float or array
        Air temperature, -60 to 60 [°C]
    relative_humidity_pct : float or array
        Relative humidity, 0 to 100 [%]

    Returns
    -------
    array
        Dry pressure, shape of the inputs together [kPa]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(dry_pressure_kpa(98.0, 35.0, 60.0)), 2)
    94.62

    References
    ----------
    Dalton's law, as used by ISO 1585 and UN R85.
    """
    pressure = require("air_pressure_kpa", air_pressure_kpa, 20.0, 120.0, "kPa")
    temperature = require("temperature_c", temperature_c, -60.0, 60.0, "°C")
    return pressure - vapour_pressure_kpa(temperature, relative_humidity_pct)


def density_kg_m3(pressure_kpa: ArrayLike, temperature_c: ArrayLike) -> Floats:
    """Density of dry air as an ideal gas.

    Parameters
    ----------
    pressure_kpa : float or array
        Absolute pressure, 10 to 1000 [kPa]
    temperature_c : float or array
        Temperature, -60 to 1200 [°C]

    Returns
    -------
    array
        Density, shape of the inputs together [kg/m³]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(density_kg_m3(101.325, 15.0)), 3)
    1.225

    References
    ----------
    Ideal gas law, R = 287.05 J/(kg K); real air at 300 kPa and 25 °C is 0.1 % denser (CoolProp).
    """
    pressure = require("pressure_kpa", pressure_kpa, 10.0, 1000.0, "kPa")
    temperature = require("temperature_c", temperature_c, -60.0, 1200.0, "°C")
    return pressure * 1e3 / (GAS_CONSTANT_AIR_J_KG_K * (temperature + ZERO_CELSIUS_K))


def moist_density_kg_m3(
    air_pressure_kpa: ArrayLike, temperature_c: ArrayLike, relative_humidity_pct: ArrayLike
) -> Floats:
    """Density of moist air (dry air and water vapour together).

    Parameters
    ----------
    air_pressure_kpa : float or array
        Barometer reading, absolute, 20 to 120 [kPa]
    temperature_c : float or array
        Air temperature, -60 to 60 [°C]
    relative_humidity_pct : float or array
        Relative humidity, 0 to 100 [%]

    Returns
    -------
    array
        Density, shape of the inputs together [kg/m³]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(moist_density_kg_m3(101.325, 30.0, 80.0)), 3)
    1.149

    References
    ----------
    Ideal gas mixture; molar mass ratio water to air 0.622.
    """
    dry = dry_pressure_kpa(air_pressure_kpa, temperature_c, relative_humidity_pct)
    vapour = vapour_pressure_kpa(temperature_c, relative_humidity_pct)
    kelvin = np.asarray(temperature_c, dtype=np.float64) + ZERO_CELSIUS_K
    return (dry + MOLAR_RATIO_WATER_AIR * vapour) * 1e3 / (GAS_CONSTANT_AIR_J_KG_K * kelvin)
