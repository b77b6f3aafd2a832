"""Air at the place: pressure and temperature by altitude, humidity, density."""

from __future__ import annotations

import numpy as np

from sizing.physics import spans
from sizing.physics.errors import Floats
from sizing.physics.ranges import Numbers, Span, takes

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


ALTITUDE_M = Span(-500.0, 11_020.0, "m", "height above sea level")
AIR_C = Span(-60.0, 60.0, "°C", "air temperature")
VAPOUR_C = Span(-60.0, 150.0, "°C", "air temperature")


@takes(altitude_m=ALTITUDE_M)
def standard_temperature_c(altitude_m: Numbers) -> Floats:
    """Air temperature of the standard atmosphere.

    Returns: temperature, same shape [°C].
    Source: US Standard Atmosphere 1976, troposphere: 6.5 K per geopotential kilometre.

    >>> round(float(standard_temperature_c(1000)), 2)
    8.5
    """
    height = _geopotential_m(altitude_m)
    return SEA_LEVEL_K - LAPSE_K_M * height - ZERO_CELSIUS_K


@takes(altitude_m=ALTITUDE_M)
def standard_pressure_kpa(altitude_m: Numbers) -> Floats:
    """Air pressure of the standard atmosphere.

    Returns: absolute pressure, same shape [kPa].
    Source: US Standard Atmosphere 1976, troposphere.

    >>> round(float(standard_pressure_kpa(2000)), 2)
    79.5
    """
    temperature_k = standard_temperature_c(altitude_m) + ZERO_CELSIUS_K
    return SEA_LEVEL_KPA * (temperature_k / SEA_LEVEL_K) ** BAROMETRIC_EXPONENT


@takes(temperature_c=VAPOUR_C)
def saturation_pressure_kpa(temperature_c: Numbers) -> Floats:
    """Saturation pressure of water vapour, over water above 0.01 °C and over ice below.

    Returns: saturation pressure, same shape [kPa].
    Source: Wagner and Pruss, IAPWS saturation line; IAPWS R14-08(2011) for ice.

    >>> round(float(saturation_pressure_kpa(25)), 4)
    3.1698
    """
    kelvin = temperature_c + ZERO_CELSIUS_K
    gap = 1.0 - kelvin / _WATER_CRITICAL_K
    exponents = (1.0, 1.5, 3.0, 3.5, 4.0, 7.5)
    total = sum((a * gap**b for a, b in zip(_WATER, exponents, strict=True)), np.zeros_like(kelvin))
    over_water = _WATER_CRITICAL_KPA * np.exp(_WATER_CRITICAL_K / kelvin * total)
    ratio = kelvin / _TRIPLE_K
    frozen = sum((a * ratio**b for a, b in _ICE), np.zeros_like(kelvin))
    over_ice = _TRIPLE_KPA * np.exp(frozen / ratio)
    return np.where(kelvin >= _TRIPLE_K, over_water, over_ice)


@takes(temperature_c=VAPOUR_C, relative_humidity_pct=spans.PER_CENT)
def vapour_pressure_kpa(temperature_c: Numbers, relative_humidity_pct: Numbers) -> Floats:
    """Partial pressure of the water in moist air.

    Returns: vapour pressure, shape of the inputs together [kPa].
    Source: Definition of relative humidity with the saturation line of `saturation_pressure_kpa`.

    >>> round(float(vapour_pressure_kpa(25, 50)), 3)
    1.585
    """
    return relative_humidity_pct / 100.0 * saturation_pressure_kpa(temperature_c)


@takes(air_pressure_kpa=spans.BAROMETER_KPA, temperature_c=AIR_C, relative_humidity_pct=spans.PER_CENT)
def dry_pressure_kpa(air_pressure_kpa: Numbers, temperature_c: Numbers, relative_humidity_pct: Numbers) -> Floats:
    """Pressure of the dry part of moist air, the part that brings oxygen.

    Returns: dry pressure, shape of the inputs together [kPa].
    Source: Dalton's law, as used by ISO 1585 and UN R85.

    >>> round(float(dry_pressure_kpa(98.0, 35.0, 60.0)), 2)
    94.62
    """
    return air_pressure_kpa - vapour_pressure_kpa(temperature_c, relative_humidity_pct)


@takes(pressure_kpa=Span(10.0, 1000.0, "kPa", "absolute pressure"), temperature_c=Span(-60.0, 1200.0, "°C"))
def density_kg_m3(pressure_kpa: Numbers, temperature_c: Numbers) -> Floats:
    """Density of dry air as an ideal gas.

    Returns: density, shape of the inputs together [kg/m³].
    Source: Ideal gas law, R = 287.05 J/(kg K); real air at 300 kPa and 25 °C is 0.1 % denser (CoolProp).

    >>> round(float(density_kg_m3(101.325, 15.0)), 3)
    1.225
    """
    return pressure_kpa * 1e3 / (GAS_CONSTANT_AIR_J_KG_K * (temperature_c + ZERO_CELSIUS_K))


@takes(air_pressure_kpa=spans.BAROMETER_KPA, temperature_c=AIR_C, relative_humidity_pct=spans.PER_CENT)
def moist_density_kg_m3(air_pressure_kpa: Numbers, temperature_c: Numbers, relative_humidity_pct: Numbers) -> Floats:
    """Density of moist air (dry air and water vapour together).

    Returns: density, shape of the inputs together [kg/m³].
    Source: Ideal gas mixture; molar mass ratio water to air 0.622.

    >>> round(float(moist_density_kg_m3(101.325, 30.0, 80.0)), 3)
    1.149
    """
    dry = dry_pressure_kpa(air_pressure_kpa, temperature_c, relative_humidity_pct)
    vapour = vapour_pressure_kpa(temperature_c, relative_humidity_pct)
    kelvin = temperature_c + ZERO_CELSIUS_K
    return (dry + MOLAR_RATIO_WATER_AIR * vapour) * 1e3 / (GAS_CONSTANT_AIR_J_KG_K * kelvin)
