"""Turbine: expansion ratio from the power balance, temperature behind it."""

from __future__ import annotations

import numpy as np

from sizing.physics import spans
from sizing.physics.engine.output import hot_wall_loss_w
from sizing.physics.errors import Floats, NoSolution, require
from sizing.physics.gas import gas_constant_j_kg_k, heat_capacity_j_kg_k, isentropic_exponent
from sizing.physics.ranges import Numbers, Span, takes

# State to which flow capacity refers; the same as for compressor maps of aero practice.
CAPACITY_TEMPERATURE_K, CAPACITY_PRESSURE_KPA = 288.15, 101.325
BEST_SPEED_RATIO = 0.70  # blade speed over spouting velocity, radial turbines (textbook)
HUB_PER_EXDUCER = 0.30
EXIT_BLADE_ANGLE_DEG = 57.0  # of the turbine wheel at its outlet, from the axis; 55 to 60
THROAT_DISCHARGE = 0.92


@takes(
    compressor_power_kw=spans.COMPRESSOR_KW,
    exhaust_flow_kg_s=spans.FLOW_KG_S,
    exhaust_temperature_c=spans.EXHAUST_C,
    lambda_ratio=spans.LEAN_LAMBDA.of("lambda of the exhaust gas"),
    turbine_efficiency_ratio=Span(0.1, 0.95, "", "total to static efficiency times bearing efficiency"),
)
def expansion_ratio(
    compressor_power_kw: Numbers,
    exhaust_flow_kg_s: Numbers,
    exhaust_temperature_c: Numbers,
    lambda_ratio: Numbers,
    turbine_efficiency_ratio: Numbers,
) -> Floats:
    """Expansion ratio at which the turbine gives the power that the compressor takes.

    Returns: pressure before over pressure behind the turbine, shape of the inputs together [-].
    Raises: NoSolution if even full expansion would not give the power: the turbine cannot supply this boost.
    Source: Steady power balance, Isermann, Combustion Engine Diagnosis, section 5.4; heat capacity of the real exhaust
        at inlet temperature.

    >>> round(float(expansion_ratio(10.0, 0.105, 650.0, 1.4, 0.65)), 2)
    1.81
    """
    capacity = heat_capacity_j_kg_k(exhaust_temperature_c, lambda_ratio)
    exponent = isentropic_exponent(exhaust_temperature_c, lambda_ratio)
    share = (
        compressor_power_kw
        * 1e3
        / (exhaust_flow_kg_s * turbine_efficiency_ratio * capacity * (exhaust_temperature_c + 273.15))
    )
    worst = float(np.max(share))
    if worst >= 0.6:
        raise NoSolution(
            "the turbine cannot supply this boost: the compressor asks for "
            f"{worst * 100:.0f} % of the heat in the exhaust as work, more than any turbine gives"
        )
    return (1.0 - share) ** (-exponent / (exponent - 1.0))


@takes(
    compressor_power_kw=spans.COMPRESSOR_KW,
    exhaust_flow_kg_s=spans.FLOW_KG_S.of("gas flow through turbine and wastegate"),
    exhaust_temperature_c=spans.EXHAUST_C,
    lambda_ratio=spans.LEAN_LAMBDA.of("lambda of the exhaust gas"),
    bearing_efficiency_ratio=Span(0.7, 1.0, "", "power left behind the bearings"),
    housing_loss_kw=Span(0.0, 50.0, "kW", "heat lost by the hot housing to its surroundings"),
)
def turbine_outlet_temperature_c(
    compressor_power_kw: Numbers,
    exhaust_flow_kg_s: Numbers,
    exhaust_temperature_c: Numbers,
    lambda_ratio: Numbers,
    bearing_efficiency_ratio: Numbers = 0.97,
    housing_loss_kw: Numbers = 0.0,
) -> Floats:
    """Exhaust temperature behind the turbine from the power that it has given off.

    Returns: temperature, shape of the inputs together [°C].
    Source: Energy balance of the turbine.

    >>> round(float(turbine_outlet_temperature_c(10.0, 0.105, 650.0, 1.4)), 1)
    567.9
    """
    drop = (compressor_power_kw / bearing_efficiency_ratio + housing_loss_kw) * 1e3 / exhaust_flow_kg_s
    first = drop / heat_capacity_j_kg_k(exhaust_temperature_c, lambda_ratio)
    return exhaust_temperature_c - drop / heat_capacity_j_kg_k(exhaust_temperature_c - 0.5 * first, lambda_ratio)


