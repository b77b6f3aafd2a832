"""Engine: air, fuel and speed to torque, power, exhaust temperature and peak pressure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sizing.physics import gas, spans
from sizing.physics.air import SEA_LEVEL_KPA
from sizing.physics.engine.breathing import check_injection
from sizing.physics.engine.cylinder import HOHENBERG, WALL_TEMPERATURE_K, Cycle, closed_cycle
from sizing.physics.engine.power import RPM_NM_PER_KW
from sizing.physics.errors import Floats
from sizing.physics.fuel import LOWER_HEATING_VALUE_MJ_KG, STOICHIOMETRIC_AIR_FUEL
from sizing.physics.ranges import Numbers, Span, takes

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


@takes(speed_rpm=spans.ENGINE_RPM, stroke_mm=Span(40.0, 250.0, "mm"), injection="'indirect' or 'direct' [-]")
def friction_pressure_kpa(speed_rpm: Numbers, stroke_mm: Numbers, injection: str) -> Floats:
    """Mean pressure that friction, pumps and gas exchange without boost take.

    Returns: motoring mean pressure, shape of the inputs together [kPa].
    Raises: ValueError if the injection is neither of the two.
    Source: Millington and Hartles, SAE 680590, as given in Heywood, ch. 13: 75 kPa direct injection, 144 kPa small
        swirl chamber (from memory), + 48 n/1000 + 0.4 (piston speed)².

    >>> round(float(friction_pressure_kpa(2000.0, 90.0, "direct")), 1)
    185.4
    """
    check_injection(injection)
    piston_speed = stroke_mm / 1e3 * speed_rpm / 30.0
    return FRICTION_CONSTANT_KPA[injection] + 0.048 * speed_rpm + 0.4 * piston_speed**2


@takes(
    gas_temperature_c=Span(60.0, 1500.0, "°C", "gas temperature inside"),
    inner_conductance_w_k=Span(1e-3, 1000.0, "W/K", "film coefficient times area inside"),
    outer_area_m2=Span(0.0, 5.0, "m²", "outer surface"),
    surroundings_c=Span(-40.0, 150.0, "°C", "air and walls around"),
)
def hot_wall_loss_w(
    gas_temperature_c: Numbers, inner_conductance_w_k: Numbers, outer_area_m2: Numbers, surroundings_c: float = 60.0
) -> Floats:
    """Heat that a hot uncooled casting loses to an engine bay.

    Returns: heat flow, shape of the inputs together [W].
    Source: Radiation of oxidised cast iron, emissivity 0.8, and 10 W/(m² K) to moving air; textbook values.

    >>> round(float(hot_wall_loss_w(600.0, 8.0, 0.1)) / 100)
    14
    """
    hot = gas_temperature_c + 273.15
    around = surroundings_c + 273.15
    radiation = 0.8 * 5.670e-8
    wall = around + 0.7 * (hot - around)
    for _ in range(4):  # Newton; the balance is monotone and convex in the wall temperature
        cube = wall * wall * wall
        balance = inner_conductance_w_k * (hot - wall) - outer_area_m2 * (
            radiation * (cube * wall - around**4) + 10.0 * (wall - around)
        )
        slope = -inner_conductance_w_k - outer_area_m2 * (4.0 * radiation * cube + 10.0)
        wall = wall - balance / slope
    return inner_conductance_w_k * (hot - wall)


@takes(displacement_l=spans.ENGINE_L, cylinder_count=spans.CYLINDERS)
def bore_mm(displacement_l: Numbers, cylinder_count: Numbers) -> Floats:
    """Likely bore of an engine of which only displacement and cylinders are known.

    Returns: bore, shape of the inputs together [mm].
    Source: Stroke 1.05 times the bore, common practice.

    >>> round(float(bore_mm(2.5, 4)), 1)
    91.2
    """
    return np.cbrt(displacement_l * 1e6 / cylinder_count * 4.0 / (np.pi * STROKE_PER_BORE))


FIRED: dict[str, Span | str] = {
    "displacement_l": spans.ENGINE_L,
    "cylinder_count": spans.CYLINDERS,
    "compression_ratio": spans.COMPRESSION,
    "injection": "'indirect' or 'direct' [-]",
    "speed_rpm": spans.ENGINE_RPM,
    "manifold_pressure_kpa": spans.MANIFOLD_KPA.of("inlet manifold pressure, absolute"),
    "charge_temperature_c": spans.CHARGE_C,
    "air_flow_kg_s": spans.FLOW_KG_S.of("flow of dry air"),
    "fuel_flow_kg_s": spans.FUEL_FLOW_KG_S,
    "combustion_start_deg": Span(
        -30.0, 30.0, "deg", "begin of burning after top dead centre; None takes the usual setting"
    ),
}
EXHAUST_KPA = Span(30.0, 1000.0, "kPa", "pressure in the exhaust manifold, absolute")


@takes(**FIRED, exhaust_pressure_kpa=EXHAUST_KPA)
def run(
    displacement_l: Numbers,
    cylinder_count: Numbers,
    compression_ratio: Numbers,
    injection: str,
    speed_rpm: Numbers,
    manifold_pressure_kpa: Numbers,
    charge_temperature_c: Numbers,
    exhaust_pressure_kpa: Numbers,
    air_flow_kg_s: Numbers,
    fuel_flow_kg_s: Numbers,
    combustion_start_deg: Numbers | None = None,
) -> Operation:
    """Torque, power, temperatures and pressures of an engine at given air, fuel and speed.

    Returns: arrays with the shape of the inputs together. Where fuel exceeds what the air can burn, the rest passes
        unburnt (lambda below 1 says so).
    Raises: ValueError if the injection is neither of the two.
    Source: Work and wall heat from `cylinder.closed_cycle`; friction of Millington and Hartles; pumping between the two
        manifolds; exhaust temperature from the energy balance of the whole cycle.

    >>> result = run(2.5, 4, 18.0, "direct", 2000.0, 100.0, 25.0, 105.0, 0.0437, 0.0020)
    >>> 140.0 < float(result.torque_nm) < 190.0
    True
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


