"""Diesel fuel: density, heating value, air needed, air-fuel ratio and lambda."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sizing.physics.errors import Floats, require

HYDROGEN_PER_CARBON = 1.80  # common value for road diesel, CH1.80
LOWER_HEATING_VALUE_MJ_KG = 42.8  # handbook range of road diesel 42.5 to 43.1
DENSITY_15C_KG_M3 = 835.0  # middle of EN 590, 820 to 845
OXYGEN_MOLES_IN_AIR = 0.20946
MOLAR_MASS_AIR = 28.9647
# Convention of this program: real dry air with argon (gives 0.7 % more than O2 + 3.76 N2).
STOICHIOMETRIC_AIR_FUEL = (
    (1.0 + HYDROGEN_PER_CARBON / 4.0) / OXYGEN_MOLES_IN_AIR * MOLAR_MASS_AIR / (12.011 + 1.008 * HYDROGEN_PER_CARBON)
)


def stoichiometric_air_fuel(hydrogen_per_carbon_ratio: ArrayLike) -> Floats:
    """Mass of real dry air that exactly burns one mass of fuel CHy.

    Parameters
    ----------
    hydrogen_per_carbon_ratio : float or array
        Hydrogen atoms per carbon atom of the fuel, 0 to 4 [-]

    Returns
    -------
    array
        Air per fuel by mass, same shape [kg/kg]

    Raises
    ------
    OutOfRange
        If the ratio is outside 0 to 4.

    Examples
    --------
    >>> round(float(stoichiometric_air_fuel(1.80)), 2)
    14.5

    References
    ----------
    Balance of complete combustion; dry air with 20.946 % oxygen, molar mass 28.9647.
    """
    y = require("hydrogen_per_carbon_ratio", hydrogen_per_carbon_ratio, 0.0, 4.0, "")
    return (1.0 + y / 4.0) / OXYGEN_MOLES_IN_AIR * MOLAR_MASS_AIR / (12.011 + 1.008 * y)


def stoichiometric_air_fuel_by_mass(carbon_pct: ArrayLike, hydrogen_pct: ArrayLike) -> Floats:
    """Mass of air that exactly burns one mass of fuel of known carbon and hydrogen content.

    Parameters
    ----------
    carbon_pct : float or array
        Carbon by mass, 0 to 100 [%]
    hydrogen_pct : float or array
        Hydrogen by mass, 0 to 100 [%]

    Returns
    -------
    array
        Air per fuel by mass, shape of the inputs together [kg/kg]

    Raises
    ------
    OutOfRange
        If a content is outside 0 to 100 %.

    Examples
    --------
    >>> round(float(stoichiometric_air_fuel_by_mass(86, 14)), 2)
    14.78

    References
    ----------
    Kates, Diesel and High Compression Gas Engines, ch. 5: air with 23.1 % oxygen by mass.
    """
    carbon = require("carbon_pct", carbon_pct, 0.0, 100.0, "%") / 100.0
    hydrogen = require("hydrogen_pct", hydrogen_pct, 0.0, 100.0, "%") / 100.0
    return (8.0 / 3.0 * carbon + 8.0 * hydrogen) / 0.231


def air_fuel_ratio(air_flow_kg_s: ArrayLike, fuel_flow_kg_s: ArrayLike) -> Floats:
    """Air-fuel ratio by mass.

    Parameters
    ----------
    air_flow_kg_s : float or array
        Flow of dry air, above 0, up to 5 [kg/s]
    fuel_flow_kg_s : float or array
        Flow of fuel, above 0, up to 0.5 [kg/s]

    Returns
    -------
    array
        Air per fuel, shape of the inputs together [kg/kg]

    Raises
    ------
    OutOfRange
        If a flow is zero, negative or beyond any engine of this kind.

    Examples
    --------
    >>> round(float(air_fuel_ratio(0.1, 0.005)), 3)
    20.0

    References
    ----------
    Definition.
    """
    air = require("air_flow_kg_s", air_flow_kg_s, 1e-6, 5.0, "kg/s")
    fuel = require("fuel_flow_kg_s", fuel_flow_kg_s, 1e-8, 0.5, "kg/s")
    return air / fuel


def lambda_ratio(air_fuel: ArrayLike) -> Floats:
    """Air-fuel ratio over the stoichiometric one of CH1.80.

    Parameters
    ----------
    air_fuel : float or array
        Air per fuel by mass, 1 to 10 000 [kg/kg]

    Returns
    -------
    array
        Lambda, same shape [-]

    Raises
    ------
    OutOfRange
        If the ratio is outside its range.

    Examples
    --------
    >>> round(float(lambda_ratio(20.0)), 3)
    1.379

    References
    ----------
    Definition; equivalence ratio is its inverse.
    """
    ratio = require("air_fuel", air_fuel, 1.0, 10_000.0, "kg/kg")
    return ratio / STOICHIOMETRIC_AIR_FUEL


def density_kg_m3(density_15c_kg_m3: ArrayLike, temperature_c: ArrayLike) -> Floats:
    """Density of diesel fuel at its temperature.

    Parameters
    ----------
    density_15c_kg_m3 : float or array
        Density at 15 °C, 790 to 1000 [kg/m³]
    temperature_c : float or array
        Fuel temperature, -30 to 120 [°C]

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
    >>> round(float(density_kg_m3(835.0, 40.0)), 1)
    817.1

    References
    ----------
    API MPMS chapter 11.1, table 54B: K0 594.5418, K1 0 up to 838.3 kg/m³; K0 186.9696,
    K1 0.4862 above (constants from memory; about -0.085 % per kelvin).
    """
    base = require("density_15c_kg_m3", density_15c_kg_m3, 790.0, 1000.0, "kg/m³")
    step = require("temperature_c", temperature_c, -30.0, 120.0, "°C") - 15.0
    light = base <= 838.3
    expansion = np.where(light, 594.5418, 186.9696) / base**2 + np.where(light, 0.0, 0.4862) / base
    return base * np.exp(-expansion * step * (1.0 + 0.8 * expansion * step))