@takes(
    exhaust_temperature_c=Span(60.0, 1200.0, "°C", "gas temperature before the turbine"),
    displacement_l=spans.ENGINE_L.of("displacement of the engine that the turbo serves"),
)
def housing_loss_kw(exhaust_temperature_c: Numbers, displacement_l: Numbers) -> Floats:
    """Heat that an uncooled turbine housing and the first pipe behind it lose.

    Returns: heat flow, shape of the inputs together [kW].
    Source: Radiation and convection of `engine.hot_wall_loss_w`; surface 0.05 m² on a 1.7 L engine (housing of about 10
        cm and the pipe to the thermocouple), growing with displacement to the power 2/3.

    >>> 0.5 < float(housing_loss_kw(600.0, 2.0)) < 1.5
    True
    """
    size = (displacement_l / 1.7) ** (2.0 / 3.0)
    return hot_wall_loss_w(exhaust_temperature_c, 15.0 * size, 0.05 * size) / 1e3


@takes(
    gas_flow_kg_s=spans.FLOW_OR_NONE_KG_S,
    exhaust_temperature_c=spans.EXHAUST_C,
    outlet_pressure_kpa=spans.BEHIND_TURBINE_KPA.of("pressure behind it, absolute"),
    capacity_kg_s=Span(0.002, 5.0, "kg/s", "choked flow at 288.15 K and 101.325 kPa"),
)
def inlet_pressure_kpa(
    gas_flow_kg_s: Numbers, exhaust_temperature_c: Numbers, outlet_pressure_kpa: Numbers, capacity_kg_s: Numbers
) -> Floats:
    """Pressure before a turbine of known capacity.

    Returns: pressure before the turbine, absolute, shape of the inputs together [kPa].
    Source: Inverse of `flow_share`.

    >>> round(float(inlet_pressure_kpa(0.1, 600.0, 105.0, 0.12)))
    169
    """
    kelvin = exhaust_temperature_c + 273.15
    driven = (
        gas_flow_kg_s
        * np.sqrt(kelvin / CAPACITY_TEMPERATURE_K)
        * CAPACITY_PRESSURE_KPA
        / (capacity_kg_s * outlet_pressure_kpa)
    )
    ratio = ratio_from_driven(driven)
    before: Floats = outlet_pressure_kpa * ratio
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


@takes(expansion_ratio=Span(1.0, 50.0, "", "pressure before over pressure behind the turbine"))
def flow_share(expansion_ratio: Numbers) -> Floats:
    """Corrected flow over choked flow at an expansion ratio.

    Returns: share from 0 to 1, same shape [-].
    Source: Form of Eriksson (Oil & Gas Science and Technology 62, 2007), sqrt(1 - ratio^-K). K = 3 lies between
        Stodola's ellipse for many stages (2) and housing and wheel as two still nozzles in series (about 4); a turning
        radial wheel holds flow back at small ratios. Within 10 % of both in pressure before the turbine.

    >>> round(float(flow_share(2.0)), 3)
    0.935
    """
    return np.sqrt(1.0 - expansion_ratio**-3.0)


@takes(
    gas_flow_kg_s=spans.FLOW_KG_S,
    exhaust_temperature_c=spans.EXHAUST_C,
    inlet_pressure_kpa=Span(41.0, 1000.0, "kPa", "pressure before it, absolute"),
    outlet_pressure_kpa=spans.BEHIND_TURBINE_KPA.of(
        "pressure behind it, absolute; lower than before it by 2 % or more"
    ),
)
def capacity_from_flow_kg_s(
    gas_flow_kg_s: Numbers, exhaust_temperature_c: Numbers, inlet_pressure_kpa: Numbers, outlet_pressure_kpa: Numbers
) -> Floats:
    """Capacity of a turbine from one state at which it runs.

    Returns: choked flow at 288.15 K and 101.325 kPa, shape of the inputs together [kg/s].
    Source: Inverse of `inlet_pressure_kpa`.

    >>> round(float(capacity_from_flow_kg_s(0.1, 600.0, 169.4, 105.0)), 3)
    0.12
    """
    kelvin = exhaust_temperature_c + 273.15
    require("expansion_ratio", inlet_pressure_kpa / outlet_pressure_kpa, 1.02, 20.0, "")
    corrected = gas_flow_kg_s * np.sqrt(kelvin / CAPACITY_TEMPERATURE_K) * CAPACITY_PRESSURE_KPA
    return corrected / (inlet_pressure_kpa * flow_share(inlet_pressure_kpa / outlet_pressure_kpa))


