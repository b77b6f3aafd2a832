"""Working a plan out over engine speed."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from sizing.physics import air, fuel
from sizing.physics.around import cooler
from sizing.physics.compressor import work as compressor
from sizing.physics.engine import breathing, cylinder
from sizing.physics.engine import output as engine
from sizing.physics.errors import Floats, NoSolution, require
from sizing.physics.plan.data import PlanInputs, PlanResult
from sizing.physics.pump import plunger as pump
from sizing.physics.ranges import Span, takes
from sizing.physics.turbine import flow as turbine

# Air at which the maker's rated power is taken to hold: ISO 1585, 25 °C and 99 kPa dry.
RATING_PRESSURE_KPA, RATING_TEMPERATURE_C, RATING_HUMIDITY_PCT = 100.0, 25.0, 30.0
NO_LOAD_EFFICIENCY = 0.40  # indicated, at the small fuel of an engine without load; common practice
ONSET_SHARE, FULL_SHARE, GOVERNED_SHARE = 0.30, 0.55, 1.10  # of rated speed, common practice


@dataclass(frozen=True)
class Charge:
    """Air in the manifold over speed."""

    air_pressure_kpa: Floats
    manifold_pressure_kpa: Floats
    pressure_ratio: Floats
    outlet_temperature_c: Floats
    temperature_c: Floats
    dry_share: Floats


def solve_plan(inputs: PlanInputs, speeds_rpm: ArrayLike) -> PlanResult:
    """Figures of a plan at full load over engine speed.

    Takes:
        inputs: facts and choices; arrays of draws allowed, ranges not (see `chances`) [as named]
        speeds_rpm: engine speeds, 400 up to the governed speed [rpm]
    Returns: arrays of shape (speeds) or (draws, speeds) [as named].
    Raises: OutOfRange if an input or a speed is outside its range, or neither delivery nor plunger facts are given;
        NoSolution if a balance cannot hold, for example no turbine can supply the boost.
    Source: Speed-density air flow, `engine.run` for the engine, power balance for the turbine; sources there.

    >>> inputs = PlanInputs(2.5, 4, 21.0, "indirect", 55.0, 4000.0, delivery_mm3=55.0, boost_kpa=100.0)
    >>> bool(solve_plan(inputs, [2000.0, 3000.0]).torque_nm[0] > 150.0)
    True
    """
    speed = np.atleast_1d(require("speed_rpm", speeds_rpm, 400.0, 6500.0, "rpm"))
    charge = charge_over_speed(inputs, speed)
    burning = burn(inputs, speed, charge)
    operation, exhaust_kpa = exhale_through_turbine(
        burning.fired,
        burning.drive_kw,
        pressure_behind_kpa(inputs, speed, charge),
        inputs.column("turbine_efficiency_ratio"),
    )
    return to_result(inputs, speed, charge, burning, operation, exhaust_kpa)


@dataclass(frozen=True)
class Burning:
    """Air, fuel and the closed cycle at a charge."""

    filling_ratio: Floats
    air_flow_kg_s: Floats
    delivery_mm3: Floats
    fuel_flow_kg_s: Floats
    drive_kw: Floats
    fired: engine.Fired


def burn(inputs: PlanInputs, speed_rpm: Floats, charge: Charge) -> Burning:
    """Air and fuel that the engine takes at a charge, and what they do in the cylinder.

    Takes:
        inputs: facts and choices; no ranges [as named]
        speed_rpm: engine speeds [rpm]
        charge: air in the manifold
    Returns: arrays of shape (speeds) or (draws, speeds).
    Raises: OutOfRange if an input is outside its range.
    Source: Speed-density air flow; `engine.fire`.
    """
    filling, air_flow = _breathed(inputs, speed_rpm, charge)
    fuel_flow = full_fuel_flow_kg_s(inputs, speed_rpm)
    if inputs.compensator_lambda_ratio is not None:
        least = inputs.column("compensator_lambda_ratio") * fuel.STOICHIOMETRIC_AIR_FUEL
        fuel_flow = np.minimum(fuel_flow, air_flow / least)
    density = fuel.fuel_density_kg_m3(inputs.column("fuel_density_15c_kg_m3"), inputs.column("fuel_temperature_c"))
    delivery = pump.delivery_for_flow_mm3(fuel_flow, density, speed_rpm, inputs.column("cylinder_count"))
    fired = _fired(inputs, speed_rpm, charge, air_flow, fuel_flow)
    drive_kw = compressor.compression_power_kw(
        air_flow, inputs.column("air_temperature_c"), charge.outlet_temperature_c
    )
    return Burning(filling, air_flow, delivery, fuel_flow, drive_kw, fired)


def _breathed(inputs: PlanInputs, speed_rpm: Floats, charge: Charge) -> tuple[Floats, Floats]:
    """Volumetric efficiency and dry air at a charge [-, kg/s]."""
    filling = breathing.volumetric_efficiency_ratio(
        speed_rpm, inputs.column("rated_speed_rpm"), inputs.injection, charge.temperature_c
    )
    return filling, charge.dry_share * breathing.air_flow_kg_s(
        inputs.column("displacement_l"), speed_rpm, filling, charge.manifold_pressure_kpa, charge.temperature_c
    )


def _fired(inputs: PlanInputs, speed: Floats, charge: Charge, air_flow: Floats, fuel_flow: Floats) -> engine.Fired:
    displacement, cylinders, ratio = (
        inputs.column(name) for name in ("displacement_l", "cylinder_count", "compression_ratio")
    )
    start = None
    if inputs.begin_of_injection_deg is not None:
        begin = inputs.column("begin_of_injection_deg")
        start = cylinder.combustion_start_deg(begin, ratio, speed, charge.manifold_pressure_kpa, charge.temperature_c)
    return engine.fire(
        displacement, cylinders, ratio, inputs.injection, speed, charge.manifold_pressure_kpa, charge.temperature_c,
        air_flow, fuel_flow, start,
    )  # fmt: skip


def pressure_behind_kpa(inputs: PlanInputs, speed_rpm: Floats, charge: Charge) -> Floats:
    """Pressure behind the turbine: the air's and the loss of pipe and silencer, with speed squared.

    Takes:
        inputs: facts and choices; no ranges [as named]
        speed_rpm: engine speeds [rpm]
        charge: air in the manifold
    Returns: absolute pressure [kPa].
    Raises: OutOfRange if an input is missing.
    Source: Turbulent pipe flow.
    """
    share = (speed_rpm / inputs.column("rated_speed_rpm")) ** 2
    return charge.air_pressure_kpa + inputs.column("exhaust_loss_kpa") * share


def to_result(
    inputs: PlanInputs,
    speed: Floats,
    charge: Charge,
    burning: Burning,
    operation: engine.Operation,
    exhaust_kpa: Floats,
) -> PlanResult:
    """Gather the answer of a plan.

    Takes:
        inputs: facts and choices; no ranges [as named]
        speed: engine speeds [rpm]
        charge, burning, operation: what was worked out on the way
        exhaust_kpa: exhaust manifold pressure, absolute [kPa]
    Returns: all arrays of one shape.
    Raises: OutOfRange if a temperature is outside what the gas properties cover.
    Source: none needed.
    """
    after = turbine.turbine_outlet_temperature_c(
        burning.drive_kw,
        operation.exhaust_flow_kg_s,
        operation.exhaust_temperature_c,
        np.maximum(operation.lambda_ratio, 1.0),
        housing_loss_kw=turbine.housing_loss_kw(operation.exhaust_temperature_c, inputs.column("displacement_l"))
        * (burning.drive_kw > 0.0),
    )
    runs = operation.power_kw > 1e-3
    consumption = np.where(runs, burning.fuel_flow_kg_s * 3.6e6 / np.where(runs, operation.power_kw, 1.0), np.inf)
    answer = {
        "speed_rpm": speed,
        "boost_kpa": charge.manifold_pressure_kpa - charge.air_pressure_kpa,
        "manifold_pressure_kpa": charge.manifold_pressure_kpa,
        "pressure_ratio": charge.pressure_ratio,
        "compressor_outlet_temperature_c": charge.outlet_temperature_c,
        "charge_temperature_c": charge.temperature_c,
        "charge_density_kg_m3": air.density_kg_m3(charge.manifold_pressure_kpa, charge.temperature_c),
        "volumetric_efficiency_ratio": burning.filling_ratio,
        "air_flow_kg_s": burning.air_flow_kg_s,
        "delivery_mm3": burning.delivery_mm3,
        "fuel_flow_kg_s": burning.fuel_flow_kg_s,
        "air_fuel_ratio": burning.air_flow_kg_s / burning.fuel_flow_kg_s,
        "lambda_ratio": operation.lambda_ratio,
        "brake_efficiency_ratio": operation.brake_efficiency_ratio,
        "torque_nm": operation.torque_nm,
        "power_kw": operation.power_kw,
        "mean_pressure_kpa": operation.mean_pressure_kpa,
        "exhaust_pressure_kpa": exhaust_kpa,
        "exhaust_temperature_c": operation.exhaust_temperature_c,
        "exhaust_temperature_after_turbine_c": after,
        "fuel_consumption_g_kwh": consumption,
        "peak_pressure_bar": operation.peak_pressure_bar,
    }
    shape = np.broadcast_shapes(*(x.shape for x in answer.values()))
    return PlanResult(**{name: np.broadcast_to(x, shape) for name, x in answer.items()})


def exhale_through_turbine(
    fired: engine.Fired, compressor_power_kw: Floats, pressure_behind_kpa: Floats, efficiency_ratio: Floats
) -> tuple[engine.Operation, Floats]:
    """Search the exhaust manifold pressure at which the turbine drives the compressor.

    Takes:
        fired: closed part of the cycle
        compressor_power_kw: power that the compressor takes, 0 without a turbo [kW]
        pressure_behind_kpa: pressure behind the turbine, absolute [kPa]
        efficiency_ratio: turbine and bearing efficiency together [-]
    Returns: tuple of Operation and array: the engine's answer and the exhaust manifold pressure [kPa].
    Raises: NoSolution if no turbine can supply the power.
    Source: Fixed point; the exhaust temperature hardly depends on the pressure, so three rounds settle it to 0.1 kPa.
    """
    exhaust_kpa = fired.manifold_pressure_kpa + 0.0 * compressor_power_kw
    operation = engine.exhale(fired, exhaust_kpa)
    for _ in range(3):
        ratio = turbine.expansion_ratio(
            compressor_power_kw,
            operation.exhaust_flow_kg_s,
            operation.exhaust_temperature_c,
            np.maximum(operation.lambda_ratio, 1.0),
            efficiency_ratio,
        )
        exhaust_kpa = pressure_behind_kpa * ratio
        operation = engine.exhale(fired, exhaust_kpa)
    return operation, exhaust_kpa


def air_at_place(inputs: PlanInputs) -> tuple[Floats, Floats]:
    """Air pressure at the place and the share of it that is dry.

    Takes:
        inputs: facts and choices; no ranges [as named]
    Returns: tuple of two arrays: air pressure [kPa], dry pressure over air pressure [-].
    Raises: OutOfRange if an input is outside its range.
    Source: `air.standard_pressure_kpa`, `air.dry_pressure_kpa`.
    """
    if inputs.air_pressure_kpa is None:
        pressure = air.standard_pressure_kpa(inputs.column("altitude_m"))
    else:
        pressure = inputs.column("air_pressure_kpa")
    dry = air.dry_pressure_kpa(pressure, inputs.column("air_temperature_c"), inputs.column("relative_humidity_pct"))
    return pressure, dry / pressure


def charge_over_speed(inputs: PlanInputs, speed_rpm: Floats) -> Charge:
    """Pressure and temperature in the manifold at full load.

    Takes:
        inputs: facts and choices; no ranges [as named]
        speed_rpm: engine speeds [rpm]
    Returns: arrays of shape (speeds) or (draws, speeds).
    Raises: OutOfRange if an input is outside its range.
    Source: Losses go with the square of speed. Boost comes in between two speeds as a smooth step; below it the engine
        breathes through cleaner and cooler, and past rated speed boost falls with the fuel.
    """
    rated = inputs.column("rated_speed_rpm")
    pressure, _ = air_at_place(inputs)
    onset = _or(inputs, "boost_onset_rpm", ONSET_SHARE * rated)
    full = _or(inputs, "boost_full_rpm", FULL_SHARE * rated)
    require("boost_full_above_onset_rpm", full - onset, 1.0, 6000.0, "rpm")
    step = np.clip((speed_rpm - onset) / (full - onset), 0.0, 1.0)
    governed = _or(inputs, "governed_speed_rpm", GOVERNED_SHARE * rated)
    # Past rated speed the governor takes fuel away, and boost goes with the fuel.
    step = step * step * (3.0 - 2.0 * step) * pump.governed_share(speed_rpm, rated, governed)
    boosted = step * (inputs.column("boost_kpa") > 0.0)
    flow_square = (speed_rpm / rated) ** 2
    cleaner = inputs.column("air_cleaner_loss_kpa") * flow_square
    cooling = inputs.column("cooler_pressure_loss_kpa") * flow_square
    manifold = pressure + boosted * inputs.column("boost_kpa") - (1.0 - boosted) * (cleaner + cooling)
    return charge_at(inputs, speed_rpm, manifold, inputs.column("compressor_efficiency_ratio"))


def charge_at(
    inputs: PlanInputs, speed_rpm: Floats, manifold_kpa: Floats, compressor_efficiency_ratio: Floats
) -> Charge:
    """The charge that a compressor and the plan's cooler bring to a manifold pressure.

    Takes:
        inputs: facts and choices; no ranges [as named]
        speed_rpm, manifold_kpa: engine speed and pressure in the manifold, absolute [rpm, kPa]
        compressor_efficiency_ratio: isentropic, at each of them, 0.2 to 0.95 [-]
    Returns: arrays of the shape of the inputs together.
    Raises: OutOfRange if an input is outside its range.
    Source: Losses of air cleaner and cooler go with the square of speed.
    """
    pressure, dry_share = air_at_place(inputs)
    flow_square = (speed_rpm / inputs.column("rated_speed_rpm")) ** 2
    cooling = inputs.column("cooler_pressure_loss_kpa") * flow_square
    inlet = pressure - inputs.column("air_cleaner_loss_kpa") * flow_square
    ratio = np.maximum((manifold_kpa + cooling) / inlet, 1.0)
    outlet = compressor.outlet_temperature_c(inputs.column("air_temperature_c"), ratio, compressor_efficiency_ratio)
    temperature = cooler.cooled_temperature_c(outlet, coolant_c(inputs), inputs.column("cooler_effectiveness_ratio"))
    return Charge(pressure, manifold_kpa, ratio, outlet, temperature, dry_share)


def coolant_c(inputs: PlanInputs) -> Floats:
    """Temperature of what cools the charge: that of the outside air where nothing else is known [°C]."""
    return _or(inputs, "coolant_temperature_c", inputs.column("air_temperature_c"))


def full_delivery_mm3(inputs: PlanInputs) -> Floats:
    """Full-load delivery of the plan, before governor and compensator.

    Takes:
        inputs: facts and choices; no ranges [as named]
    Returns: delivery per stroke, one value or one a draw with a last axis of 1 [mm³].
    Raises: OutOfRange if nothing says what the pump delivers; NoSolution if the rated power cannot be met on the
        engine's own air.
    Source: In this order: the bench figure; plunger and effective stroke less the compression of the fuel (an upper
        bound); delivery as built times the square of the plunger diameters at equal rack (common practice); delivery as
        built.
    """
    if inputs.delivery_mm3 is not None:
        return inputs.column("delivery_mm3")
    if inputs.effective_stroke_mm is not None and inputs.plunger_diameter_mm is not None:
        return pump.delivery_bound_mm3(
            inputs.column("plunger_diameter_mm"),
            inputs.column("effective_stroke_mm"),
            inputs.column("injection_pressure_bar"),
            inputs.column("line_volume_mm3") + inputs.column("barrel_volume_mm3"),
        )
    as_built = delivery_as_built_mm3(inputs)
    if inputs.plunger_diameter_mm is None or inputs.plunger_diameter_as_built_mm is None:
        return as_built
    return pump.delivery_after_plunger_change_mm3(
        as_built, inputs.column("plunger_diameter_as_built_mm"), inputs.column("plunger_diameter_mm")
    )


def delivery_as_built_mm3(inputs: PlanInputs) -> Floats:
    """Delivery of the engine as built: as given, or what its rated power needs.

    Takes:
        inputs: facts and choices; no ranges [as named]
    Returns: delivery per stroke, one value or one a draw with a last axis of 1 [mm³].
    Raises: NoSolution if the rated power cannot be met on the engine's own air.
    Source: Rated power at 25 °C and 100 kPa (ISO 1585), searched with `solve_plan` itself by secants.
    """
    if inputs.delivery_as_built_mm3 is not None:
        return inputs.column("delivery_as_built_mm3")
    rated, wanted = inputs.column("rated_speed_rpm"), inputs.column("rated_power_kw")
    at_rating = replace(
        _naturally_aspirated(inputs),
        altitude_m=0.0,
        air_pressure_kpa=RATING_PRESSURE_KPA,
        air_temperature_c=RATING_TEMPERATURE_C,
        relative_humidity_pct=RATING_HUMIDITY_PCT,
    )
    density = fuel.fuel_density_kg_m3(inputs.column("fuel_density_15c_kg_m3"), inputs.column("fuel_temperature_c"))
    charge = charge_over_speed(at_rating, rated)
    _, air_flow = _breathed(inputs, rated, charge)
    behind = charge.air_pressure_kpa + inputs.column("exhaust_loss_kpa")
    most = air_flow / fuel.STOICHIOMETRIC_AIR_FUEL

    def power(fuel_flow: Floats) -> Floats:
        return engine.exhale(_fired(inputs, rated, charge, air_flow, fuel_flow), behind).power_kw

    before, now = 0.6 * most, 0.8 * most
    power_before, power_now = power(before), power(now)
    for _ in range(8):
        slope = (power_now - power_before) / (now - before)
        before, power_before = now, power_now
        now = now + (wanted - power_now) / slope
        if np.any(now > most) or np.any(now < 0.05 * most):
            worst = float(np.max(wanted))
            raise NoSolution(
                f"the rated power of {worst:.4g} kW does not fit an engine of this size and speed without a "
                "turbo: check rated power, rated speed and displacement"
            )
        if np.all(np.abs(now / before - 1.0) < 1e-4):
            break
        power_now = power(now)
    return pump.delivery_for_flow_mm3(now, density, rated, inputs.column("cylinder_count"))


def without_turbo(inputs: PlanInputs) -> PlanInputs:
    """The same engine at the same place as it was built: no turbo, no cooler, its own delivery.

    Takes:
        inputs: facts and choices of the plan; no ranges unless the delivery as built is given [as named]
    Returns: for `solve_plan`, to draw before beside after.
    Raises: NoSolution if the rated power cannot be met on the engine's own air.
    Source: See `delivery_as_built_mm3`.

    >>> before = without_turbo(PlanInputs(2.5, 4, 21.0, "indirect", 55.0, 4000.0, delivery_mm3=60.0))
    >>> 50.0 < float(solve_plan(before, [4000.0]).power_kw[0]) < 56.0
    True
    """
    own = delivery_as_built_mm3(inputs)
    return replace(_naturally_aspirated(inputs), delivery_mm3=own[..., 0] if own.ndim else own)


def with_delivery_as_built(inputs: PlanInputs) -> PlanInputs:
    """The same inputs with the delivery as built worked out, so that it is searched once and not again and again.

    Raises: NoSolution if the rated power cannot be met on the engine's own air.
    """
    if inputs.delivery_as_built_mm3 is not None:
        return inputs
    own = delivery_as_built_mm3(inputs)
    return replace(inputs, delivery_as_built_mm3=own[..., 0] if own.ndim else own)


def lambda_as_built(inputs: PlanInputs, speed_rpm: Floats) -> Floats:
    """Lambda of the same engine at the same place as it was built, at full load.

    Takes:
        inputs: facts and choices of the plan; no ranges [as named]
        speed_rpm: engine speeds [rpm]
    Returns: lambda of shape (speeds) or (draws, speeds) [-].
    Raises: NoSolution if the rated power cannot be met on the engine's own air.
    Source: Speed-density air flow over the delivery of `delivery_as_built_mm3`.
    """
    built = without_turbo(inputs)
    air_flow = air_taken_kg_s(built, speed_rpm)
    return air_flow / full_fuel_flow_kg_s(built, speed_rpm) / fuel.STOICHIOMETRIC_AIR_FUEL


@takes(
    inputs="facts and choices of the plan; no ranges and no draws [as named]",
    lambda_ratio=Span(1.0, 4.0, "", "lambda to keep"),
    speed_rpm="speeds at which boost is not in yet [rpm]",
)
def delivery_without_boost_mm3(inputs: PlanInputs, lambda_ratio: float, speed_rpm: Floats) -> float:
    """Delivery that the engine of a plan can burn at a lambda before there is boost: where a boost compensator is set.

    Returns: delivery per stroke at the speed that needs it lowest [mm³].
    Raises: OutOfRange if lambda is outside its range.
    Source: Speed-density air flow through cleaner and cooler.
    """
    air_flow = air_taken_kg_s(replace(inputs, boost_kpa=0.0), speed_rpm)
    density = fuel.fuel_density_kg_m3(inputs.column("fuel_density_15c_kg_m3"), inputs.column("fuel_temperature_c"))
    burnt = air_flow / (lambda_ratio * fuel.STOICHIOMETRIC_AIR_FUEL)
    return float(np.min(pump.delivery_for_flow_mm3(burnt, density, speed_rpm, inputs.column("cylinder_count"))))


def air_taken_kg_s(inputs: PlanInputs, speed_rpm: Floats) -> Floats:
    """Dry air that the engine takes at the charge of its plan.

    Takes:
        inputs: facts and choices; no ranges [as named]
        speed_rpm: engine speeds [rpm]
    Returns: dry air, shape of `speed_rpm` with the draws before it [kg/s].
    Raises: OutOfRange if an input is outside its range.
    Source: Speed-density; `breathing.volumetric_efficiency_ratio`.
    """
    _, air_flow = _breathed(inputs, speed_rpm, charge_over_speed(inputs, speed_rpm))
    return air_flow


def _naturally_aspirated(inputs: PlanInputs) -> PlanInputs:
    return replace(
        inputs,
        boost_kpa=0.0,
        cooler_effectiveness_ratio=0.0,
        cooler_pressure_loss_kpa=0.0,
        effective_stroke_mm=None,
        plunger_diameter_mm=inputs.plunger_diameter_as_built_mm,
        compensator_lambda_ratio=None,
    )


def _or(inputs: PlanInputs, name: str, otherwise: Floats) -> Floats:
    return otherwise if getattr(inputs, name) is None else inputs.column(name)


def full_fuel_flow_kg_s(inputs: PlanInputs, speed_rpm: Floats) -> Floats:
    """Fuel flow at full rack over speed, governor included, compensator not.

    Takes:
        inputs: facts and choices; no ranges [as named]
        speed_rpm: engine speeds [rpm]
    Returns: fuel flow of shape (speeds) or (draws, speeds) [kg/s].
    Raises: OutOfRange if an input is outside its range.
    Source: `full_delivery_mm3`; run-down as a straight line to the fuel that the engine needs without load.
    """
    density = fuel.fuel_density_kg_m3(inputs.column("fuel_density_15c_kg_m3"), inputs.column("fuel_temperature_c"))
    full = full_delivery_mm3(inputs)
    rated = inputs.column("rated_speed_rpm")
    governed = _or(inputs, "governed_speed_rpm", GOVERNED_SHARE * rated)
    share = pump.governed_share(speed_rpm, rated, governed)
    displacement, cylinders = inputs.column("displacement_l"), inputs.column("cylinder_count")
    stroke = engine.STROKE_PER_BORE * engine.bore_mm(displacement, cylinders)
    friction = engine.friction_pressure_kpa(governed, stroke, inputs.injection)
    heat_j_kg = fuel.LOWER_HEATING_VALUE_MJ_KG * 1e6
    no_load_kg = friction * displacement / cylinders / (NO_LOAD_EFFICIENCY * heat_j_kg)
    no_load = np.minimum(no_load_kg / density * 1e9, full)
    return pump.fuel_flow_kg_s(no_load + share * (full - no_load), density, speed_rpm, cylinders)
