"""Engine, compressor, turbine and pump solved together at each speed.

Unknown is the manifold pressure. At a trial pressure the compressor (map or fixed efficiency) gives
charge temperature and the power it asks for; the engine gives exhaust flow and temperature; the
turbine's capacity gives the pressure before it and so its power. The pressure at which asked and
given power agree is where a turbo without a wastegate floats. With a wastegate the pressure stops
at its setting, and the share of gas that need not pass the wheel goes around it.
`operating_points` does the search, for any number of points at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.physics.air import GAS_CONSTANT_AIR_J_KG_K
from sizing.physics.compressor.map import CompressorMap
from sizing.physics.compressor.tables import MapTables
from sizing.physics.engine import breathing
from sizing.physics.errors import Floats, NoSolution, require
from sizing.physics.fuel import STOICHIOMETRIC_AIR_FUEL
from sizing.physics.match.points import HIGHEST_EXPANSION, TOGETHER, USUAL_RISE_K, Points, Settled, joined, settle
from sizing.physics.plan.data import ALLOWED, PlanInputs, PlanResult, PointInputs
from sizing.physics.plan.solve import (
    Charge,
    air_at_place,
    coolant_c,
    full_delivery_mm3,
    full_fuel_flow_kg_s,
    pressure_behind_kpa,
    to_result,
)

HIGHEST_BOOST_KPA = 350.0  # where the search ends: no wheel of this trade goes there in one stage
SCOUTS = 24  # rows solved first when there are many more: they tell the others where to begin


@dataclass(frozen=True)
class TurboFacts:
    """A turbo as the match needs it; any number may be an array of draws.

    Without a map `PlanInputs.compressor_efficiency_ratio` holds everywhere and surge, choke and wheel
    speed stay unknown. `turbine_wheel_mm` and a map together let the turbine's efficiency follow its
    speed; otherwise it is constant. `turbine_efficiency_ratio` includes the bearings. The last three
    say how the true map differs from the one held.
    """

    turbine_capacity_kg_s: float | Floats  # choked flow at 288.15 K and 101.325 kPa
    has_wastegate: bool
    turbine_efficiency_ratio: float | Floats = 0.60
    compressor: CompressorMap | None = None
    compressor_wheel_mm: float | None = None
    turbine_wheel_mm: float | None = None
    map_flow_ratio: float | Floats = 1.0  # true flow over that of the map
    map_efficiency_shift: float | Floats = 0.0  # added to the map's
    surge_flow_ratio: float | Floats = 1.0  # true surge flow over that of the map, after the above

    def __post_init__(self) -> None:
        require("turbine_capacity_kg_s", self.turbine_capacity_kg_s, 0.002, 5.0, "kg/s")
        require("turbine_efficiency_ratio", self.turbine_efficiency_ratio, 0.3, 0.8, "")
        require("map_flow_ratio", self.map_flow_ratio, 0.5, 2.0, "")
        require("map_efficiency_shift", self.map_efficiency_shift, -0.2, 0.2, "")
        require("surge_flow_ratio", self.surge_flow_ratio, 0.5, 2.0, "")
        for name in ("compressor_wheel_mm", "turbine_wheel_mm"):
            if getattr(self, name) is not None:
                require(name, getattr(self, name), 20.0, 250.0, "mm")


@dataclass(frozen=True)
class NoMatch:
    """Where the balances have no answer, which one fails, and why."""

    speed_rpm: float
    balance: str
    why: str


@dataclass(frozen=True)
class Match:
    """The operating line of a turbo on an engine; arrays of the shape of `plan`.

    What only a map can say is infinite margin and zero wheel speed without one. `failures` names
    every speed at which the figures are those of the nearest state and not a true balance.
    """

    plan: PlanResult
    expansion_ratio: Floats
    turbine_power_kw: Floats
    compressor_power_kw: Floats
    wastegate_share: Floats
    wheel_speed_rpm: Floats
    compressor_tip_speed_m_s: Floats
    compressor_efficiency_ratio: Floats
    turbine_efficiency_ratio: Floats
    corrected_flow_kg_s: Floats
    surge_margin_ratio: Floats
    choke_margin_ratio: Floats
    outside_map: NDArray[np.bool_]
    estimated_map: NDArray[np.bool_]
    solved: NDArray[np.bool_]
    failures: list[NoMatch]


def solve_match(inputs: PlanInputs, turbo: TurboFacts, speeds_rpm: ArrayLike) -> Match:
    """Operating line of a turbo on an engine at full load.

    Takes:
        inputs: facts and choices; `boost_kpa` is the wastegate's setting. No ranges [as named]
        turbo: the turbo
        speeds_rpm: engine speeds, 400 up to the governed speed; a row for all, or one of each draw [rpm]
    Returns: arrays of shape (speeds), or (draws, speeds), or any leading shape that inputs and turbo share.
    Raises: OutOfRange if an input is outside its range; NoSolution if the turbo finds no balance at any speed.
    Source: Watson and Janota, Turbocharging the Internal Combustion Engine, ch. 10 (steady matching).

    >>> inputs = PlanInputs(2.5, 4, 21.0, "indirect", 52.0, 4000.0, boost_kpa=100.0, delivery_mm3=55.0)
    >>> found = solve_match(inputs, TurboFacts(0.10, has_wastegate=True), [1600.0, 2400.0, 3200.0])
    >>> bool(found.plan.boost_kpa[2] > found.plan.boost_kpa[0])
    True
    """
    maps = () if turbo.compressor is None else (turbo.compressor,)
    columns = {name: np.asarray(value, dtype=np.float64) for name, value in _numbers(turbo).items()}
    found = _solve(inputs, columns, maps, speeds_rpm)
    if not np.any(found.solved):
        raise NoSolution(found.failures[0].why if found.failures else "no balance at any speed")
    return found


def solve_matches(inputs: PlanInputs, turbos: Sequence[TurboFacts], speeds_rpm: ArrayLike) -> Match:
    """Several turbos at once, each on its own row of the inputs.

    Takes:
        inputs: facts and choices; arrays have one value a turbo. No ranges [as named]
        turbos: one or more, all with a map or all without one, none with draws
        speeds_rpm: engine speeds, as `solve_match` [rpm]
    Returns: arrays of shape (turbos, speeds); `failures` speaks of the first turbo only, `solved` of all.
    Raises: OutOfRange if an input is outside its range for any of them; ValueError if only some have a map.
    Source: As `solve_match`.
    """
    charts = [turbo.compressor for turbo in turbos]
    if any(c is None for c in charts) and any(c is not None for c in charts):
        raise ValueError("turbos with a map and turbos without one cannot be solved together")
    places: dict[int, int] = {}
    for chart in charts:
        places.setdefault(id(chart), len(places))
    by_place = {places[id(chart)]: chart for chart in charts if chart is not None}
    rows = [_numbers(turbo) for turbo in turbos]
    columns = {name: np.array([row[name] for row in rows], dtype=np.float64) for name in rows[0]}
    columns["which"] = np.array([places[id(chart)] for chart in charts], dtype=np.float64)
    return _solve(inputs, columns, tuple(by_place[k] for k in sorted(by_place)), speeds_rpm)


def _numbers(turbo: TurboFacts) -> dict[str, Any]:
    return {
        "capacity_kg_s": turbo.turbine_capacity_kg_s, "gated": float(turbo.has_wastegate),
        "best_turbine_ratio": turbo.turbine_efficiency_ratio,
        "compressor_wheel_m": (turbo.compressor_wheel_mm or 0.0) / 1e3,
        "turbine_wheel_m": (turbo.turbine_wheel_mm or 0.0) / 1e3, "flow_scale": turbo.map_flow_ratio,
        "efficiency_shift": turbo.map_efficiency_shift, "surge_scale": turbo.surge_flow_ratio, "which": 0.0,
    }  # fmt: skip


def _solve(
    inputs: PlanInputs, turbo: dict[str, Floats], maps: tuple[CompressorMap, ...], speeds_rpm: ArrayLike
) -> Match:
    speed = np.atleast_1d(require("speed_rpm", speeds_rpm, 400.0, 6500.0, "rpm"))
    inputs = with_delivery(inputs)
    given = [inputs.column(name) for name in ALLOWED if getattr(inputs, name) is not None]
    columns = {name: value[..., None] if value.ndim else value for name, value in turbo.items()}
    shape = np.broadcast_shapes(*(x.shape for x in given), *(x.shape for x in columns.values()), speed.shape)
    tables = MapTables(maps) if maps else None
    points = _points(inputs, columns, speed, shape)
    rows, width = points.speed_rpm.size // shape[-1], shape[-1]
    if rows > 20 * SCOUTS:
        chosen = np.linspace(0, rows - 1, SCOUTS).astype(np.intp)
        places = (chosen[:, None] * width + np.arange(width)).ravel()
        rise = np.median(settle(points.take(places), maps, tables).rise_k.reshape(SCOUTS, width), axis=0)
        points = replace(points, rise_k=np.tile(rise, rows))
    size = points.speed_rpm.size
    parts = [settle(points.take(slice(i, i + TOGETHER)), maps, tables) for i in range(0, size, TOGETHER)]
    estimated = np.array([chart.origin == "estimated" for chart in maps] or [False])
    return _match(points, joined(parts), columns, shape, estimated[points.which])


def _points(inputs: PlanInputs, turbo: dict[str, Floats], speed: Floats, shape: tuple[int, ...]) -> Points:
    place, dry = air_at_place(inputs)
    rated = inputs.column("rated_speed_rpm")
    share = (speed / rated) ** 2
    inlet = place - inputs.column("air_cleaner_loss_kpa") * share
    cooling = inputs.column("cooler_pressure_loss_kpa") * share
    ambient = inputs.column("air_temperature_c")
    empty = Charge(place, inlet, np.ones_like(inlet), ambient, ambient, dry)
    still = inlet - cooling
    ceiling = place + np.where(turbo["gated"] > 0.0, inputs.column("boost_kpa"), HIGHEST_BOOST_KPA)
    least = np.zeros(())
    if inputs.compensator_lambda_ratio is not None:
        least = inputs.column("compensator_lambda_ratio") * STOICHIOMETRIC_AIR_FUEL
    reference_c = 24.85
    filling = breathing.volumetric_efficiency_ratio(speed, rated, inputs.injection, reference_c)
    litres = inputs.column("displacement_l") * speed / 120.0
    kelvin = breathing.REFERENCE_CHARGE_K

    def flat(x: Floats) -> Floats:
        return np.ravel(np.broadcast_to(x, shape)) if x.ndim else x

    values = {name: flat(inputs.column(name)) for name in ALLOWED if getattr(inputs, name) is not None}
    return Points(
        inputs=PointInputs(injection=inputs.injection, **values), speed_rpm=np.ravel(np.broadcast_to(speed, shape)),
        place_kpa=flat(place), dry_share=flat(dry), inlet_kpa=flat(inlet), cooling_loss_kpa=flat(cooling),
        behind_kpa=flat(pressure_behind_kpa(inputs, speed, empty)), ambient_c=flat(ambient),
        coolant_c=flat(coolant_c(inputs)),
        cooler_ratio=flat(inputs.column("cooler_effectiveness_ratio")),
        filling=flat(dry * litres * filling / (GAS_CONSTANT_AIR_J_KG_K * np.sqrt(kelvin))),
        most_fuel_kg_s=flat(full_fuel_flow_kg_s(inputs, speed)), least_air_fuel=flat(least), still_kpa=flat(still),
        ceiling_kpa=flat(np.maximum(ceiling, still + 0.5)), gated=flat(turbo["gated"]),
        capacity_kg_s=flat(turbo["capacity_kg_s"]), best_turbine_ratio=flat(turbo["best_turbine_ratio"]),
        turbine_wheel_m=flat(turbo["turbine_wheel_m"]),
        usual_efficiency=flat(inputs.column("compressor_efficiency_ratio")), flow_scale=flat(turbo["flow_scale"]),
        efficiency_shift=flat(turbo["efficiency_shift"]), which=flat(turbo["which"]).astype(np.intp),
        rise_k=np.asarray(USUAL_RISE_K),
    )  # fmt: skip


def _match(
    points: Points, found: Settled, turbo: dict[str, Floats], shape: tuple[int, ...], estimated: NDArray[np.bool_]
) -> Match:
    """Gather what was found and say where no balance stands behind it."""
    gathered = to_result(
        points.inputs, points.speed_rpm, found.charge, found.burning, found.operation, found.exhaust_kpa
    )
    plan = PlanResult(**{f.name: getattr(gathered, f.name).reshape(shape) for f in fields(gathered)})
    runaway = (found.at_ceiling & (points.gated == 0.0)).reshape(shape)
    short = found.short_of_map.reshape(shape)
    strangled = (found.expansion > 0.999 * HIGHEST_EXPANSION).reshape(shape)
    failed = runaway | short | strangled
    wheel, surge = found.wheel_rpm.reshape(shape), found.surge_margin.reshape(shape)
    corrected = (found.corrected_flow * points.flow_scale).reshape(shape)
    first = (0,) * (len(shape) - 1)
    failures = []
    for k in np.flatnonzero(failed[first]):  # in words for the first row only; `solved` holds all
        at = (*first, int(k))
        failures.append(_explain(plan, at, float(corrected[at]), bool(runaway[at]), bool(strangled[at])))
    return Match(
        plan=plan, expansion_ratio=found.expansion.reshape(shape), turbine_power_kw=found.given_kw.reshape(shape),
        compressor_power_kw=found.asked_kw.reshape(shape), wastegate_share=found.bypass.reshape(shape),
        wheel_speed_rpm=wheel, compressor_tip_speed_m_s=np.pi * turbo["compressor_wheel_m"] * wheel / 60.0,
        compressor_efficiency_ratio=found.compressor_ratio.reshape(shape),
        turbine_efficiency_ratio=found.turbine_ratio.reshape(shape), corrected_flow_kg_s=corrected,
        surge_margin_ratio=np.where(np.isfinite(surge), 1.0 - turbo["surge_scale"] * (1.0 - surge), np.inf),
        choke_margin_ratio=found.choke_margin.reshape(shape), outside_map=found.outside_map.reshape(shape),
        estimated_map=np.broadcast_to(estimated, points.speed_rpm.shape).reshape(shape), solved=~failed, failures=failures,
    )  # fmt: skip


def _explain(plan: PlanResult, at: tuple[int, ...], corrected_flow: float, runaway: bool, strangled: bool) -> NoMatch:
    speed = float(plan.speed_rpm[at])
    if strangled:
        return NoMatch(
            speed,
            "flow continuity",
            f"at {speed:.0f} rpm the exhaust does not pass the turbine at {HIGHEST_EXPANSION:.0f} times the pressure "
            "behind it: this turbine is far too small for the engine",
        )
    if runaway:
        return NoMatch(
            speed,
            "power balance",
            f"at {speed:.0f} rpm the turbine gives more power than the compressor takes at any boost up to "
            f"{HIGHEST_BOOST_KPA:.0f} kPa: this turbine is far too small for the engine without a wastegate",
        )
    return NoMatch(
        speed,
        "flow continuity",
        f"at {speed:.0f} rpm the engine asks for {corrected_flow:.3f} kg/s (corrected) at a pressure ratio of "
        f"{float(plan.pressure_ratio[at]):.2f}, which lies beyond the fastest line of the compressor map: this "
        "compressor is too small",
    )


def with_delivery(inputs: PlanInputs) -> PlanInputs:
    """Settle once what the pump delivers; it does not depend on the turbo."""
    full = full_delivery_mm3(inputs)
    return replace(inputs, delivery_mm3=full[..., 0] if full.ndim else full)
