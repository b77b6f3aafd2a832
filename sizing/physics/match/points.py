"""Where turbine and compressor agree, for a hundred thousand operating points at once.

Every array has one value a point (or one for all). The unknown is the manifold pressure; the engine
enters through its exhaust temperature, carried from its last full answer as a rise over the charge
temperature that goes with fuel over air. The root is bracketed throughout, so no point can run away.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sizing.physics.air import ZERO_CELSIUS_K
from sizing.physics.compressor.map import POWER, CompressorMap, MapState
from sizing.physics.compressor.tables import MapTables
from sizing.physics.compressor.work import AIR_CP_J_KG_K
from sizing.physics.engine import output as engine
from sizing.physics.errors import Floats
from sizing.physics.fuel import STOICHIOMETRIC_AIR_FUEL
from sizing.physics.gas import AIR_R_J_KG_K, PRODUCTS_R_J_KG_K, heat_capacity_polynomials
from sizing.physics.match.root import Mask, chandrupatla
from sizing.physics.plan.data import PointInputs
from sizing.physics.plan.solve import Burning, Charge, burn
from sizing.physics.turbine import flow as turbine

TOGETHER = 8192  # points worked on at a time: they stay in the processor's cache, and memory stays bounded
ENGINE_ROUNDS = 6
SETTLED_KPA, ROOT_KPA = 0.15, 0.02
WARM_KPA = 2.0  # how far a fresh answer of the engine usually moves the pressure
LOWEST_EXHAUST_C, HIGHEST_EXHAUST_C = 60.0, 1190.0
HIGHEST_RATIO, HIGHEST_EXPANSION = 6.0, 20.0
USUAL_RISE_K = 10_400.0  # exhaust over charge temperature, per fuel over air; only where the search begins


@dataclass(frozen=True)
class Points:
    """What stays the same at each point over all trials; arrays of one length, or single values."""

    inputs: PointInputs
    speed_rpm: Floats
    place_kpa: Floats
    dry_share: Floats
    inlet_kpa: Floats  # before the compressor
    cooling_loss_kpa: Floats
    behind_kpa: Floats  # behind the turbine
    ambient_c: Floats
    coolant_c: Floats
    cooler_ratio: Floats
    filling: Floats  # air flow over manifold pressure and over one over the root of its temperature
    most_fuel_kg_s: Floats
    least_air_fuel: Floats  # 0 without a boost compensator
    still_kpa: Floats  # manifold pressure without any help
    ceiling_kpa: Floats
    gated: Floats  # 1 with a wastegate, 0 without
    capacity_kg_s: Floats
    best_turbine_ratio: Floats
    turbine_wheel_m: Floats  # 0 where it is not known
    usual_efficiency: Floats  # of the compressor, where there is no map
    flow_scale: Floats  # flow of the true map over that of the map held
    efficiency_shift: Floats
    which: NDArray[np.intp]  # map of each point
    rise_k: Floats

    def take(self, chosen: slice | NDArray[np.intp]) -> Points:
        """Some of the points."""
        taken = {f.name: _take(getattr(self, f.name), chosen) for f in fields(self) if f.name != "inputs"}
        values = {f.name: _take(getattr(self.inputs, f.name), chosen) for f in fields(self.inputs)}
        return Points(inputs=replace(self.inputs, **values), **taken)


def _take(value: Any, chosen: slice | NDArray[np.intp]) -> Any:
    return value[chosen] if isinstance(value, np.ndarray) and value.ndim else value


@dataclass(frozen=True)
class Settled:
    """The answer at each point."""

    charge: Charge
    burning: Burning
    operation: engine.Operation
    exhaust_kpa: Floats
    asked_kw: Floats
    given_kw: Floats
    expansion: Floats
    bypass: Floats
    turbine_ratio: Floats
    compressor_ratio: Floats
    wheel_rpm: Floats
    corrected_flow: Floats
    surge_margin: Floats
    choke_margin: Floats
    at_ceiling: Mask
    outside_map: Mask
    short_of_map: Mask
    rise_k: Floats


@dataclass(frozen=True)
class _Trial:
    """Both sides at one trial pressure."""

    gap_kw: Floats
    asked_kw: Floats
    given_kw: Floats
    ratio: Floats
    outlet_c: Floats
    charge_c: Floats
    corrected: Floats
    log_speed: Floats
    efficiency: Floats
    expansion: Floats
    turbine_ratio: Floats


def settle(points: Points, maps: tuple[CompressorMap, ...], tables: MapTables | None) -> Settled:
    """Find the state at which each point's turbine drives its compressor.

    Takes:
        points: operating points, all with a map or all without one [as named]
        maps: the maps that `points.which` counts
        tables: their tables; None without maps
    Returns: arrays of one value a point.
    Raises: OutOfRange if the engine leaves the range of its own relations.
    Source: Watson and Janota, Turbocharging the Internal Combustion Engine, ch. 10 (steady matching); root by
        Chandrupatla, Advances in Engineering Software 28 (1997).
    """
    size = points.speed_rpm.size
    search = _Search(points, tables, points.rise_k + np.zeros(size), points.usual_efficiency + np.zeros(size))
    manifold, enough = search.root()
    burning, operation, exhaust = search.fire(manifold, enough)
    unsettled = np.arange(size)
    for _ in range(ENGINE_ROUNDS - 1):
        part = search.some(unsettled)
        found, reached = part.root(manifold[unsettled])
        search.keep(part, unsettled)
        enough[unsettled] = reached
        moved = np.abs(found - manifold[unsettled]) > SETTLED_KPA
        if not np.any(moved):
            break
        unsettled = unsettled[moved]
        manifold[unsettled] = found[moved]
        # Only what has moved is worth another answer of the engine.
        part = search.some(unsettled)
        fresh = part.fire(manifold[unsettled], enough[unsettled])
        search.keep(part, unsettled)
        for whole, new in zip((burning, operation, exhaust), fresh, strict=True):
            _put(whole, new, unsettled)
    return search.answer(maps, manifold, enough, burning, operation, exhaust)


class _Search:
    """Some points with what the engine and the compressor said of them last."""

    def __init__(self, points: Points, tables: MapTables | None, rise: Floats, efficiency: Floats) -> None:
        self.points, self.tables, self.rise, self.efficiency = points, tables, rise, efficiency
        self.size = rise.size
        self.low, self.high = (_full(x, self.size) for x in (points.still_kpa + 0.01, points.ceiling_kpa))
        self.mass_over_choke = turbine.CAPACITY_PRESSURE_KPA / (
            np.sqrt(turbine.CAPACITY_TEMPERATURE_K) * points.capacity_kg_s * points.behind_kpa
        )
        self.inlet_k = points.ambient_c + ZERO_CELSIUS_K
        if tables is not None:
            self.map = tables.bound(points.which)
            self.correction = (
                np.sqrt(self.inlet_k / self.map.kelvin) * self.map.pressure_kpa
                / (points.inlet_kpa * points.dry_share * points.flow_scale)
            )  # fmt: skip

    def some(self, chosen: NDArray[np.intp]) -> _Search:
        if chosen.size == self.size:
            return self
        return _Search(self.points.take(chosen), self.tables, self.rise[chosen], self.efficiency[chosen])

    def keep(self, part: _Search, chosen: NDArray[np.intp]) -> None:
        if part is not self:
            self.rise[chosen], self.efficiency[chosen] = part.rise, part.efficiency

    def root(self, near: Floats | None = None) -> tuple[Floats, Mask]:
        """Manifold pressure of the balance, and where the turbine could give more than the ceiling takes."""
        low, high = self.low, self.high
        if near is None:
            self.trial(high)  # for the efficiency
        else:
            low, high = np.maximum(near - WARM_KPA, low), np.minimum(near + WARM_KPA, high)
        above, below = self.gap(high), self.gap(low)
        if near is not None:
            for missed, end, side in (
                ((above > 0.0) & (high < self.high), self.high, "high"),
                (below < 0.0, self.low, "low"),
            ):
                where = np.flatnonzero(missed)
                if where.size:
                    again = self.some(where).gap(end[where])
                    if side == "high":
                        high, above = _with(high, where, end[where]), _with(above, where, again)
                    else:
                        low, below = _with(low, where, end[where]), _with(below, where, again)
        enough = above >= 0.0
        manifold = np.where(enough, self.high, low)
        between = np.flatnonzero(~enough & (below > 0.0))
        if between.size:
            part = self.some(between)
            ends = low[between], high[between], below[between], above[between]
            manifold[between] = chandrupatla(part.gap, *ends, np.ones(between.size, dtype=np.bool_), ROOT_KPA)
            self.keep(part, between)
        return manifold, enough

    def gap(self, manifold: Floats) -> Floats:
        return self.trial(manifold).gap_kw

    def trial(self, manifold: Floats) -> _Trial:
        """Compressor and turbine at a manifold pressure, with the exhaust as the engine said last."""
        p = self.points
        ratio = np.maximum((manifold + p.cooling_loss_kpa) / p.inlet_kpa, 1.0)
        work = np.exp(POWER * np.log(np.minimum(ratio, HIGHEST_RATIO))) - 1.0
        outlet, charge, flow = self._charge(manifold, work, self.efficiency)
        corrected = log_speed = np.zeros(self.size)
        if self.tables is not None:
            corrected = flow * self.correction
            log_speed, found = self.map.look(corrected, work)
            self.efficiency = np.minimum(np.maximum(found + p.efficiency_shift, 0.2), 0.95)
            outlet, charge, flow = self._charge(manifold, work, self.efficiency)
        asked = flow * (AIR_CP_J_KG_K / 1e3) * (outlet - p.ambient_c)
        fuel = np.minimum(p.most_fuel_kg_s, flow / np.maximum(p.least_air_fuel, 1e-6))
        rich = fuel / flow
        exhaust_c = np.minimum(np.maximum(charge + self.rise * rich, LOWEST_EXHAUST_C), HIGHEST_EXHAUST_C)
        kelvin = exhaust_c + ZERO_CELSIUS_K
        gas_flow = flow + fuel
        expansion = np.minimum(
            turbine.ratio_from_driven(gas_flow * np.sqrt(kelvin) * self.mass_over_choke), HIGHEST_EXPANSION
        )
        turbine_ratio = self._turbine_ratio(log_speed, kelvin, expansion)
        given = (
            gas_flow * turbine_ratio * _drop_kj_kg(kelvin, np.minimum(rich * STOICHIOMETRIC_AIR_FUEL, 1.0), expansion)
        )
        return _Trial(
            given - asked,
            asked,
            given,
            ratio,
            outlet,
            charge,
            corrected,
            log_speed,
            self.efficiency,
            expansion,
            turbine_ratio,
        )

    def _charge(self, manifold: Floats, work: Floats, efficiency: Floats) -> tuple[Floats, Floats, Floats]:
        p = self.points
        outlet = np.minimum(p.ambient_c + self.inlet_k * work / efficiency, 400.0)
        charge = outlet - p.cooler_ratio * (outlet - p.coolant_c)
        return outlet, charge, p.filling * manifold / np.sqrt(charge + ZERO_CELSIUS_K)

    def _turbine_ratio(self, log_speed: Floats, kelvin: Floats, expansion: Floats) -> Floats:
        p = self.points
        if self.tables is None or not np.any(p.turbine_wheel_m):
            return p.best_turbine_ratio + np.zeros(self.size)
        speed = np.exp(log_speed) * np.sqrt(self.inlet_k / self.map.kelvin)
        share = turbine.speed_share(p.turbine_wheel_m, np.maximum(speed, 1000.0), kelvin, np.maximum(expansion, 1.001))
        return p.best_turbine_ratio * np.where(p.turbine_wheel_m > 0.0, share, 1.0)

    def fire(self, manifold: Floats, enough: Mask) -> tuple[Burning, engine.Operation, Floats]:
        """The engine worked out in full, and what it says carried on to the next search."""
        p, trial = self.points, self.trial(manifold)
        charge = Charge(p.place_kpa, manifold, trial.ratio, trial.outlet_c, trial.charge_c, p.dry_share)
        burning = burn(p.inputs, p.speed_rpm, charge)
        exhaust = p.behind_kpa * trial.expansion
        operation = engine.exhale(burning.fired, np.clip(exhaust, 30.0, 1000.0))
        if np.any(enough & (p.gated > 0.0)):
            expansion, _ = self._through(trial, operation, enough)
            exhaust = p.behind_kpa * expansion
            operation = engine.exhale(burning.fired, np.clip(exhaust, 30.0, 1000.0))
        richness = burning.fuel_flow_kg_s / burning.air_flow_kg_s
        self.rise = (operation.exhaust_temperature_c - trial.charge_c) / richness
        return _owned(burning, self.size), _owned(operation, self.size), _full(exhaust, self.size)

    def _through(self, trial: _Trial, operation: engine.Operation, enough: Mask) -> tuple[Floats, Floats]:
        """Expansion ratio at the engine's own exhaust, and the share of gas that goes around the wheel.

        Past its setting the gate opens: only as much pressure before the turbine as the power needs.
        """
        p = self.points
        kelvin = operation.exhaust_temperature_c + ZERO_CELSIUS_K
        driven = operation.exhaust_flow_kg_s * np.sqrt(kelvin) * self.mass_over_choke
        expansion = np.minimum(turbine.ratio_from_driven(driven), HIGHEST_EXPANSION)
        bypass = np.zeros(self.size)
        where = np.flatnonzero(enough & (p.gated > 0.0))
        if not where.size:
            return expansion, bypass
        poor = np.minimum(1.0 / np.maximum(operation.lambda_ratio, 1.0), 1.0)[where]
        hot, asked, best = kelvin[where], trial.asked_kw[where], trial.turbine_ratio[where]
        one = 1.0 / (np.sqrt(hot) * _full(self.mass_over_choke, self.size)[where])

        def short(ratio: Floats) -> Floats:
            return one * ratio * turbine.flow_share(ratio) * best * _drop_kj_kg(hot, poor, ratio) - asked

        low, high = np.full(where.size, 1.0005), expansion[where]
        under, over = short(low), short(high)
        needed = chandrupatla(short, low, high, under, over, (under < 0.0) & (over > 0.0), 1e-5)
        needed = np.where(over <= 0.0, high, np.where(under >= 0.0, low, needed))
        around = 1.0 - one * needed * turbine.flow_share(needed) / operation.exhaust_flow_kg_s[where]
        expansion, bypass[where] = _with(expansion, where, needed), np.where(around < 0.01, 0.0, around)
        return expansion, bypass

    def answer(
        self,
        maps: tuple[CompressorMap, ...],
        manifold: Floats,
        enough: Mask,
        burning: Burning,
        operation: engine.Operation,
        exhaust: Floats,
    ) -> Settled:
        """Everything at the pressures found, with the exact state on the map."""
        p, trial = self.points, self.trial(manifold)
        expansion, bypass = self._through(trial, operation, enough)
        kelvin = operation.exhaust_temperature_c + ZERO_CELSIUS_K
        poor = np.minimum(1.0 / np.maximum(operation.lambda_ratio, 1.0), 1.0)
        through = operation.exhaust_flow_kg_s * (1.0 - bypass)
        given = through * trial.turbine_ratio * _drop_kj_kg(kelvin, poor, expansion)
        nothing = np.zeros(self.size, dtype=np.bool_)
        wheel, surge, choke, outside, short = (
            np.zeros(self.size),
            np.full(self.size, np.inf),
            np.full(self.size, np.inf),
            nothing,
            nothing,
        )
        if self.tables is not None:
            seen = _nearest(maps, p.which, trial)
            wheel = seen.speed_rpm * np.sqrt(self.inlet_k / self.map.kelvin)
            surge, choke, outside = seen.surge_margin_ratio, seen.choke_margin_ratio, seen.outside
            short = (trial.ratio > 1.02) & (seen.pressure_ratio < 0.98 * trial.ratio)
        charge = Charge(p.place_kpa, manifold, trial.ratio, trial.outlet_c, trial.charge_c, p.dry_share)
        return Settled(
            _owned(charge, self.size), burning, engine.exhale(burning.fired, np.clip(p.behind_kpa * expansion, 30.0, 1000.0)),
            _full(p.behind_kpa * expansion, self.size), trial.asked_kw, given, expansion, bypass, trial.turbine_ratio,
            trial.efficiency, wheel, trial.corrected, surge, choke, enough, outside, short, self.rise,
        )  # fmt: skip


def _drop_kj_kg(kelvin: Floats, poor: Floats, expansion: Floats) -> Floats:
    """Isentropic drop of exhaust, as `turbine.power_kw`; `poor` is one over lambda, at most 1."""
    share = (1.0 + STOICHIOMETRIC_AIR_FUEL) * poor / (poor + STOICHIOMETRIC_AIR_FUEL)
    x = kelvin * 1e-3
    capacity = _horner(x, _CP_AIR)
    capacity = capacity + share * (_horner(x, _CP_PRODUCTS) - capacity)
    power = (AIR_R_J_KG_K + share * (PRODUCTS_R_J_KG_K - AIR_R_J_KG_K)) / capacity
    return capacity * kelvin * (1.0 - np.exp(-power * np.log(expansion))) * 1e-3


_CP_AIR, _CP_PRODUCTS = heat_capacity_polynomials()


def _horner(x: Floats, coefficients: Floats) -> Floats:
    total = np.full_like(x, coefficients[-1])
    for c in coefficients[-2::-1]:
        total *= x
        total += c
    return total


def _nearest(maps: tuple[CompressorMap, ...], which: NDArray[np.intp], trial: _Trial) -> MapState:
    ratio = np.maximum(trial.ratio, 1.005)
    used = np.unique(which)
    if len(used) == 1:
        return maps[int(used[0])].nearest(trial.corrected, ratio, trial.log_speed)
    found: dict[str, Floats] = {f.name: np.zeros(trial.ratio.shape) for f in fields(MapState)}
    for k in used:
        where = np.flatnonzero(which == k)
        state = maps[int(k)].nearest(trial.corrected[where], ratio[where], trial.log_speed[where])
        for name, values in found.items():
            values[where] = getattr(state, name)
    return MapState(**{**found, "outside": found["outside"] > 0.0})  # type: ignore[arg-type]


def _full(x: Floats, size: int) -> Floats:
    return np.array(np.broadcast_to(x, (size,)))


def _with(x: Floats, where: NDArray[np.intp], values: Floats) -> Floats:
    changed = x.copy()
    changed[where] = values
    return changed


def _owned(parts: Any, size: int) -> Any:
    """A bundle of arrays, each with a value of its own for every point."""
    values = {f.name: getattr(parts, f.name) for f in fields(parts)}
    return replace(parts, **{n: _owned(v, size) if is_dataclass(v) else _full(v, size) for n, v in values.items()})


def _put(whole: Any, part: Any, chosen: NDArray[np.intp]) -> None:
    if isinstance(whole, np.ndarray):
        whole[chosen] = part
        return
    for f in fields(whole):
        _put(getattr(whole, f.name), getattr(part, f.name), chosen)


def joined(parts: Sequence[Any]) -> Any:
    """Bundles of arrays, one after the other, as one."""
    if isinstance(parts[0], np.ndarray):
        return np.concatenate(parts)
    return replace(parts[0], **{f.name: joined([getattr(p, f.name) for p in parts]) for f in fields(parts[0])})