@takes(**FIRED)
def fire(
    displacement_l: Numbers,
    cylinder_count: Numbers,
    compression_ratio: Numbers,
    injection: str,
    speed_rpm: Numbers,
    manifold_pressure_kpa: Numbers,
    charge_temperature_c: Numbers,
    air_flow_kg_s: Numbers,
    fuel_flow_kg_s: Numbers,
    combustion_start_deg: Numbers | None = None,
) -> Fired:
    """Closed part of the cycle: the first half of `run`, for callers that search the exhaust pressure.

    Returns: arrays with the shape of the inputs together.
    Raises: ValueError if the injection is neither of the two.
    Source: See `run`.
    """
    check_injection(injection)
    start = COMBUSTION_START_DEG[injection] if combustion_start_deg is None else combustion_start_deg
    bore = bore_mm(displacement_l, cylinder_count)
    cycles = speed_rpm / 120.0 * cylinder_count  # per second, all cylinders
    one_l = displacement_l / cylinder_count
    clearance_m3 = one_l * 1e-3 / (compression_ratio - 1.0)
    residual = manifold_pressure_kpa * 1e3 * clearance_m3 / (287.0 * 900.0)  # burnt gas of about 900 K
    cycle = closed_cycle(
        one_l,
        bore,
        compression_ratio,
        speed_rpm,
        manifold_pressure_kpa,
        air_flow_kg_s / cycles,
        residual,
        fuel_flow_kg_s * COMBUSTION_EFFICIENCY / cycles,
        start,
        WALL_AREA_FACTOR[injection],
    )
    added_by_boost_kpa = 100.0 * cycle.peak_pressure_bar * (1.0 - SEA_LEVEL_KPA / manifold_pressure_kpa)
    friction = friction_pressure_kpa(speed_rpm, STROKE_PER_BORE * bore, injection)
    return Fired(
        displacement_l,
        cylinder_count,
        speed_rpm,
        manifold_pressure_kpa,
        charge_temperature_c,
        air_flow_kg_s,
        fuel_flow_kg_s,
        friction + FRICTION_PER_PEAK_PRESSURE * added_by_boost_kpa,
        cycle,
    )


@takes(fired="answer of `fire`", exhaust_pressure_kpa=EXHAUST_KPA)
def exhale(fired: Fired, exhaust_pressure_kpa: Numbers) -> Operation:
    """Torque and exhaust temperature of a fired engine at a given exhaust manifold pressure.

    Returns: arrays with the shape of the inputs together.
    Source: See `run`.
    """
    cycle, speed, air, fuel = fired.cycle, fired.speed_rpm, fired.air_flow_kg_s, fired.fuel_flow_kg_s
    cylinders, displacement = fired.cylinder_count, fired.displacement_l
    litres_per_s = displacement * speed / 120.0
    indicated = cycle.work_j * cylinders / displacement
    pumping = fired.manifold_pressure_kpa - exhaust_pressure_kpa
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
        leaving, burnt_lambda, exhaust_flow / cylinders, bore, STROKE_PER_BORE * bore, speed, exhaust_pressure_kpa
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
