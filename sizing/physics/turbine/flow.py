"""Turbine: expansion ratio from the power balance, temperature behind it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sizing.physics.engine.output import hot_wall_loss_w
from sizing.physics.errors import Floats, NoSolution, require
from sizing.physics.gas import gas_constant_j_kg_k, heat_capacity_j_kg_k, isentropic_exponent

# State to which flow capacity refers; the same as for compressor maps of aero practice.
CAPACITY_TEMPERATURE_K, CAPACITY_PRESSURE_KPA = 288.15, 101.325
BEST_SPEED_RATIO = 0.70  # blade speed over spouting velocity, radial turbines (textbook)
HUB_PER_EXDUCER = 0.30
EXIT_BLADE_ANGLE_DEG = 57.0  # of the turbine wheel at its outlet, from the axis; 55 to 60
THROAT_DISCHARGE = 0.92


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


def inlet_pressure_kpa(
    gas_flow_kg_s: ArrayLike, exhaust_temperature_c: ArrayLike, outlet_pressure_kpa: ArrayLike, capacity_kg_s: ArrayLike
) -> Floats:
    """Pressure before a turbine of known capacity.

    Parameters
    ----------
    gas_flow_kg_s : float or array
        Gas flow through the turbine, 0 to 5 [kg/s]
    exhaust_temperature_c : float or array
        Gas temperature before the turbine, 50 to 1200 [°C]
    outlet_pressure_kpa : float or array
        Pressure behind it, absolute, 40 to 200 [kPa]
    capacity_kg_s : float or array
        Choked flow at 288.15 K and 101.325 kPa, 0.002 to 5 [kg/s]

    Returns
    -------
    array
        Pressure before the turbine, absolute, shape of the inputs together [kPa]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(inlet_pressure_kpa(0.1, 600.0, 105.0, 0.12)))
    169

    References
    ----------
    Inverse of `flow_share`.
    """
    flow = require("gas_flow_kg_s", gas_flow_kg_s, 0.0, 5.0, "kg/s")
    kelvin = require("exhaust_temperature_c", exhaust_temperature_c, 50.0, 1200.0, "°C") + 273.15
    behind = require("outlet_pressure_kpa", outlet_pressure_kpa, 40.0, 200.0, "kPa")
    capacity = require("capacity_kg_s", capacity_kg_s, 0.002, 5.0, "kg/s")
    driven = flow * np.sqrt(kelvin / CAPACITY_TEMPERATURE_K) * CAPACITY_PRESSURE_KPA / (capacity * behind)
    ratio = ratio_from_driven(driven)
    before: Floats = behind * ratio
    return before


def ratio_from_driven(driven: Floats) -> Floats:
    """Expansion ratio from corrected flow over choked flow, both referred to the pressure behind the turbine [-]."""
    # ratio * sqrt(1 - ratio^-3) = driven, that is ratio^3 - driven^2 ratio - 1 = 0; Newton from above,
    # where the cubic is convex and rising, cannot overshoot.
    square = driven * driven
    ratio = np.sqrt(1.0 + square)
    for _ in range(4):
        ratio_square = ratio * ratio
        ratio = (2.0 * ratio_square * ratio + 1.0) / (3.0 * ratio_square - square)
    return ratio


def flow_share(expansion_ratio: ArrayLike) -> Floats:
    """Corrected flow over choked flow at an expansion ratio.

    Parameters
    ----------
    expansion_ratio : float or array
        Pressure before over pressure behind the turbine, 1 to 50 [-]

    Returns
    -------
    array
        Share from 0 to 1, same shape [-]

    Raises
    ------
    OutOfRange
        If the ratio is outside its range.

    Examples
    --------
    >>> round(float(flow_share(2.0)), 3)
    0.935

    References
    ----------
    Form of Eriksson (Oil & Gas Science and Technology 62, 2007), sqrt(1 - ratio^-K). K = 3 lies
    between Stodola's ellipse for many stages (2) and housing and wheel as two still nozzles in
    series (about 4); a turning radial wheel holds flow back at small ratios. Within 10 % of both
    in pressure before the turbine.
    """
    ratio = require("expansion_ratio", expansion_ratio, 1.0, 50.0, "")
    return np.sqrt(1.0 - ratio**-3.0)


def capacity_from_flow_kg_s(
    gas_flow_kg_s: ArrayLike,
    exhaust_temperature_c: ArrayLike,
    inlet_pressure_kpa: ArrayLike,
    outlet_pressure_kpa: ArrayLike,
) -> Floats:
    """Capacity of a turbine from one state at which it runs.

    Parameters
    ----------
    gas_flow_kg_s : float or array
        Gas flow through the turbine, 1e-4 to 5 [kg/s]
    exhaust_temperature_c : float or array
        Gas temperature before the turbine, 50 to 1200 [°C]
    inlet_pressure_kpa : float or array
        Pressure before it, absolute, 41 to 1000 [kPa]
    outlet_pressure_kpa : float or array
        Pressure behind it, absolute, 40 to 200; lower than before it by 2 % or more [kPa]

    Returns
    -------
    array
        Choked flow at 288.15 K and 101.325 kPa, shape of the inputs together [kg/s]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(capacity_from_flow_kg_s(0.1, 600.0, 169.4, 105.0)), 3)
    0.12

    References
    ----------
    Inverse of `inlet_pressure_kpa`.
    """
    flow = require("gas_flow_kg_s", gas_flow_kg_s, 1e-4, 5.0, "kg/s")
    kelvin = require("exhaust_temperature_c", exhaust_temperature_c, 50.0, 1200.0, "°C") + 273.15
    before = require("inlet_pressure_kpa", inlet_pressure_kpa, 41.0, 1000.0, "kPa")
    behind = require("outlet_pressure_kpa", outlet_pressure_kpa, 40.0, 200.0, "kPa")
    require("expansion_ratio", before / behind, 1.02, 20.0, "")
    corrected = flow * np.sqrt(kelvin / CAPACITY_TEMPERATURE_K) * CAPACITY_PRESSURE_KPA
    return corrected / (before * flow_share(before / behind))


def capacity_from_housing_kg_s(housing_area_mm2: ArrayLike, exducer_diameter_mm: ArrayLike) -> Floats:
    """Capacity estimated from the throat of the housing and the outlet of the wheel.

    Parameters
    ----------
    housing_area_mm2 : float or array
        Smallest section of the volute, 50 to 8000 [mm²]
    exducer_diameter_mm : float or array
        Outlet diameter of the turbine wheel, 15 to 200 [mm]

    Returns
    -------
    array
        Choked flow at 288.15 K and 101.325 kPa, within about 20 %, shape of the inputs together [kg/s]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> 0.08 < float(capacity_from_housing_kg_s(600.0, 40.0)) < 0.14
    True

    References
    ----------
    Two throats in series share the pressure drop, so their areas add as inverse squares (textbook
    rule for orifices in series); choked nozzle flow of air; wheel outlet at 57 degrees, hub 0.3.
    """
    housing = require("housing_area_mm2", housing_area_mm2, 50.0, 8000.0, "mm²")
    exducer = require("exducer_diameter_mm", exducer_diameter_mm, 15.0, 200.0, "mm")
    annulus = np.pi / 4.0 * exducer**2 * (1.0 - HUB_PER_EXDUCER**2)
    wheel = annulus * np.cos(np.radians(EXIT_BLADE_ANGLE_DEG))
    both: Floats = THROAT_DISCHARGE / np.sqrt(1.0 / housing**2 + 1.0 / wheel**2)
    return both * 1e-6 * choked_flux_kg_s_m2()


def choked_flux_kg_s_m2() -> float:
    """Choked flow of air at 288.15 K and 101.325 kPa through one square metre.

    Returns
    -------
    float
        Flow per area [kg/(s m²)]

    Raises
    ------
    Nothing.

    Examples
    --------
    >>> round(choked_flux_kg_s_m2(), 1)
    241.2

    References
    ----------
    Isentropic nozzle, exponent 1.4 (any text on gas dynamics).
    """
    factor = float(np.sqrt(1.4 / (287.05 * CAPACITY_TEMPERATURE_K))) * (2.0 / 2.4) ** 3
    return CAPACITY_PRESSURE_KPA * 1e3 * factor


def power_kw(
    gas_flow_kg_s: ArrayLike,
    exhaust_temperature_c: ArrayLike,
    expansion_ratio: ArrayLike,
    lambda_ratio: ArrayLike,
    efficiency_ratio: ArrayLike,
) -> Floats:
    """Power that a turbine gives.

    Parameters
    ----------
    gas_flow_kg_s : float or array
        Gas flow through the turbine, 0 to 5 [kg/s]
    exhaust_temperature_c : float or array
        Gas temperature before it, 50 to 1200 [°C]
    expansion_ratio : float or array
        Pressure before over pressure behind it, 1 to 20 [-]
    lambda_ratio : float or array
        Lambda of the exhaust gas, 1 or more [-]
    efficiency_ratio : float or array
        Total to static, with or without bearings, 0.05 to 0.95 [-]

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
    >>> round(float(power_kw(0.105, 650.0, 1.81, 1.4, 0.65)), 1)
    10.0

    References
    ----------
    Isentropic drop of the real exhaust at inlet temperature; inverse of `expansion_ratio`.
    """
    flow = require("gas_flow_kg_s", gas_flow_kg_s, 0.0, 5.0, "kg/s")
    temperature = require("exhaust_temperature_c", exhaust_temperature_c, 50.0, 1200.0, "°C")
    ratio = require("expansion_ratio", expansion_ratio, 1.0, 20.0, "")
    efficiency = require("efficiency_ratio", efficiency_ratio, 0.05, 0.95, "")
    capacity = heat_capacity_j_kg_k(temperature, lambda_ratio)
    power = gas_constant_j_kg_k(lambda_ratio) / capacity
    return flow * efficiency * capacity * (temperature + 273.15) * (1.0 - ratio**-power) / 1e3


def efficiency_at_speed_ratio(
    peak_efficiency_ratio: ArrayLike,
    wheel_diameter_mm: ArrayLike,
    wheel_speed_rpm: ArrayLike,
    exhaust_temperature_c: ArrayLike,
    expansion_ratio: ArrayLike,
) -> Floats:
    """Turbine efficiency at its speed: a parabola over blade speed ratio.

    Parameters
    ----------
    peak_efficiency_ratio : float or array
        Best efficiency, 0.3 to 0.85 [-]
    wheel_diameter_mm : float or array
        Outer diameter of the turbine wheel, 20 to 250 [mm]
    wheel_speed_rpm : float or array
        Wheel speed, 1000 to 400 000 [rpm]
    exhaust_temperature_c : float or array
        Gas temperature before the turbine, 50 to 1200 [°C]
    expansion_ratio : float or array
        Pressure before over pressure behind it, 1.001 to 20 [-]

    Returns
    -------
    array
        Efficiency, at least 30 % of the best one: far from its best point the parabola is no longer
        trusted, shape of the inputs together [-]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(efficiency_at_speed_ratio(0.65, 45.0, 150_000, 600.0, 1.8)), 2)
    0.65

    References
    ----------
    Watson and Janota, Turbocharging the Internal Combustion Engine: top near 0.7, zero at 0 and 1.4.
    """
    peak = require("peak_efficiency_ratio", peak_efficiency_ratio, 0.3, 0.85, "")
    diameter = require("wheel_diameter_mm", wheel_diameter_mm, 20.0, 250.0, "mm")
    speed = require("wheel_speed_rpm", wheel_speed_rpm, 1000.0, 400_000.0, "rpm")
    kelvin = require("exhaust_temperature_c", exhaust_temperature_c, 50.0, 1200.0, "°C") + 273.15
    ratio = require("expansion_ratio", expansion_ratio, 1.001, 20.0, "")
    return peak * speed_share(diameter / 1e3, speed, kelvin, ratio)


def speed_share(wheel_m: Floats, speed_rpm: Floats, kelvin: Floats, expansion_ratio: Floats) -> Floats:
    """Efficiency over the best one at a blade speed, as `efficiency_at_speed_ratio` [-]."""
    drop = 1.0 - np.exp(np.log(expansion_ratio) * -(287.0 / 1180.0))
    share = np.pi * wheel_m * speed_rpm / 60.0 / np.sqrt(2.0 * 1180.0 * kelvin * drop) / BEST_SPEED_RATIO
    return np.maximum(1.0 - (share - 1.0) ** 2, 0.30)
