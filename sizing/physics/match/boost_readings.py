"""The match turned round: from boost measured at full load, the flow capacity of the turbine that made it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.physics.compressor.map import CompressorMap, MapState
from sizing.physics.engine import output as engine
from sizing.physics.errors import Floats, require
from sizing.physics.match.solve import with_delivery
from sizing.physics.plan.data import PlanInputs
from sizing.physics.plan.solve import Burning, Charge, air_at_place, burn, charge_at, pressure_behind_kpa
from sizing.physics.ranges import Numbers, Span, takes
from sizing.physics.turbine import flow as turbine

MAP_ROUNDS = 8  # air flow and efficiency settle each other; each round leaves about a tenth of the step before
EXHAUST_ROUNDS = 6


@dataclass(frozen=True)
class CapacityFound:
    """What the readings say; arrays have one value a reading. `from_map` is false where the plan's efficiency was taken."""

    capacity_kg_s: float
    half_spread_kg_s: float
    each_kg_s: Floats
    compressor_efficiency_ratio: Floats
    turbine_efficiency_ratio: Floats
    from_map: NDArray[np.bool_]


@takes(
    inputs="the engine as it ran: air of that day, delivery, cooler. No ranges and no draws [as named]",
    speeds_rpm="two speeds or more [rpm]",
    boost_kpa=Span(5.0, 350.0, "kPa", "boost measured at each, gauge"),
    turbine_efficiency_ratio=Span(
        0.3, 0.8, "", "best efficiency with bearings; capacity and efficiency cannot both be found from boost alone"
    ),
    chart="the compressor's map; its efficiency holds where a reading lies on it, the inputs' elsewhere [-]",
    turbine_wheel_mm="its outer diameter; with the map the turbine's efficiency follows the wheel's speed, 20 to 250 [mm]",
)
def turbine_capacity_from_boost_kg_s(
    inputs: PlanInputs,
    speeds_rpm: ArrayLike,
    boost_kpa: Numbers,
    turbine_efficiency_ratio: float = 0.60,
    chart: CompressorMap | None = None,
    turbine_wheel_mm: float | None = None,
) -> CapacityFound:
    """Capacity of a fitted turbine from boost measured at full load.

    Only speeds at which the wastegate is shut may be given.

    Returns: choked flow at 288.15 K and 101.325 kPa: the mean, the half width within which the readings agree, and each
        by itself [kg/s].
    Raises: NoSolution if no turbine could have made this boost; ValueError if there are fewer than two readings.
    Source: Power balance of turbine and compressor (Watson and Janota, Turbocharging the Internal Combustion Engine,
        ch. 10) and the flow curve of `turbine.flow_share`, solved for the capacity.

    >>> inputs = PlanInputs(2.5, 4, 21.0, "indirect", 52.0, 4000.0, delivery_mm3=55.0)
    >>> len(turbine_capacity_from_boost_kg_s(inputs, [1800.0, 2400.0], [40.0, 80.0]).each_kg_s)
    2
    """
    speed = np.atleast_1d(require("speed_rpm", speeds_rpm, 400.0, 6500.0, "rpm"))
    boost = np.atleast_1d(boost_kpa)
    if speed.shape != boost.shape or speed.size < 2:
        raise ValueError("boost at two speeds or more is needed, one reading for each speed")
    inputs = with_delivery(inputs)
    charge, burning, efficiency, seen = _breathed(inputs, speed, boost, chart)
    from_map = np.zeros(speed.shape, dtype=np.bool_) if seen is None else ~seen.outside
    behind = pressure_behind_kpa(inputs, speed, charge)
    operation = engine.exhale(burning.fired, charge.manifold_pressure_kpa)
    driving = np.full(speed.shape, turbine_efficiency_ratio)
    for _ in range(EXHAUST_ROUNDS):
        expansion = turbine.expansion_ratio(
            burning.drive_kw,
            operation.exhaust_flow_kg_s,
            operation.exhaust_temperature_c,
            np.maximum(operation.lambda_ratio, 1.0),
            driving,
        )
        if chart is not None and seen is not None and turbine_wheel_mm is not None:
            wheel = chart.real_speed_rpm(seen.speed_rpm, inputs.column("air_temperature_c"))
            share = turbine.efficiency_at_speed_ratio(
                turbine_efficiency_ratio,
                turbine_wheel_mm,
                wheel,
                operation.exhaust_temperature_c,
                np.maximum(expansion, 1.001),
            )
            driving = np.where(from_map, share, turbine_efficiency_ratio)
        operation = engine.exhale(burning.fired, behind * expansion)
    each = turbine.capacity_from_flow_kg_s(
        operation.exhaust_flow_kg_s, operation.exhaust_temperature_c, behind * expansion, behind
    )
    return CapacityFound(float(np.mean(each)), float(0.5 * np.ptp(each)), each, efficiency, driving, from_map)


def _breathed(
    inputs: PlanInputs, speed: Floats, boost: Floats, chart: CompressorMap | None
) -> tuple[Charge, Burning, Floats, MapState | None]:
    """The charge at each reading, what it burns, the compressor's efficiency there, and where that is on the map."""
    place, dry = air_at_place(inputs)
    inlet = place - inputs.column("air_cleaner_loss_kpa") * (speed / inputs.column("rated_speed_rpm")) ** 2
    planned = inputs.column("compressor_efficiency_ratio") + np.zeros(speed.shape)
    efficiency, seen = planned, None
    for _ in range(MAP_ROUNDS if chart is not None else 1):
        charge = charge_at(inputs, speed, place + boost, efficiency)
        burning = burn(inputs, speed, charge)
        if chart is not None:
            # The wheel moves the moist air, of which the engine's flow is the dry part.
            corrected = chart.correct(burning.air_flow_kg_s / dry, inputs.column("air_temperature_c"), inlet)
            seen = chart.nearest(corrected, charge.pressure_ratio)
            efficiency = np.where(seen.outside, planned, seen.efficiency_ratio)
    return charge, burning, efficiency, seen
