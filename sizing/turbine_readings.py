"""The flow capacity of a fitted turbine from boost measured under full load: readings in, capacity out."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .physics.match import turbine_capacity_from_boost_kg_s
from .solve import Case, inputs_of
from .turbo_basis import basis_of, measures_of

# Turbine with bearings, small turbos: what boost alone cannot tell apart from the capacity (common practice).
EFFICIENCY_SPAN = (0.52, 0.68)
AGREE_SHARE = 0.10  # readings that lie further apart do not speak of one turbine


@dataclass(frozen=True)
class Found:
    capacity_kg_s: float
    half_spread_kg_s: float
    each: list[tuple[float, float, float]]  # speed rpm, boost kPa, capacity kg/s
    span_kg_s: tuple[float, float]  # over the efficiencies that such a turbine may have
    efficiency_ratio: float
    held_kg_s: float | None  # what the plan takes it to be now
    odd: str = ""

    @property
    def agrees(self) -> bool:
        return self.half_spread_kg_s <= AGREE_SHARE * self.capacity_kg_s


def capacity_found(case: Case, readings: Sequence[tuple[float, float]]) -> Found:
    """Readings are (engine speed rpm, boost kPa gauge). Raises ValueError with the reason in words."""
    inputs = inputs_of(case)
    speeds, boosts = zip(*sorted(readings), strict=True) if readings else ((), ())
    efficiency = float(inputs.turbine_efficiency_ratio)
    middle, half, each = turbine_capacity_from_boost_kg_s(inputs, speeds, boosts, efficiency)
    ends = sorted(turbine_capacity_from_boost_kg_s(inputs, speeds, boosts, value)[0] for value in EFFICIENCY_SPAN)
    return Found(
        middle, half, list(zip(speeds, boosts, each.tolist(), strict=True)), (ends[0], ends[1]), efficiency,
        _held(case, efficiency), _odd(np.array(speeds), each, half > AGREE_SHARE * middle),
    )


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
