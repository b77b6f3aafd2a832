"""Engine: air, fuel and speed to torque, power, exhaust temperature and peak pressure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from sizing.physics import gas
from sizing.physics.air import SEA_LEVEL_KPA
from sizing.physics.engine.breathing import check_injection
from sizing.physics.engine.cylinder import HOHENBERG, WALL_TEMPERATURE_K, Cycle, closed_cycle
from sizing.physics.engine.power import RPM_NM_PER_KW
from sizing.physics.errors import Floats, require
from sizing.physics.fuel import LOWER_HEATING_VALUE_MJ_KG, STOICHIOMETRIC_AIR_FUEL

# Millington and Hartles (1968) in Heywood ch. 13: motoring mean pressure, constant part [kPa]
FRICTION_CONSTANT_KPA = {"direct": 75.0, "indirect": 144.0}
# Chen and Flynn, SAE 650733: friction grows by 0.5 % of the peak pressure. Without boost, motoring
# and firing friction are about equal (Heywood section 13.3), so only the part of the peak that
# boost adds is counted.
FRICTION_PER_PEAK_PRESSURE = 0.005
COMBUSTION_EFFICIENCY = 0.98  # diesel, Heywood section 4.9.4
STROKE_PER_BORE = 1.05  # small diesels, common practice
# Wall area of a divided chamber over a plain one: a sphere with half of the clearance volume.
WALL_AREA_FACTOR = {"direct": 1.0, "indirect": 1.2}
# Burning begins shortly before top dead centre in a pump set for power, common practice.
COMBUSTION_START_DEG = {"direct": -5.0, "indirect": -3.0}
PORT_BORES_LONG = 1.5  # cooled exhaust port and manifold root, length over cylinder bore
PORT_BORE_SHARE = 0.35  # bore of the port over cylinder bore
EXHAUST_STROKE_DEG = 230.0  # exhaust valve opens 50 before bottom, closes at top dead centre
MANIFOLD_BORES_LONG = 2.5  # uncooled runner per cylinder, length over cylinder bore
MANIFOLD_OUTER_PER_INNER = 1.4  # outer over inner diameter of a cast runner


@dataclass(frozen=True)
class Operation:
    """How an engine runs at given air and fuel; all arrays of one shape."""

    torque_nm: Floats
    power_kw: Floats
    mean_pressure_kpa: Floats
    indicated_pressure_kpa: Floats
    friction_pressure_kpa: Floats
    brake_efficiency_ratio: Floats
    exhaust_temperature_c: Floats
    exhaust_flow_kg_s: Floats
    lambda_ratio: Floats
    peak_pressure_bar: Floats
    coolant_heat_kw: Floats
    half_burnt_deg: Floats


def friction_pressure_kpa(speed_rpm: ArrayLike, stroke_mm: ArrayLike, injection: str) -> Floats:
    """Mean pressure that friction, pumps and gas exchange without boost take.

    Parameters
    ----------
    speed_rpm : float or array
        Engine speed, 300 to 6500 [rpm]
    stroke_mm : float or array
        Stroke, 40 to 250 [mm]
    injection : str
        "indirect" or "direct" [-]

    Returns
    -------
    array
        Motoring mean pressure, shape of the inputs together [kPa]

    Raises
    ------
    OutOfRange
        If an input is outside its range.
    ValueError
        If the injection is neither of the two.

    Examples
    --------
    >>> round(float(friction_pressure_kpa(2000.0, 90.0, "direct")), 1)
    185.4

    References
    ----------
    Millington and Hartles, SAE 680590, as given in Heywood, ch. 13: 75 kPa direct injection,
    144 kPa small swirl chamber (from memory), + 48 n/1000 + 0.4 (piston speed)².
    """
    check_injection(injection)
    speed = require("speed_rpm", speed_rpm, 300.0, 6500.0, "rpm")
    stroke = require("stroke_mm", stroke_mm, 40.0, 250.0, "mm")
    piston_speed = stroke / 1e3 * speed / 30.0
    return FRICTION_CONSTANT_KPA[injection] + 0.048 * speed + 0.4 * piston_speed**2


def hot_wall_loss_w(
    gas_temperature_c: ArrayLike,
    inner_conductance_w_k: ArrayLike,
    outer_area_m2: ArrayLike,
    surroundings_c: float = 60.0,
) -> Floats:
    """Heat that a hot uncooled casting loses to an engine bay.

    Parameters
    ----------
    gas_temperature_c : float or array
        Gas temperature inside, 60 to 1500 [°C]
    inner_conductance_w_k : float or array
        Film coefficient times area inside, 1e-3 to 1000 [W/K]
    outer_area_m2 : float or array
        Outer surface, 0 to 5 [m²]
    surroundings_c : float
        Air and walls around, -40 to 150 [°C]

    Returns
    -------
    array
        Heat flow, shape of the inputs together [W]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(hot_wall_loss_w(600.0, 8.0, 0.1)) / 100)
    14

    References
    ----------
    Radiation of oxidised cast iron, emissivity 0.8, and 10 W/(m² K) to moving air; textbook values.
    """
    hot = require("gas_temperature_c", gas_temperature_c, 60.0, 1500.0, "°C") + 273.15
    inside = require("inner_conductance_w_k", inner_conductance_w_k, 1e-3, 1000.0, "W/K")
    area = require("outer_area_m2", outer_area_m2, 0.0, 5.0, "m²")
    around = require("surroundings_c", surroundings_c, -40.0, 150.0, "°C") + 273.15
    radiation = 0.8 * 5.670e-8
    wall = around + 0.7 * (hot - around)
    for _ in range(4):  # Newton; the balance is monotone and convex in the wall temperature
        cube = wall * wall * wall
        balance = inside * (hot - wall) - area * (radiation * (cube * wall - around**4) + 10.0 * (wall - around))
        slope = -inside - area * (4.0 * radiation * cube + 10.0)
        wall = wall - balance / slope
    return inside * (hot - wall)


def bore_mm(displacement_l: ArrayLike, cylinder_count: ArrayLike) -> Floats:
    """Likely bore of an engine of which only displacement and cylinders are known.

    Parameters
    ----------
    displacement_l : float or array
        Displacement of the engine, 0.3 to 30 [L]
    cylinder_count : int or array
        Number of cylinders, 1 to 16 [-]

    Returns
    -------
    array
        Bore, shape of the inputs together [mm]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(bore_mm(2.5, 4)), 1)
    91.2

    References
    ----------
    Stroke 1.05 times the bore, common practice.
    """
    displacement = require("displacement_l", displacement_l, 0.3, 30.0, "L")
    cylinders = require("cylinder_count", cylinder_count, 1.0, 16.0, "")
    return np.cbrt(displacement * 1e6 / cylinders * 4.0 / (np.pi * STROKE_PER_BORE))


def run(
    displacement_l: ArrayLike,
    cylinder_count: ArrayLike,
    compression_ratio: ArrayLike,
    injection: str,
    speed_rpm: ArrayLike,
    manifold_pressure_kpa: ArrayLike,
    charge_temperature_c: ArrayLike,
    exhaust_pressure_kpa: ArrayLike,
    air_flow_kg_s: ArrayLike,
    fuel_flow_kg_s: ArrayLike,
    combustion_start_deg: ArrayLike | None = None,
) -> Operation:
    """Torque, power, temperatures and pressures of an engine at given air, fuel and speed.

    Parameters
    ----------
    displacement_l : float or array
        Displacement of the engine, 0.3 to 30 [L]
    cylinder_count : int or array
        Number of cylinders, 1 to 16 [-]
    compression_ratio : float or array
        Geometric compression ratio, 10 to 26 [-]
    injection : str
        "indirect" or "direct" [-]
    speed_rpm : float or array
        Engine speed, 300 to 6500 [rpm]
    manifold_pressure_kpa : float or array
        Inlet manifold pressure, absolute, 30 to 600 [kPa]
    charge_temperature_c : float or array
        Air temperature in the manifold, -60 to 400 [°C]
    exhaust_pressure_kpa : float or array
        Pressure in the exhaust manifold, absolute, 30 to 1000 [kPa]
    air_flow_kg_s : float or array
        Flow of dry air, 1e-4 to 5 [kg/s]
    fuel_flow_kg_s : float or array
        Fuel flow, 0 to 0.5 [kg/s]
    combustion_start_deg : float, array or None
        Begin of burning after top dead centre; None takes the usual setting, -30 to 30 [deg]

    Returns
    -------
    Operation
        Arrays with the shape of the inputs together. Where fuel exceeds what the air can burn,
        the rest passes unburnt (lambda below 1 says so).

    Raises
    ------
    OutOfRange
        If an input is outside its range.
    ValueError
        If the injection is neither of the two.

    Examples
    --------
    >>> result = run(2.5, 4, 18.0, "direct", 2000.0, 100.0, 25.0, 105.0, 0.0437, 0.0020)
    >>> 140.0 < float(result.torque_nm) < 190.0
    True

    References
    ----------
    Work and wall heat from `cylinder.closed_cycle`; friction of Millington and Hartles; pumping
    between the two manifolds; exhaust temperature from the energy balance of the whole cycle.
    """
    fired = fire(
        displacement_l,
        cylinder_count,
        compression_ratio,
        injection,
        speed_rpm,
        manifold_pressure_kpa,
        charge_temperature_c,
        air_flow_kg_s,
        fuel_flow_kg_s,
        combustion_start_deg,
    )
    return exhale(fired, exhaust_pressure_kpa)


@dataclass(frozen=True)
class Fired:
    """The closed part of the cycle, which does not depend on the exhaust manifold."""

    displacement_l: Floats
    cylinder_count: Floats
    speed_rpm: Floats
    manifold_pressure_kpa: Floats
    charge_temperature_c: Floats
    air_flow_kg_s: Floats
    fuel_flow_kg_s: Floats
    friction_kpa: Floats
    cycle: Cycle


def fire(
    displacement_l: ArrayLike,
    cylinder_count: ArrayLike,
    compression_ratio: ArrayLike,
    injection: str,
    speed_rpm: ArrayLike,
    manifold_pressure_kpa: ArrayLike,
    charge_temperature_c: ArrayLike,
    air_flow_kg_s: ArrayLike,
    fuel_flow_kg_s: ArrayLike,
    combustion_start_deg: ArrayLike | None = None,
) -> Fired:
    """Closed part of the cycle: the first half of `run`, for callers that search the exhaust pressure.

    Parameters
    ----------
    displacement_l : float or array
        Displacement of the engine, 0.3 to 30 [L]
    cylinder_count : int or array
        Number of cylinders, 1 to 16 [-]
    compression_ratio : float or array
        Geometric compression ratio, 10 to 26 [-]
    injection : str
        "indirect" or "direct" [-]
    speed_rpm : float or array
        Engine speed, 300 to 6500 [rpm]
    manifold_pressure_kpa : float or array
        Inlet manifold pressure, absolute, 30 to 600 [kPa]
    charge_temperature_c : float or array
        Air temperature in the manifold, -60 to 400 [°C]
    air_flow_kg_s : float or array
        Flow of dry air, 1e-4 to 5 [kg/s]
    fuel_flow_kg_s : float or array
        Fuel flow, 0 to 0.5 [kg/s]
    combustion_start_deg : float, array or None
        Begin of burning after top dead centre; None takes the usual setting, -30 to 30 [deg]

    Returns
    -------
    Fired
        Arrays with the shape of the inputs together

    Raises
    ------
    OutOfRange
        If an input is outside its range.
    ValueError
        If the injection is neither of the two.

    References
    ----------
    See `run`.
    """
    check_injection(injection)
    displacement = require("displacement_l", displacement_l, 0.3, 30.0, "L")
    cylinders = require("cylinder_count", cylinder_count, 1.0, 16.0, "")
    ratio = require("compression_ratio", compression_ratio, 10.0, 26.0, "")
    speed = require("speed_rpm", speed_rpm, 300.0, 6500.0, "rpm")
    inlet_kpa = require("manifold_pressure_kpa", manifold_pressure_kpa, 30.0, 600.0, "kPa")
    charge = require("charge_temperature_c", charge_temperature_c, -60.0, 400.0, "°C")
    air = require("air_flow_kg_s", air_flow_kg_s, 1e-4, 5.0, "kg/s")
    fuel = require("fuel_flow_kg_s", fuel_flow_kg_s, 0.0, 0.5, "kg/s")
    start = COMBUSTION_START_DEG[injection] if combustion_start_deg is None else combustion_start_deg
    bore = bore_mm(displacement, cylinders)
    cycles = speed / 120.0 * cylinders  # per second, all cylinders
    one_l = displacement / cylinders
    clearance_m3 = one_l * 1e-3 / (ratio - 1.0)
    residual = inlet_kpa * 1e3 * clearance_m3 / (287.0 * 900.0)  # burnt gas of about 900 K
    cycle = closed_cycle(
        one_l,
        bore,
        ratio,
        speed,
        inlet_kpa,
        air / cycles,
        residual,
        fuel * COMBUSTION_EFFICIENCY / cycles,
        start,
        WALL_AREA_FACTOR[injection],
    )
    added_by_boost_kpa = 100.0 * cycle.peak_pressure_bar * (1.0 - SEA_LEVEL_KPA / inlet_kpa)
    friction = friction_pressure_kpa(speed, STROKE_PER_BORE * bore, injection)
    return Fired(
        displacement,
        cylinders,
        speed,
        inlet_kpa,
        charge,
        air,
        fuel,
        friction + FRICTION_PER_PEAK_PRESSURE * added_by_boost_kpa,
        cycle,
    )


def exhale(fired: Fired, exhaust_pressure_kpa: ArrayLike) -> Operation:
    """Torque and exhaust temperature of a fired engine at a given exhaust manifold pressure.

    Parameters
    ----------
    fired : Fired
        Answer of `fire`
    exhaust_pressure_kpa : float or array
        Pressure in the exhaust manifold, absolute, 30 to 1000 [kPa]

    Returns
    -------
    Operation
        Arrays with the shape of the inputs together

    Raises
    ------
    OutOfRange
        If the pressure is outside its range.

    References
    ----------
    See `run`.
    """
    outlet_kpa = require("exhaust_pressure_kpa", exhaust_pressure_kpa, 30.0, 1000.0, "kPa")
    cycle, speed, air, fuel = fired.cycle, fired.speed_rpm, fired.air_flow_kg_s, fired.fuel_flow_kg_s
    cylinders, displacement = fired.cylinder_count, fired.displacement_l
    litres_per_s = displacement * speed / 120.0
    indicated = cycle.work_j * cylinders / displacement
    pumping = fired.manifold_pressure_kpa - outlet_kpa
    mean_pressure = indicated + pumping - fired.friction_kpa
    power = mean_pressure * litres_per_s / 1e3
    lambda_true = air / np.maximum(fuel, 1e-9) / STOICHIOMETRIC_AIR_FUEL
    burnt_lambda = np.maximum(lambda_true, 1.0)
    heat_kw = fuel * LOWER_HEATING_VALUE_MJ_KG * 1e3

    exhaust_flow = air + fuel
    wall_kw = cycle.wall_heat_j * speed / 120.0 * cylinders / 1e3
    left_kw = (
        air * gas.enthalpy_j_kg(fired.charge_temperature_c, np.inf) / 1e3
        + heat_kw * COMBUSTION_EFFICIENCY * cycle.burnt_ratio
        - (indicated + pumping) * litres_per_s / 1e3
        - wall_kw
    )
    leaving = gas.temperature_from_enthalpy_c(left_kw * 1e3 / exhaust_flow, burnt_lambda)
    bore = bore_mm(displacement, cylinders)
    cooled, exchange_kw = _exhaust_cooling(
        leaving, burnt_lambda, exhaust_flow / cylinders, bore, STROKE_PER_BORE * bore, speed, outlet_kpa
    )
    shape = mean_pressure.shape
    return Operation(
        torque_nm=power * RPM_NM_PER_KW / speed,
        power_kw=power,
        mean_pressure_kpa=mean_pressure,
        indicated_pressure_kpa=indicated,
        friction_pressure_kpa=np.broadcast_to(fired.friction_kpa, shape),
        brake_efficiency_ratio=power / np.maximum(heat_kw, 1e-6),
        exhaust_temperature_c=cooled,
        exhaust_flow_kg_s=np.broadcast_to(exhaust_flow, shape),
        lambda_ratio=np.broadcast_to(lambda_true, shape),
        peak_pressure_bar=cycle.peak_pressure_bar,
        coolant_heat_kw=wall_kw + exchange_kw * cylinders,
        half_burnt_deg=cycle.half_burnt_deg,
    )


def _exhaust_cooling(
    temperature_c: Floats,
    lambda_ratio: Floats,
    flow_kg_s: Floats,
    bore: Floats,
    stroke: Floats,
    speed: Floats,
    pressure_kpa: Floats,
) -> tuple[Floats, Floats]:
    """Temperature behind the cooled port and heat lost on the way [kW], for one cylinder.

    In the cylinder during the exhaust stroke by Hohenberg, in the port by Depcik and Assanis
    (SAE 2002-01-0372): Nu = 0.07 Re^0.75.
    """
    kelvin = temperature_c + 273.15
    capacity = gas.heat_capacity_j_kg_k(temperature_c, lambda_ratio)
    bore_m, stroke_m = bore / 1e3, stroke / 1e3
    factor, volume_power, pressure_power, kelvin_power, offset = HOHENBERG
    volume = np.pi / 4.0 * bore_m**2 * stroke_m * 0.55
    film = (
        factor
        * volume**volume_power
        * (pressure_kpa / 100.0) ** pressure_power
        * kelvin**kelvin_power
        * (stroke_m * speed / 30.0 + offset) ** 0.8
    )
    area = 2.2 * np.pi / 4.0 * bore_m**2 + np.pi * bore_m * stroke_m * 0.55
    in_cylinder = film * area * EXHAUST_STROKE_DEG / 720.0
    viscosity = 4.1e-5 * (kelvin / 1000.0) ** 0.67  # air at 1000 K, power law
    conductivity = viscosity * capacity / 0.7
    reynolds = 4.0 * flow_kg_s / (np.pi * PORT_BORE_SHARE * bore_m * viscosity)
    in_port = 0.07 * reynolds**0.75 * conductivity * np.pi * PORT_BORES_LONG * bore_m
    units = (in_cylinder + in_port) / (flow_kg_s * capacity)
    cooled = WALL_TEMPERATURE_K + (kelvin - WALL_TEMPERATURE_K) * np.exp(-units)
    lost_kw = flow_kg_s * capacity * (kelvin - cooled) / 1e3
    # Uncooled manifold: the same film inside, radiation and still air outside.
    inside = in_port * MANIFOLD_BORES_LONG / PORT_BORES_LONG
    outside = np.pi * PORT_BORE_SHARE * MANIFOLD_OUTER_PER_INNER * MANIFOLD_BORES_LONG * bore_m**2
    manifold_w = hot_wall_loss_w(cooled - 273.15, inside, outside)
    return cooled - 273.15 - manifold_w / (flow_kg_s * capacity), lost_kw
