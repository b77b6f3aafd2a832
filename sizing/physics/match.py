"""Engine, compressor, turbine and pump solved together at each speed.

Unknown is the manifold pressure. At a trial pressure the compressor (map or fixed efficiency) gives
charge temperature and the power it asks for; the engine gives exhaust flow and temperature; the
turbine's capacity gives the pressure before it and so its power. The pressure at which asked and
given power agree is where a turbo without a wastegate floats. With a wastegate the pressure stops
at its setting, and the share of gas that need not pass the wheel goes around it.

The engine is worked out anew only a few times: between two of them the rise of exhaust temperature
over charge temperature is carried along with the fuel per air, which it nearly follows.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from . import breathing, compressor, cooler, engine, turbine
from .compressor_map import CompressorMap
from .errors import Floats, NoSolution, require
from .fuel import STOICHIOMETRIC_AIR_FUEL
from .plan_data import PlanInputs, PlanResult
from .plan_solve import (
    Burning,
    Charge,
    air_at_place,
    burn,
    full_delivery_mm3,
    full_fuel_flow_kg_s,
    pressure_behind_kpa,
    to_result,
)

HIGHEST_BOOST_KPA = 350.0  # where the search ends: no wheel of this trade goes there in one stage
OUTER_ROUNDS, INNER_ROUNDS = 6, 18
SETTLED_KPA = 0.5


@dataclass(frozen=True)
class Turbo:
    """A turbo as the match needs it.

    Without a map `PlanInputs.compressor_efficiency_ratio` holds everywhere and surge, choke and wheel
    speed stay unknown. `turbine_wheel_mm` and a map together let the turbine's efficiency follow its
    speed; otherwise it is constant. `turbine_efficiency_ratio` includes the bearings.
    """

    turbine_capacity_kg_s: float | Floats  # choked flow at 288.15 K and 101.325 kPa
    has_wastegate: bool
    turbine_efficiency_ratio: float | Floats = 0.60
    compressor: CompressorMap | None = None
    compressor_wheel_mm: float | None = None
    turbine_wheel_mm: float | None = None

    def __post_init__(self) -> None:
        require("turbine_capacity_kg_s", self.turbine_capacity_kg_s, 0.002, 5.0, "kg/s")
        require("turbine_efficiency_ratio", self.turbine_efficiency_ratio, 0.3, 0.8, "")
        for name in ("compressor_wheel_mm", "turbine_wheel_mm"):
            if getattr(self, name) is not None:
                require(name, getattr(self, name), 20.0, 250.0, "mm")


@dataclass(frozen=True)
class Failure:
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
    solved: NDArray[np.bool_]
    failures: list[Failure]


@dataclass(frozen=True)
class _Trial:
    """Everything at one trial manifold pressure."""

    charge: Charge
    asked_kw: Floats
    given_kw: Floats
    expansion_ratio: Floats
    turbine_efficiency: Floats
    efficiency: Floats
    wheel_rpm: Floats
    corrected_flow: Floats
    surge: Floats
    choke: Floats
    outside: NDArray[np.bool_]
    short_of_map: NDArray[np.bool_]
    exhaust_kpa: Floats


def solve_match(inputs: PlanInputs, turbo: Turbo, speeds_rpm: ArrayLike) -> Match:
    """Operating line of a turbo on an engine at full load.

    Parameters
    ----------
    inputs : PlanInputs
        Facts and choices; `boost_kpa` is the wastegate's setting. No ranges [as named]
    turbo : Turbo
        The turbo
    speeds_rpm : array
        Engine speeds, 400 up to the governed speed [rpm]

    Returns
    -------
    Match
        Arrays of shape (speeds) or (draws, speeds)

    Raises
    ------
    OutOfRange
        If an input is outside its range.
    NoSolution
        If the turbo finds no balance at any speed.

    Examples
    --------
    >>> inputs = PlanInputs(2.5, 4, 21.0, "indirect", 52.0, 4000.0, boost_kpa=100.0, delivery_mm3=55.0)
    >>> found = solve_match(inputs, Turbo(0.10, has_wastegate=True), [1600.0, 2400.0, 3200.0])
    >>> bool(found.plan.boost_kpa[2] > found.plan.boost_kpa[0])
    True

    References
    ----------
    Watson and Janota, Turbocharging the Internal Combustion Engine, ch. 10 (steady matching).
    """
    speed = np.atleast_1d(require("speed_rpm", speeds_rpm, 400.0, 6500.0, "rpm"))
    inputs = _with_delivery(inputs)
    place, dry = air_at_place(inputs)
    share = (speed / inputs.column("rated_speed_rpm")) ** 2
    cleaner = inputs.column("air_cleaner_loss_kpa") * share
    cooling = inputs.column("cooler_pressure_loss_kpa") * share
    inlet = place - cleaner
    shape = np.broadcast_shapes(
        *(inputs.column(f.name).shape for f in fields(inputs) if _is_number(inputs, f.name)), speed.shape
    )
    still = np.broadcast_to(inlet - cooling, shape)  # manifold without any help
    ceiling = place + (inputs.column("boost_kpa") if turbo.has_wastegate else HIGHEST_BOOST_KPA)
    ceiling = np.broadcast_to(np.maximum(ceiling, still + 0.5), shape)
    state = _State(inputs, turbo, speed, place, dry, inlet, cooling)

    manifold = np.minimum(still + 30.0, ceiling)
    trial = state.trial(manifold, state.first_guess(shape))
    burning, operation = state.fire(trial)
    for _ in range(OUTER_ROUNDS):
        before = manifold
        guess = state.guess(trial, burning, operation)
        manifold, trial = state.balance(still, ceiling, guess, operation)
        burning, operation = state.fire(trial)
        if np.max(np.abs(manifold - before)) < SETTLED_KPA:
            break
    return state.answer(manifold, ceiling, trial, burning, operation, cleaner)


def turbine_capacity_from_boost_kg_s(
    inputs: PlanInputs, speeds_rpm: ArrayLike, boost_kpa: ArrayLike, turbine_efficiency_ratio: float = 0.60
) -> tuple[float, float, Floats]:
    """Capacity of a fitted turbine from boost measured at full load: the match turned round.

    Only speeds at which the wastegate is shut may be given.

    Parameters
    ----------
    inputs : PlanInputs
        The engine as it ran: air of that day, delivery, cooler. No ranges and no draws [as named]
    speeds_rpm : array
        Two speeds or more [rpm]
    boost_kpa : array
        Boost measured at each, gauge, 5 to 350 [kPa]
    turbine_efficiency_ratio : float
        Efficiency with bearings, 0.3 to 0.8; capacity and efficiency cannot both be found from
        boost alone [-]

    Returns
    -------
    tuple of float, float, array
        Capacity, the half width within which the readings agree, and the capacity from each reading;
        choked flow at 288.15 K and 101.325 kPa [kg/s]

    Raises
    ------
    OutOfRange
        If a reading is outside its range.
    NoSolution
        If no turbine could have made this boost.
    ValueError
        If there are fewer than two readings.

    Examples
    --------
    >>> inputs = PlanInputs(2.5, 4, 21.0, "indirect", 52.0, 4000.0, delivery_mm3=55.0)
    >>> capacity, spread, each = turbine_capacity_from_boost_kg_s(inputs, [1800.0, 2400.0], [40.0, 80.0])
    >>> len(each)
    2

    References
    ----------
    Power balance and Stodola's ellipse solved for the capacity.
    """
    speed = np.atleast_1d(require("speed_rpm", speeds_rpm, 400.0, 6500.0, "rpm"))
    boost = np.atleast_1d(require("boost_kpa", boost_kpa, 5.0, 350.0, "kPa"))
    if speed.shape != boost.shape or speed.size < 2:
        raise ValueError("boost at two speeds or more is needed, one reading for each speed")
    require("turbine_efficiency_ratio", turbine_efficiency_ratio, 0.3, 0.8, "")
    inputs = _with_delivery(inputs)
    place, dry = air_at_place(inputs)
    share = (speed / inputs.column("rated_speed_rpm")) ** 2
    inlet = place - inputs.column("air_cleaner_loss_kpa") * share
    cooling = inputs.column("cooler_pressure_loss_kpa") * share
    shut = Turbo(0.1, has_wastegate=False, turbine_efficiency_ratio=turbine_efficiency_ratio)
    state = _State(inputs, shut, speed, place, dry, inlet, cooling)
    trial = state.trial(place + boost, state.first_guess(speed.shape))
    burning, operation = state.fire(trial)
    for _ in range(3):
        expansion = turbine.expansion_ratio(
            burning.drive_kw, operation.exhaust_flow_kg_s, operation.exhaust_temperature_c,
            np.maximum(operation.lambda_ratio, 1.0), turbine_efficiency_ratio,
        )
        operation = engine.exhale(burning.fired, state.behind * expansion)
    each = turbine.capacity_from_flow_kg_s(
        operation.exhaust_flow_kg_s, operation.exhaust_temperature_c, state.behind * expansion, state.behind
    )
    return float(np.mean(each)), float(0.5 * np.ptp(each)), each


@dataclass(frozen=True)
class _Exhaust:
    """The engine's last answer, to be carried to another manifold pressure."""

    rise_k: Floats
    fuel_flow_kg_s: Floats
    fuel_air_ratio: Floats
    least_air_fuel: Floats
    efficiency: Floats