@takes(
    housing_area_mm2=Span(50.0, 8000.0, "mm²", "smallest section of the volute"),
    exducer_diameter_mm=Span(15.0, 200.0, "mm", "outlet diameter of the turbine wheel"),
)
def capacity_from_housing_kg_s(housing_area_mm2: Numbers, exducer_diameter_mm: Numbers) -> Floats:
    """Capacity estimated from the throat of the housing and the outlet of the wheel.

    Returns: choked flow at 288.15 K and 101.325 kPa, within about 20 %, shape of the inputs together [kg/s].
    Source: Two throats in series share the pressure drop, so their areas add as inverse squares (textbook rule for
        orifices in series); choked nozzle flow of air; wheel outlet at 57 degrees, hub 0.3.

    >>> 0.08 < float(capacity_from_housing_kg_s(600.0, 40.0)) < 0.14
    True
    """
    annulus = np.pi / 4.0 * exducer_diameter_mm**2 * (1.0 - HUB_PER_EXDUCER**2)
    wheel = annulus * np.cos(np.radians(EXIT_BLADE_ANGLE_DEG))
    both: Floats = THROAT_DISCHARGE / np.sqrt(1.0 / housing_area_mm2**2 + 1.0 / wheel**2)
    return both * 1e-6 * choked_flux_kg_s_m2()


def choked_flux_kg_s_m2() -> float:
    """Choked flow of air at 288.15 K and 101.325 kPa through one square metre.

    Returns: flow per area [kg/(s m²)].
    Source: Isentropic nozzle, exponent 1.4 (any text on gas dynamics).

    >>> round(choked_flux_kg_s_m2(), 1)
    241.2
    """
    factor = float(np.sqrt(1.4 / (287.05 * CAPACITY_TEMPERATURE_K))) * (2.0 / 2.4) ** 3
    return CAPACITY_PRESSURE_KPA * 1e3 * factor


@takes(
    gas_flow_kg_s=spans.FLOW_OR_NONE_KG_S,
    exhaust_temperature_c=spans.EXHAUST_C.of("gas temperature before it"),
    expansion_ratio=Span(1.0, 20.0, "", "pressure before over pressure behind it"),
    lambda_ratio=spans.LEAN_LAMBDA.of("lambda of the exhaust gas"),
    efficiency_ratio=Span(0.05, 0.95, "", "total to static, with or without bearings"),
)
def turbine_power_kw(
    gas_flow_kg_s: Numbers,
    exhaust_temperature_c: Numbers,
    expansion_ratio: Numbers,
    lambda_ratio: Numbers,
    efficiency_ratio: Numbers,
) -> Floats:
    """Power that a turbine gives.

    Returns: power, shape of the inputs together [kW].
    Source: Isentropic drop of the real exhaust at inlet temperature; inverse of `expansion_ratio`.

    >>> round(float(turbine_power_kw(0.105, 650.0, 1.81, 1.4, 0.65)), 1)
    10.0
    """
    capacity = heat_capacity_j_kg_k(exhaust_temperature_c, lambda_ratio)
    power = gas_constant_j_kg_k(lambda_ratio) / capacity
    return (
        gas_flow_kg_s
        * efficiency_ratio
        * capacity
        * (exhaust_temperature_c + 273.15)
        * (1.0 - expansion_ratio**-power)
        / 1e3
    )


@takes(
    peak_efficiency_ratio=Span(0.3, 0.85, "", "best efficiency"),
    wheel_diameter_mm=Span(20.0, 250.0, "mm", "outer diameter of the turbine wheel"),
    wheel_speed_rpm=Span(1000.0, 400_000.0, "rpm"),
    exhaust_temperature_c=spans.EXHAUST_C,
    expansion_ratio=Span(1.001, 20.0, "", "pressure before over pressure behind it"),
)
def efficiency_at_speed_ratio(
    peak_efficiency_ratio: Numbers,
    wheel_diameter_mm: Numbers,
    wheel_speed_rpm: Numbers,
    exhaust_temperature_c: Numbers,
    expansion_ratio: Numbers,
) -> Floats:
    """Turbine efficiency at its speed: a parabola over blade speed ratio.

    Returns: efficiency, at least 30 % of the best one: far from its best point the parabola is no longer trusted, shape
        of the inputs together [-].
    Source: Watson and Janota, Turbocharging the Internal Combustion Engine: top near 0.7, zero at 0 and 1.4.

    >>> round(float(efficiency_at_speed_ratio(0.65, 45.0, 150_000, 600.0, 1.8)), 2)
    0.65
    """
    kelvin = exhaust_temperature_c + 273.15
    return peak_efficiency_ratio * speed_share(wheel_diameter_mm / 1e3, wheel_speed_rpm, kelvin, expansion_ratio)


def speed_share(wheel_m: Floats, speed_rpm: Floats, kelvin: Floats, expansion_ratio: Floats) -> Floats:
    """Efficiency over the best one at a blade speed, as `efficiency_at_speed_ratio` [-]."""
    drop = 1.0 - np.exp(np.log(expansion_ratio) * -(287.0 / 1180.0))
    share = np.pi * wheel_m * speed_rpm / 60.0 / np.sqrt(2.0 * 1180.0 * kelvin * drop) / BEST_SPEED_RATIO
    return np.maximum(1.0 - (share - 1.0) ** 2, 0.30)
