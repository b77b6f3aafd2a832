"""The match closed point by point by scipy's root finder, on the engine's full answer at each trial: slow, and independent of
the search that the tool uses (no carried temperatures, no tables)."""

from dataclasses import replace

import numpy as np
from scipy.optimize import brentq

from sizing.physics.around import cooler
from sizing.physics.compressor import work as compressor
from sizing.physics.engine import breathing
from sizing.physics.engine import output as engine
from sizing.physics.match.solve import HIGHEST_BOOST_KPA, TurboFacts
from sizing.physics.plan.data import PlanInputs
from sizing.physics.plan.solve import Charge, air_at_place, burn, full_delivery_mm3, pressure_behind_kpa
from sizing.physics.turbine import flow as turbine


def manifold_kpa(inputs: PlanInputs, turbo: TurboFacts, speed_rpm: float) -> tuple[float, engine.Operation, float]:
    """Manifold pressure, the engine there, and pressure before the turbine; `inputs` without draws."""
    inputs = replace(inputs, delivery_mm3=float(np.ravel(full_delivery_mm3(inputs))[0]))
    speed = np.array([speed_rpm])
    place, dry = air_at_place(inputs)
    share = (speed_rpm / float(inputs.rated_speed_rpm)) ** 2
    inlet = float(place) - float(inputs.air_cleaner_loss_kpa) * share
    loss = float(inputs.cooler_pressure_loss_kpa) * share
    ambient = float(inputs.air_temperature_c)
    coolant = ambient if inputs.coolant_temperature_c is None else float(inputs.coolant_temperature_c)
    behind = float(pressure_behind_kpa(inputs, speed, Charge(place, speed, speed, speed, speed, dry))[0])
    best = float(np.asarray(turbo.turbine_efficiency_ratio))
    capacity = float(np.asarray(turbo.turbine_capacity_kg_s))

    def charge_at(manifold, efficiency):
        ratio = max((manifold + loss) / inlet, 1.0)
        outlet = compressor.outlet_temperature_c(ambient, ratio, efficiency)
        cooled = cooler.cooled_temperature_c(outlet, coolant, inputs.cooler_effectiveness_ratio)
        return Charge(place, np.array([manifold]), np.array([ratio]), np.array([outlet]), np.array([cooled]), dry)

    def state(manifold):
        efficiency, wheel = float(inputs.compressor_efficiency_ratio), None
        if turbo.compressor is not None:
            for _ in range(3):  # efficiency moves the flow a little
                charge = charge_at(manifold, efficiency)
                filling = breathing.volumetric_efficiency_ratio(
                    speed, inputs.rated_speed_rpm, inputs.injection, charge.temperature_c
                )
                flow = breathing.air_flow_kg_s(
                    inputs.displacement_l, speed, filling, charge.manifold_pressure_kpa, charge.temperature_c
                )
                seen = turbo.compressor.nearest(
                    turbo.compressor.correct(flow, ambient, inlet), np.maximum(charge.pressure_ratio, 1.005)
                )
                efficiency = float(np.clip(seen.efficiency_ratio, 0.2, 0.95)[0])
            wheel = max(float(turbo.compressor.real_speed_rpm(seen.speed_rpm, ambient)[0]), 1000.0)
        charge = charge_at(manifold, efficiency)
        burning = burn(inputs, speed, charge)
        operation = engine.exhale(burning.fired, charge.manifold_pressure_kpa)
        for _ in range(3):
            before = turbine.inlet_pressure_kpa(
                operation.exhaust_flow_kg_s, operation.exhaust_temperature_c, behind, capacity
            )
            operation = engine.exhale(burning.fired, before)
        expansion = float(before[0]) / behind
        turbine_ratio = best
        if turbo.turbine_wheel_mm is not None and wheel is not None:
            turbine_ratio = float(turbine.efficiency_at_speed_ratio(
                best, turbo.turbine_wheel_mm, wheel, operation.exhaust_temperature_c, max(expansion, 1.001))[0])  # fmt: skip
        given = turbine.turbine_power_kw(operation.exhaust_flow_kg_s, operation.exhaust_temperature_c, expansion,
                                 np.maximum(operation.lambda_ratio, 1.0), turbine_ratio)  # fmt: skip
        return float(given[0] - burning.drive_kw[0]), operation, float(before[0])

    low = inlet - loss + 0.01
    high = float(place) + (float(inputs.boost_kpa) if turbo.has_wastegate else HIGHEST_BOOST_KPA)
    high = min(high, 5.9 * inlet - loss)  # no wheel of this trade goes further
    if state(high)[0] >= 0.0:
        found = high
    elif state(low)[0] <= 0.0:
        found = low
    else:
        found = brentq(lambda p: state(p)[0], low, high, xtol=0.02)
    return found, *state(found)[1:]