class _State:
    """What stays the same over all trials."""

    def __init__(
        self, inputs: PlanInputs, turbo: Turbo, speed: Floats, place: Floats, dry: Floats, inlet: Floats,
        cooling: Floats,
    ) -> None:
        self.inputs, self.turbo, self.speed = inputs, turbo, speed
        self.place, self.dry, self.inlet, self.cooling = place, dry, inlet, cooling
        self.ambient = inputs.column("air_temperature_c")
        self.coolant = (
            self.ambient if inputs.coolant_temperature_c is None else inputs.column("coolant_temperature_c")
        )
        empty = Charge(place, inlet, np.ones_like(inlet), self.ambient, self.ambient, dry)
        self.behind = pressure_behind_kpa(inputs, speed, empty)
        capacity = np.asarray(turbo.turbine_capacity_kg_s, dtype=np.float64)
        self.capacity = capacity[..., None] if capacity.ndim else capacity
        self.most_fuel = full_fuel_flow_kg_s(inputs, speed)

    def first_guess(self, shape: tuple[int, ...]) -> _Exhaust:
        """A full-load diesel of the trade, before the engine has been asked."""
        full = np.zeros(shape)
        return _Exhaust(
            full + 520.0, full + self.most_fuel, full + 0.05, full + STOICHIOMETRIC_AIR_FUEL * 1.2,
            full + self.inputs.column("compressor_efficiency_ratio"),
        )

    def trial(self, manifold: Floats, guess: _Exhaust) -> _Trial:
        """Compressor and turbine at a manifold pressure, with the exhaust as guessed from it."""
        ratio = np.maximum((manifold + self.cooling) / self.inlet, 1.0)
        efficiency = self.inputs.column("compressor_efficiency_ratio") + np.zeros_like(ratio)
        zero = np.zeros_like(ratio)
        wheel, corrected, surge, choke = zero, zero, zero + np.inf, zero + np.inf
        outside = short = np.zeros(ratio.shape, dtype=np.bool_)
        charge, flow = self._charge(manifold, ratio, efficiency)
        chart = self.turbo.compressor
        if chart is not None:
            # Efficiency moves the charge temperature, which moves the flow a little; the flow comes from
            # the efficiency seen last, the rest is settled by the rounds outside.
            charge, flow = self._charge(manifold, ratio, guess.efficiency)
            corrected = chart.correct(flow / self.dry, self.ambient, self.inlet)
            seen = chart.nearest(corrected, np.maximum(ratio, 1.005))
            efficiency = np.clip(seen.efficiency_ratio, 0.2, 0.95)
            charge, flow = self._charge(manifold, ratio, efficiency)
            wheel = chart.real_speed_rpm(seen.speed_rpm, self.ambient)
            surge, choke, outside = seen.surge_margin_ratio, seen.choke_margin_ratio, seen.outside
            short = (ratio > 1.02) & (seen.pressure_ratio < 0.98 * ratio)
        asked = compressor.power_kw(flow, self.ambient, charge.outlet_temperature_c)
        fuel_flow = np.minimum(guess.fuel_flow_kg_s, flow / guess.least_air_fuel)
        exhaust_c = charge.temperature_c + guess.rise_k * fuel_flow / flow / guess.fuel_air_ratio
        exhaust_c = np.clip(exhaust_c, 60.0, 1190.0)
        lambda_ratio = np.maximum(flow / np.maximum(fuel_flow, 1e-9) / STOICHIOMETRIC_AIR_FUEL, 1.0)
        gas_flow = flow + fuel_flow
        before = turbine.inlet_pressure_kpa(gas_flow, exhaust_c, self.behind, self.capacity)
        expansion = np.minimum(before / self.behind, 20.0)
        best = np.asarray(self.turbo.turbine_efficiency_ratio, dtype=np.float64)
        turbine_efficiency = (best[..., None] if best.ndim else best) + zero
        if self.turbo.turbine_wheel_mm is not None and chart is not None:
            turbine_efficiency = turbine.efficiency_at_speed_ratio(
                turbine_efficiency, self.turbo.turbine_wheel_mm, np.maximum(wheel, 1000.0), exhaust_c,
                np.maximum(expansion, 1.001),
            )
        given = turbine.power_kw(gas_flow, exhaust_c, expansion, lambda_ratio, turbine_efficiency)
        return _Trial(
            charge, asked, given, expansion, turbine_efficiency, efficiency, wheel, corrected, surge, choke,
            outside, short, before,
        )  # fmt: skip

    def _charge(self, manifold: Floats, ratio: Floats, efficiency: Floats) -> tuple[Charge, Floats]:
        outlet = compressor.outlet_temperature_c(self.ambient, np.minimum(ratio, 6.0), efficiency)
        cooled = cooler.outlet_temperature_c(
            np.minimum(outlet, 400.0), self.coolant, self.inputs.column("cooler_effectiveness_ratio")
        )
        charge = Charge(self.place, manifold, ratio, np.minimum(outlet, 400.0), cooled, self.dry)
        filling = breathing.volumetric_efficiency_ratio(
            self.speed, self.inputs.column("rated_speed_rpm"), self.inputs.injection, cooled
        )
        flow = self.dry * breathing.air_flow_kg_s(
            self.inputs.column("displacement_l"), self.speed, filling, manifold, cooled
        )
        return charge, flow

    def fire(self, trial: _Trial) -> tuple[Burning, engine.Operation]:
        """The engine worked out at a trial."""
        burning = burn(self.inputs, self.speed, trial.charge)
        return burning, engine.exhale(burning.fired, np.clip(trial.exhaust_kpa, 30.0, 1000.0))

    def balance(
        self, still: Floats, ceiling: Floats, guess: _Exhaust, operation: engine.Operation
    ) -> tuple[Floats, _Trial]:
        """Manifold pressure at which the turbine gives what the compressor asks for."""
        low, high = still + 0.01, ceiling + 0.0
        top, bottom = self.trial(high, guess), self.trial(low, guess)
        over, under = top.given_kw - top.asked_kw, bottom.given_kw - bottom.asked_kw
        enough = over >= 0.0
        for k in range(INNER_ROUNDS):
            # False position, with a plain halving every third round so that no side can stick.
            spread = np.where(np.abs(under - over) < 1e-12, 1.0, under - over)
            share = np.full_like(low, 0.5) if k % 3 == 2 else np.clip(under / spread, 0.02, 0.98)
            middle = low + share * (high - low)
            found = self.trial(middle, guess)
            gap = found.given_kw - found.asked_kw
            more = gap > 0.0
            low, under = np.where(more, middle, low), np.where(more, gap, under)
            high, over = np.where(more, high, middle), np.where(more, over, gap)
            if np.max(np.where(enough, 0.0, high - low)) < 0.05:
                break
        manifold = np.where(enough, ceiling, 0.5 * (low + high))
        trial = self.trial(manifold, guess)
        if self.turbo.has_wastegate:
            # Past its setting the gate opens: only as much pressure before the turbine as it needs.
            needed = self._needed_expansion(trial, operation)
            held = np.where(enough, np.minimum(needed, trial.expansion_ratio), trial.expansion_ratio)
            trial = _with_expansion(trial, held, self.behind)
        return manifold, trial

    def guess(self, trial: _Trial, burning: Burning, operation: engine.Operation) -> _Exhaust:
        """What the engine said last, in a form that carries over to another manifold pressure."""
        least: Floats = np.asarray(1e-3)
        full = burning.fuel_flow_kg_s
        if self.inputs.compensator_lambda_ratio is not None:
            least = self.inputs.column("compensator_lambda_ratio") * STOICHIOMETRIC_AIR_FUEL
            # Where the compensator held the fuel back, more air frees more fuel.
            full = self.most_fuel
        return _Exhaust(
            operation.exhaust_temperature_c - trial.charge.temperature_c, full,
            burning.fuel_flow_kg_s / burning.air_flow_kg_s, least, trial.efficiency,
        )

    def _needed_expansion(self, trial: _Trial, operation: engine.Operation) -> Floats:
        """Expansion ratio at which the flow that the turbine takes by itself just gives the power."""
        low, high = np.full(trial.asked_kw.shape, 1.0005), trial.expansion_ratio
        hot = operation.exhaust_temperature_c
        lean = np.maximum(operation.lambda_ratio, 1.0)
        for _ in range(30):
            middle = 0.5 * (low + high)
            flow = self.capacity * turbine.flow_share(middle) * middle * self.behind / turbine.CAPACITY_PRESSURE_KPA
            flow = flow / np.sqrt((hot + 273.15) / turbine.CAPACITY_TEMPERATURE_K)
            given = turbine.power_kw(np.minimum(flow, 5.0), hot, middle, lean, trial.turbine_efficiency)
            low, high = np.where(given < trial.asked_kw, middle, low), np.where(given < trial.asked_kw, high, middle)
        return high

    def answer(
        self, manifold: Floats, ceiling: Floats, trial: _Trial, burning: Burning, operation: engine.Operation,
        cleaner: Floats,
    ) -> Match:
        """Gather what was found and say where no balance stands behind it."""
        shape = np.broadcast_shapes(manifold.shape, operation.torque_nm.shape)
        through = self.capacity * turbine.flow_share(np.maximum(trial.expansion_ratio, 1.0)) * trial.exhaust_kpa
        through = through / turbine.CAPACITY_PRESSURE_KPA
        through = through / np.sqrt((operation.exhaust_temperature_c + 273.15) / turbine.CAPACITY_TEMPERATURE_K)
        bypass = np.clip(1.0 - through / operation.exhaust_flow_kg_s, 0.0, 1.0)
        bypass = np.where(bypass < 0.01, 0.0, bypass) if self.turbo.has_wastegate else 0.0 * bypass
        at_ceiling = manifold >= ceiling - 0.05
        runaway = at_ceiling & (not self.turbo.has_wastegate)
        tip = np.pi * (self.turbo.compressor_wheel_mm or 0.0) / 1e3 * trial.wheel_rpm / 60.0
        failures = []
        for index in np.argwhere(np.broadcast_to(runaway | trial.short_of_map, shape)):
            if len(shape) > 1 and index[0] > 0:
                break  # in words for the first draw only; `solved` holds all of them
            k = tuple(index)
            failures.append(self._explain(k, float(self.speed[index[-1]]), trial, bool(np.broadcast_to(runaway, shape)[k])))
        solved = np.broadcast_to(~(runaway | trial.short_of_map), shape)
        if not np.any(solved):
            raise NoSolution(failures[0].why if failures else "no balance at any speed")

        def full(x: Floats) -> Floats:
            return np.broadcast_to(np.asarray(x, dtype=np.float64), shape)

        return Match(
            plan=to_result(self.inputs, self.speed, trial.charge, burning, operation, trial.exhaust_kpa),
            expansion_ratio=full(trial.expansion_ratio), turbine_power_kw=full(trial.given_kw),
            compressor_power_kw=full(trial.asked_kw), wastegate_share=full(bypass),
            wheel_speed_rpm=full(trial.wheel_rpm), compressor_tip_speed_m_s=full(tip),
            compressor_efficiency_ratio=full(trial.efficiency),
            turbine_efficiency_ratio=full(trial.turbine_efficiency),
            corrected_flow_kg_s=full(trial.corrected_flow), surge_margin_ratio=full(trial.surge),
            choke_margin_ratio=full(trial.choke), outside_map=np.broadcast_to(trial.outside, shape),
            solved=solved, failures=failures,
        )  # fmt: skip

    def _explain(self, index: tuple[int, ...], speed: float, trial: _Trial, runaway: bool) -> Failure:
        if runaway:
            return Failure(
                speed, "power balance",
                f"at {speed:.0f} rpm the turbine gives more power than the compressor takes at any boost up to "
                f"{HIGHEST_BOOST_KPA:.0f} kPa: this turbine is far too small for the engine without a wastegate",
            )
        flow = float(np.broadcast_to(trial.corrected_flow, trial.short_of_map.shape)[index])
        ratio = float(np.broadcast_to(trial.charge.pressure_ratio, trial.short_of_map.shape)[index])
        return Failure(
            speed, "flow continuity",
            f"at {speed:.0f} rpm the engine asks for {flow:.3f} kg/s (corrected) at a pressure ratio of {ratio:.2f}, "
            "which lies beyond the fastest line of the compressor map: this compressor is too small",
        )


def _with_expansion(trial: _Trial, expansion: Floats, behind: Floats) -> _Trial:
    given = np.where(expansion < trial.expansion_ratio, trial.asked_kw, trial.given_kw)
    values = {f.name: getattr(trial, f.name) for f in fields(trial)}
    values.update(expansion_ratio=expansion, exhaust_kpa=behind * expansion, given_kw=given)
    return _Trial(**values)


def _with_delivery(inputs: PlanInputs) -> PlanInputs:
    """Settle once what the pump delivers; it does not depend on the turbo."""
    full = full_delivery_mm3(inputs)
    return replace(inputs, delivery_mm3=full[..., 0] if full.ndim else full)


def _is_number(inputs: PlanInputs, name: str) -> bool:
    value = getattr(inputs, name)
    return value is not None and not isinstance(value, str)
