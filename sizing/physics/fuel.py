"""Diesel fuel: density, heating value, air needed, air-fuel ratio and lambda."""

from __future__ import annotations

import numpy as np

from sizing.physics import spans
from sizing.physics.errors import Floats
from sizing.physics.ranges import Numbers, Span, takes

HYDROGEN_PER_CARBON = 1.80  # common value for road diesel, CH1.80
LOWER_HEATING_VALUE_MJ_KG = 42.8  # handbook range of road diesel 42.5 to 43.1
DENSITY_15C_KG_M3 = 835.0  # middle of EN 590, 820 to 845
OXYGEN_MOLES_IN_AIR = 0.20946
MOLAR_MASS_AIR = 28.9647
# Convention of this program: real dry air with argon (gives 0.7 % more than O2 + 3.76 N2).
STOICHIOMETRIC_AIR_FUEL = (
    (1.0 + HYDROGEN_PER_CARBON / 4.0) / OXYGEN_MOLES_IN_AIR * MOLAR_MASS_AIR / (12.011 + 1.008 * HYDROGEN_PER_CARBON)
)


@takes(hydrogen_per_carbon_ratio=Span(0.0, 4.0, "", "hydrogen atoms per carbon atom of the fuel"))
def stoichiometric_air_fuel(hydrogen_per_carbon_ratio: Numbers) -> Floats:
    """Mass of real dry air that exactly burns one mass of fuel CHy.

    Returns: air per fuel by mass, same shape [kg/kg].
    Source: Balance of complete combustion; dry air with 20.946 % oxygen, molar mass 28.9647.

    >>> round(float(stoichiometric_air_fuel(1.80)), 2)
    14.5
    """
    return (
        (1.0 + hydrogen_per_carbon_ratio / 4.0)
        / OXYGEN_MOLES_IN_AIR
        * MOLAR_MASS_AIR
        / (12.011 + 1.008 * hydrogen_per_carbon_ratio)
    )


@takes(carbon_pct=spans.PER_CENT.of("carbon by mass"), hydrogen_pct=spans.PER_CENT.of("hydrogen by mass"))
def stoichiometric_air_fuel_by_mass(carbon_pct: Numbers, hydrogen_pct: Numbers) -> Floats:
    """Mass of air that exactly burns one mass of fuel of known carbon and hydrogen content.

    Returns: air per fuel by mass, shape of the inputs together [kg/kg].
    Source: Kates, Diesel and High Compression Gas Engines, ch. 5: air with 23.1 % oxygen by mass.

    >>> round(float(stoichiometric_air_fuel_by_mass(86, 14)), 2)
    14.78
    """
    carbon = carbon_pct / 100.0
    hydrogen = hydrogen_pct / 100.0
    return (8.0 / 3.0 * carbon + 8.0 * hydrogen) / 0.231


@takes(air_flow_kg_s=Span(1e-6, 5.0, "kg/s", "flow of dry air"), fuel_flow_kg_s=Span(1e-8, 0.5, "kg/s", "flow of fuel"))
def air_fuel_ratio(air_flow_kg_s: Numbers, fuel_flow_kg_s: Numbers) -> Floats:
    """Air-fuel ratio by mass.

    Returns: air per fuel, shape of the inputs together [kg/kg].
    Raises: OutOfRange if a flow is zero, negative or beyond any engine of this kind.
    Source: Definition.

    >>> round(float(air_fuel_ratio(0.1, 0.005)), 3)
    20.0
    """
    return air_flow_kg_s / fuel_flow_kg_s


@takes(air_fuel=Span(1.0, 10_000.0, "kg/kg", "air per fuel by mass"))
def lambda_ratio(air_fuel: Numbers) -> Floats:
    """Air-fuel ratio over the stoichiometric one of CH1.80.

    Returns: lambda, same shape [-].
    Source: Definition; equivalence ratio is its inverse.

    >>> round(float(lambda_ratio(20.0)), 3)
    1.379
    """
    return air_fuel / STOICHIOMETRIC_AIR_FUEL


@takes(
    density_15c_kg_m3=Span(790.0, 1000.0, "kg/m³", "density at 15 °C"),
    temperature_c=Span(-30.0, 120.0, "°C", "fuel temperature"),
)
def fuel_density_kg_m3(density_15c_kg_m3: Numbers, temperature_c: Numbers) -> Floats:
    """Density of diesel fuel at its temperature.

    Returns: density, shape of the inputs together [kg/m³].
    Source: API MPMS chapter 11.1, table 54B: K0 594.5418, K1 0 up to 838.3 kg/m³; K0 186.9696, K1 0.4862 above
        (constants from memory; about -0.085 % per kelvin).

    >>> round(float(fuel_density_kg_m3(835.0, 40.0)), 1)
    817.1
    """
    step = temperature_c - 15.0
    light = density_15c_kg_m3 <= 838.3
    expansion = (
        np.where(light, 594.5418, 186.9696) / density_15c_kg_m3**2 + np.where(light, 0.0, 0.4862) / density_15c_kg_m3
    )
    return density_15c_kg_m3 * np.exp(-expansion * step * (1.0 + 0.8 * expansion * step))
