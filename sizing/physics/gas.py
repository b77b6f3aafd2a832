"""Heat capacity, enthalpy and internal energy of air and of lean diesel exhaust.

Diesel exhaust is treated as air mixed with the products of complete combustion of CH1.80 in
exactly enough air ("full products"). By mass that mixture is linear, so two curves describe
every air-fuel ratio. Reference state of enthalpy is 25 °C.
"""

from __future__ import annotations

import numpy as np
from numpy.polynomial import polynomial

from sizing.physics import spans
from sizing.physics.errors import Floats
from sizing.physics.fuel import HYDROGEN_PER_CARBON, STOICHIOMETRIC_AIR_FUEL
from sizing.physics.ranges import Numbers, Span, takes

GAS_CONSTANT_J_KMOL_K = 8314.4626
REFERENCE_K = 298.15

# NASA 7-coefficient polynomials (first five: heat capacity), GRI-Mech 3.0 thermodynamic data:
# molar mass [kg/kmol], below 1000 K, above 1000 K.
_SPECIES: dict[str, tuple[float, tuple[float, ...], tuple[float, ...]]] = {
    "N2": (
        28.014,
        (3.298677, 0.0014082404, -3.963222e-06, 5.641515e-09, -2.444854e-12),
        (2.92664, 0.0014879768, -5.68476e-07, 1.0097038e-10, -6.753351e-15),
    ),
    "O2": (
        31.998,
        (3.78245636, -0.00299673416, 9.84730201e-06, -9.68129509e-09, 3.24372837e-12),
        (3.28253784, 0.00148308754, -7.57966669e-07, 2.09470555e-10, -2.16717794e-14),
    ),
    "AR": (39.95, (2.5, 0.0, 0.0, 0.0, 0.0), (2.5, 0.0, 0.0, 0.0, 0.0)),
    "CO2": (
        44.009,
        (2.35677352, 0.00898459677, -7.12356269e-06, 2.45919022e-09, -1.43699548e-13),
        (3.85746029, 0.00441437026, -2.21481404e-06, 5.23490188e-10, -4.72084164e-14),
    ),
    "H2O": (
        18.015,
        (4.19864056, -0.0020364341, 6.52040211e-06, -5.48797062e-09, 1.77197817e-12),
        (3.03399249, 0.00217691804, -1.64072518e-07, -9.7041987e-11, 1.68200992e-14),
    ),
}
_O2_MOLES = 0.20946  # dry air; argon 0.934 %, rest nitrogen (carbon dioxide counted as nitrogen)
_AR_MOLES = 0.00934
_N2_MOLES = 1.0 - _O2_MOLES - _AR_MOLES


def _mixture(moles: dict[str, float]) -> tuple[float, Floats]:
    """Gas constant and one heat capacity polynomial in T/1000 K, 250 to 3000 K, by mass.

    The two published ranges are joined into one polynomial of degree 6, within 0.25 % of them,
    because the cylinder calculation evaluates it some million times.
    """
    mass = sum(n * _SPECIES[s][0] for s, n in moles.items())
    kelvin = np.concatenate([np.linspace(250.0, 1000.0, 150), np.linspace(1000.0, 3000.0, 200)])
    capacity = np.zeros_like(kelvin)
    for species, amount in moles.items():
        _, low, high = _SPECIES[species]
        shape = np.where(kelvin <= 1000.0, polynomial.polyval(kelvin, low), polynomial.polyval(kelvin, high))
        capacity += amount * shape * GAS_CONSTANT_J_KMOL_K / mass
    gas_constant = GAS_CONSTANT_J_KMOL_K * sum(moles.values()) / mass
    return gas_constant, np.asarray(polynomial.polyfit(kelvin / 1000.0, capacity, 6), dtype=np.float64)


_OXYGEN_NEEDED = 1.0 + HYDROGEN_PER_CARBON / 4.0
AIR_R_J_KG_K, _AIR_CP = _mixture({"N2": _N2_MOLES, "O2": _O2_MOLES, "AR": _AR_MOLES})
PRODUCTS_R_J_KG_K, _PRODUCTS_CP = _mixture(
    {
        "CO2": 1.0,
        "H2O": HYDROGEN_PER_CARBON / 2.0,
        "N2": _OXYGEN_NEEDED * _N2_MOLES / _O2_MOLES,
        "AR": _OXYGEN_NEEDED * _AR_MOLES / _O2_MOLES,
    }
)


def _integral(capacity: Floats) -> Floats:
    whole = polynomial.polyint(capacity, lbnd=REFERENCE_K / 1000.0) * 1000.0
    return np.asarray(whole, dtype=np.float64)


_AIR_H = _integral(_AIR_CP)
_PRODUCTS_H = _integral(_PRODUCTS_CP)


GAS_C = Span(-60.0, 2600.0, "°C")


@takes(lambda_ratio=spans.LEAN_LAMBDA)
def products_share(lambda_ratio: Numbers) -> Floats:
    """Share by mass of full combustion products in lean exhaust; the rest is unused air.

    Returns: mass share between 0 and 1, same shape [-].
    Source: Mass balance of complete combustion.

    >>> round(float(products_share(1.4)), 3)
    0.728
    """
    return _share(lambda_ratio)


def _share(lambda_ratio: Floats) -> Floats:
    return (1.0 + STOICHIOMETRIC_AIR_FUEL) / (1.0 + STOICHIOMETRIC_AIR_FUEL * lambda_ratio)


