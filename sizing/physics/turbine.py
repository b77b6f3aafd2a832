"""Turbine: expansion ratio from the power balance, temperature behind it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from .engine import hot_wall_loss_w
from .errors import Floats, NoSolution, require
from .gas import heat_capacity_j_kg_k, isentropic_exponent


def expansion_ratio(
    compressor_power_kw: ArrayLike,
    exhaust_flow_kg_s: ArrayLike,
    exhaust_temperature_c: ArrayLike,
    lambda_ratio: ArrayLike,
    turbine_efficiency_ratio: ArrayLike,
) -> Floats:
    """Expansion ratio at which the turbine gives the power that the compressor takes.

    Parameters
    ----------
    compressor_power_kw : float or array
        Power of the compressor, 0 to 500 [kW]
    exhaust_flow_kg_s : float or array
        Gas flow through the turbine, 1e-4 to 5 [kg/s]
    exhaust_temperature_c : float or array
        Gas temperature before the turbine, 50 to 1200 [°C]
    lambda_ratio : float or array
        Lambda of the exhaust gas, 1 or more [-]
    turbine_efficiency_ratio : float or array
        Total to static efficiency times bearing efficiency, 0.1 to 0.95 [-]

    Returns
    -------
    array
        Pressure before over pressure behind the turbine, shape of the inputs together [-]

    Raises
    ------
    OutOfRange
        If an input is outside its range.
    NoSolution
        If even full expansion would not give the power: the turbine cannot supply this boost.

    Examples
    --------
    >>> round(float(expansion_ratio(10.0, 0.105, 650.0, 1.4, 0.65)), 2)
    1.81

    References
    ----------
    Steady power balance, Isermann, Combustion Engine Diagnosis, section 5.4; heat capacity of
    the real exhaust at inlet temperature.
    """
    power = require("compressor_power_kw", compressor_power_kw, 0.0, 500.0, "kW")
    flow = require("exhaust_flow_kg_s", exhaust_flow_kg_s, 1e-4, 5.0, "kg/s")
    temperature = require("exhaust_temperature_c", exhaust_temperature_c, 50.0, 1200.0, "°C")
    efficiency = require("turbine_efficiency_ratio", turbine_efficiency_ratio, 0.1, 0.95, "")
    capacity = heat_capacity_j_kg_k(temperature, lambda_ratio)
    exponent = isentropic_exponent(temperature, lambda_ratio)
    share = power * 1e3 / (flow * efficiency * capacity * (temperature + 273.15))
    worst = float(np.max(share))
    if worst >= 0.6:
        raise NoSolution(
            "the turbine cannot supply this boost: the compressor asks for "
            f"{worst * 100:.0f} % of the heat in the exhaust as work, more than any turbine gives"
        )
    return (1.0 - share) ** (-exponent / (exponent - 1.0))


def outlet_temperature_c(
    compressor_power_kw: ArrayLike,
    exhaust_flow_kg_s: ArrayLike,
    exhaust_temperature_c: ArrayLike,
    lambda_ratio: ArrayLike,
    bearing_efficiency_ratio: ArrayLike = 0.97,
    housing_loss_kw: ArrayLike = 0.0,
) -> Floats:
    """Exhaust temperature behind the turbine from the power that it has given off.

    Parameters
    ----------
    compressor_power_kw : float or array
        Power of the compressor, 0 to 500 [kW]
    exhaust_flow_kg_s : float or array
        Gas flow through turbine and wastegate, 1e-4 to 5 [kg/s]
    exhaust_temperature_c : float or array
        Gas temperature before the turbine, 50 to 1200 [°C]
    lambda_ratio : float or array
        Lambda of the exhaust gas, 1 or more [-]
    bearing_efficiency_ratio : float or array
        Power left behind the bearings, 0.7 to 1 [-]
    housing_loss_kw : float or array
        Heat lost by the hot housing to its surroundings, 0 to 50 [kW]

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
    >>> round(float(outlet_temperature_c(10.0, 0.105, 650.0, 1.4)), 1)
    567.9

    References
    ----------
    Energy balance of the turbine.
    """
    power = require("compressor_power_kw", compressor_power_kw, 0.0, 500.0, "kW")
    flow = require("exhaust_flow_kg_s", exhaust_flow_kg_s, 1e-4, 5.0, "kg/s")
    temperature = require("exhaust_temperature_c", exhaust_temperature_c, 50.0, 1200.0, "°C")
    bearing = require("bearing_efficiency_ratio", bearing_efficiency_ratio, 0.7, 1.0, "")
    housing = require("housing_loss_kw", housing_loss_kw, 0.0, 50.0, "kW")
    drop = (power / bearing + housing) * 1e3 / flow
    first = drop / heat_capacity_j_kg_k(temperature, lambda_ratio)
    return temperature - drop / heat_capacity_j_kg_k(temperature - 0.5 * first, lambda_ratio)


def housing_loss_kw(exhaust_temperature_c: ArrayLike, displacement_l: ArrayLike) -> Floats:
    """Heat that an uncooled turbine housing and the first pipe behind it lose.

    Parameters
    ----------
    exhaust_temperature_c : float or array
        Gas temperature before the turbine, 60 to 1200 [°C]
    displacement_l : float or array
        Displacement of the engine that the turbo serves, 0.3 to 30 [L]

    Returns
    -------
    array
        Heat flow, shape of the inputs together [kW]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> 0.5 < float(housing_loss_kw(600.0, 2.0)) < 1.5
    True

    References
    ----------
    Radiation and convection of `engine.hot_wall_loss_w`; surface 0.05 m² on a 1.7 L engine (housing
    of about 10 cm and the pipe to the thermocouple), growing with displacement to the power 2/3.
    """
    hot = require("exhaust_temperature_c", exhaust_temperature_c, 60.0, 1200.0, "°C")
    litres = require("displacement_l", displacement_l, 0.3, 30.0, "L")
    size = (litres / 1.7) ** (2.0 / 3.0)
    return hot_wall_loss_w(hot, 15.0 * size, 0.05 * size) / 1e3
