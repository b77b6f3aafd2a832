"""The flow capacity of a fitted turbine from boost measured under full load: readings in, capacity out."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sizing.physics.match.boost_readings import CapacityFound, turbine_capacity_from_boost_kg_s
from sizing.physics.plan.data import PlanInputs
from sizing.plans.cases import Case
from sizing.plans.solve import inputs_of
from sizing.plans.turbo_basis import basis_of, measures_of, own_map_of

# Turbine with bearings, small turbos: what boost alone cannot tell apart from the capacity (common practice).
EFFICIENCY_SPAN = (0.52, 0.68)
AGREE_SHARE = 0.10  # readings that lie further apart do not speak of one turbine


@dataclass(frozen=True)
class BoostReading:
    """One reading and what it says by itself."""

    speed_rpm: float
    boost_kpa: float
    capacity_kg_s: float
    compressor_ratio: float  # efficiency of the compressor there
    compressor_from: str
    turbine_ratio: float


@dataclass(frozen=True)
class Found:
    capacity_kg_s: float
    half_spread_kg_s: float
    each: list[BoostReading]
    span_kg_s: tuple[float, float]  # over the efficiencies that such a turbine may have
    efficiency_ratio: float
    held_kg_s: float | None  # what the plan takes it to be now
    compressor_words: str
    odd: str = ""

    @property
    def agrees(self) -> bool:
        return _agree(self.half_spread_kg_s, self.capacity_kg_s)


def capacity_found(case: Case, readings: Sequence[tuple[float, float]]) -> Found:
    """Readings are (engine speed rpm, boost kPa gauge). Raises ValueError with the reason in words."""
    inputs = inputs_of(case)
    speeds, boosts = zip(*sorted(readings), strict=True) if readings else ((), ())
    efficiency = float(inputs.column("turbine_efficiency_ratio"))
    chart = own_map_of(measures_of(case.turbo)) if case.turbo else None
    wheel_mm = case.turbo.turbine_inducer_mm if case.turbo else None

    def solved(turbine_ratio: float) -> CapacityFound:
        return turbine_capacity_from_boost_kg_s(inputs, speeds, boosts, turbine_ratio, chart, wheel_mm)

    found = solved(efficiency)
    ends = sorted(solved(value).capacity_kg_s for value in EFFICIENCY_SPAN)
    columns = (found.each_kg_s, found.compressor_efficiency_ratio, found.from_map, found.turbine_efficiency_ratio)
    each = [
        BoostReading(speed, boost, float(capacity), float(ratio), "its map" if on_map else "the plan", float(driving))
        for speed, boost, capacity, ratio, on_map, driving in zip(speeds, boosts, *columns, strict=True)
    ]
    return Found(
        found.capacity_kg_s,
        found.half_spread_kg_s,
        each,
        (ends[0], ends[1]),
        efficiency,
        _held(case, efficiency),
        _compressor_words(case, inputs, found),
        _odd(np.array(speeds), found.each_kg_s, not _agree(found.half_spread_kg_s, found.capacity_kg_s)),
    )


def _agree(half_spread_kg_s: float, capacity_kg_s: float) -> bool:
    return half_spread_kg_s <= AGREE_SHARE * capacity_kg_s


def _compressor_words(case: Case, inputs: PlanInputs, found: CapacityFound) -> str:
    """Whose efficiency of the compressor was taken; without a map of its own it is the plan's."""
    planned = f"the plan's {float(inputs.column('compressor_efficiency_ratio')):.2f}"
    if found.from_map.all():
        return "The compressor's efficiency is that of the turbo's own map at each reading."
    if found.from_map.any():
        return f"The compressor's efficiency is that of the turbo's own map where a reading lies on it, and {planned} where it lies off the map."
    if case.turbo is None:
        return f"The compressor's efficiency is {planned}, since no turbo is chosen."
    off = "no reading lies on the turbo's map" if case.turbo.map_points.all() else "the turbo has no map of its own"
    return f"The compressor's efficiency is {planned}, since {off}."


def _held(case: Case, efficiency: float) -> float | None:
    if case.turbo is None:
        return None
    try:
        return float(basis_of(measures_of(case.turbo), efficiency).turbo.turbine_capacity_kg_s)
    except ValueError:
        return None


def _odd(speeds: np.ndarray, each: np.ndarray, is_wide: bool) -> str:
    """What readings that do not agree most often mean."""
    if not is_wide:
        return ""
    if speeds.size > 1 and np.all(np.diff(each) > 0):
        return (
            "The capacity seems to grow with speed: at the higher speeds a wastegate was open, boost leaked, "
            "or the pump delivered less than the plan says. Leave the speeds out at which boost no longer rose."
        )
    return "The readings do not agree on one turbine: read them again, warm and held at full load until boost stands still."