def _blend(x: Floats, share: Floats, air: Floats, products: Floats) -> Floats:
    of_air = np.asarray(polynomial.polyval(x, air), dtype=np.float64)
    return of_air + share * (np.asarray(polynomial.polyval(x, products), dtype=np.float64) - of_air)


@takes(temperature_c=GAS_C, lambda_ratio=spans.LEAN_LAMBDA)
def heat_capacity_j_kg_k(temperature_c: Numbers, lambda_ratio: Numbers = np.inf) -> Floats:
    """Heat capacity at constant pressure of air or lean exhaust.

    Returns: heat capacity, shape of the inputs together [J/(kg K)].
    Source: NASA polynomials of GRI-Mech 3.0; complete combustion of CH1.80, no dissociation.

    >>> round(float(heat_capacity_j_kg_k(526.85, 1.4)))
    1174
    """
    return _capacity(temperature_c, _share(lambda_ratio))


def _capacity(temperature_c: Floats, share: Floats) -> Floats:
    return _blend((temperature_c + 273.15) / 1000.0, share, _AIR_CP, _PRODUCTS_CP)


@takes(lambda_ratio=spans.LEAN_LAMBDA)
def gas_constant_j_kg_k(lambda_ratio: Numbers = np.inf) -> Floats:
    """Gas constant of air or lean exhaust.

    Returns: gas constant, same shape [J/(kg K)].
    Source: Molar masses of GRI-Mech 3.0.

    >>> round(float(gas_constant_j_kg_k()), 1)
    287.1
    """
    return _constant(_share(lambda_ratio))


def _constant(share: Floats) -> Floats:
    return AIR_R_J_KG_K + share * (PRODUCTS_R_J_KG_K - AIR_R_J_KG_K)


@takes(temperature_c=GAS_C, lambda_ratio=spans.LEAN_LAMBDA)
def isentropic_exponent(temperature_c: Numbers, lambda_ratio: Numbers = np.inf) -> Floats:
    """Ratio of the heat capacities.

    Returns: exponent, shape of the inputs together [-].
    Source: cp / (cp - R) with `heat_capacity_j_kg_k` and `gas_constant_j_kg_k`.

    >>> round(float(isentropic_exponent(25.0)), 2)
    1.4
    """
    share = _share(lambda_ratio)
    capacity = _capacity(temperature_c, share)
    return capacity / (capacity - _constant(share))


@takes(temperature_c=GAS_C, lambda_ratio=spans.LEAN_LAMBDA)
def enthalpy_j_kg(temperature_c: Numbers, lambda_ratio: Numbers = np.inf) -> Floats:
    """Enthalpy above 25 °C of air or lean exhaust (no heat of formation).

    Returns: enthalpy, shape of the inputs together [J/kg].
    Source: Integral of `heat_capacity_j_kg_k` over temperature.

    >>> round(float(enthalpy_j_kg(125.0)) / 1000)
    101
    """
    return _blend((temperature_c + 273.15) / 1000.0, _share(lambda_ratio), _AIR_H, _PRODUCTS_H)


@takes(enthalpy=Span(-80e3, 3.0e6, "J/kg", "enthalpy above 25 °C"), lambda_ratio=spans.LEAN_LAMBDA)
def temperature_from_enthalpy_c(enthalpy: Numbers, lambda_ratio: Numbers = np.inf) -> Floats:
    """Temperature at which air or lean exhaust has the given enthalpy above 25 °C.

    Returns: temperature, shape of the inputs together [°C].
    Source: Newton's method on `enthalpy_j_kg`, which is smooth and rises steadily.

    >>> round(float(temperature_from_enthalpy_c(enthalpy_j_kg(600.0, 1.5), 1.5)), 3)
    600.0
    """
    share = _share(lambda_ratio)
    x = REFERENCE_K / 1000.0 + enthalpy / 1.1e6
    for _ in range(6):
        have = _blend(x, share, _AIR_H, _PRODUCTS_H)
        slope = _blend(x, share, _AIR_CP, _PRODUCTS_CP)
        x = x + (enthalpy - have) / (slope * 1000.0)
    return x * 1000.0 - 273.15


def heat_capacity_polynomials() -> tuple[Floats, Floats]:
    """Heat capacity at constant pressure of air and of full products, for searches.

    Returns: tuple of two arrays: coefficients in rising powers of temperature over 1000 K [J/(kg K)].
    Source: The curves of this file.
    """
    return _AIR_CP.copy(), _PRODUCTS_CP.copy()


def energy_polynomials() -> tuple[Floats, Floats, Floats, Floats]:
    """Internal energy and heat capacity at constant volume as polynomials, for the cylinder.

    Returns: tuple of four arrays: energy of air, energy of full products [J/kg], heat capacity of air and of full
        products [J/(kg K)]; coefficients in rising powers of temperature over 1000 K.
    Source: Internal energy h - R T with the curves of this file.
    """
    air, products = _AIR_H.copy(), _PRODUCTS_H.copy()
    air[1] -= AIR_R_J_KG_K * 1000.0
    products[1] -= PRODUCTS_R_J_KG_K * 1000.0
    air_cv, products_cv = _AIR_CP.copy(), _PRODUCTS_CP.copy()
    air_cv[0] -= AIR_R_J_KG_K
    products_cv[0] -= PRODUCTS_R_J_KG_K
    return air, products, air_cv, products_cv
