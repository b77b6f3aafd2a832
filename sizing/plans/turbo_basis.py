"""What the physics needs to know of a turbo of the catalogue, and what that knowledge rests on.

What the catalogue does not know of a turbo is estimated where wheel measures allow it, and said; nothing is invented.
"""

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from sizing.catalogue.models import Turbo
from sizing.physics.compressor.estimate import CHOKE_ERROR, EFFICIENCY_ERROR, SURGE_ERROR, Wheel, estimate_map
from sizing.physics.compressor.map import CompressorMap, build_map
from sizing.physics.match.solve import TurboFacts as PhysicsTurbo
from sizing.physics.plan.data import Range
from sizing.physics.turbine.flow import capacity_from_housing_kg_s

HOUSING_ERROR = 0.20
# How far the true map may be from an estimated one; see `map_estimate`.
MAP_ERRORS = {
    "map_flow_ratio": Range(1 - CHOKE_ERROR, 1 + CHOKE_ERROR),
    "map_efficiency_shift": Range(-EFFICIENCY_ERROR, EFFICIENCY_ERROR),
    "surge_flow_ratio": Range(1 - SURGE_ERROR, 1 + SURGE_ERROR),
}


class NotEnoughKnown(ValueError):
    """The catalogue lacks what a match needs of this turbo; `missing` are the measures in words."""

    def __init__(self, turbo: str, missing: list[str]):
        self.missing = missing
        super().__init__(
            f"{turbo}: not known yet is {' and '.join(missing)}. "
            "Measure it or enter the turbine's flow capacity in the catalogue; without it nobody can say what boost it makes."
        )


@dataclass(frozen=True)
class Basis:
    """The turbo for the physics, and in words what its figures rest on."""

    turbo: PhysicsTurbo
    notes: tuple[str, ...]
    is_estimated: bool
    ranges: dict[str, Range] = field(default_factory=dict)  # what is only known within so much


@dataclass(frozen=True)
class Measures:
    """What a match looks at in the catalogue; the same measures give the same answer."""

    name: str
    wheel: tuple[float, float, int, float | None, float | None] | None
    points: tuple[tuple[float, float, float, float], ...]
    map_state: tuple[float, float]
    turbine_wheel_mm: float | None
    flow_kg_s: float | None
    housing: tuple[float, float] | None
    wastegate: bool


def measures_of(turbo: Turbo) -> Measures:
    inducer, exducer, blades = turbo.compressor_inducer_mm, turbo.compressor_exducer_mm, turbo.compressor_blade_count
    area, turbine_exducer = turbo.housing_area_mm2, turbo.turbine_exducer_mm
    return Measures(
        name=str(turbo),
        wheel=None
        if inducer is None or exducer is None or blades is None
        else (inducer, exducer, blades, turbo.compressor_exit_height_mm, turbo.backsweep_deg),
        points=tuple((p.speed_rpm, p.flow_kg_s, p.pressure_ratio, p.efficiency_ratio) for p in turbo.map_points.all()),
        map_state=(turbo.map_temperature_k, turbo.map_pressure_kpa),
        turbine_wheel_mm=turbo.turbine_inducer_mm,
        flow_kg_s=turbo.turbine_flow_kg_s,
        housing=None if area is None or turbine_exducer is None else (area, turbine_exducer),
        wastegate=turbo.wastegate,
    )


def basis_of(measures: Measures, turbine_efficiency_ratio: float) -> Basis:
    """Raises NotEnoughKnown, or ValueError where a map or a measure makes no sense."""
    capacity, turbine_note = _capacity(measures)
    chart, chart_note = _chart(measures)
    exducer = measures.wheel[1] if measures.wheel else None
    notes = [chart_note, turbine_note]
    if chart is not None and exducer is None:
        notes.append("The outer diameter of the compressor wheel is not known, so its tip speed is not either.")
    turbo = PhysicsTurbo(
        capacity,
        measures.wastegate,
        turbine_efficiency_ratio,
        chart,
        exducer if chart is not None else None,
        measures.turbine_wheel_mm,
    )
    ranges = dict(MAP_ERRORS) if chart is not None and not measures.points else {}
    if measures.flow_kg_s is None:
        ranges["turbine_capacity_kg_s"] = Range(capacity * (1 - HOUSING_ERROR), capacity * (1 + HOUSING_ERROR))
    return Basis(turbo, tuple(notes), not measures.points, ranges)


def _capacity(measures: Measures) -> tuple[float, str]:
    if measures.flow_kg_s is not None:
        return measures.flow_kg_s, f"Turbine: flow capacity {measures.flow_kg_s:.3f} kg/s, from the catalogue."
    if measures.housing is None:
        raise NotEnoughKnown(
            measures.name, ["the throat area of the turbine housing with the outlet diameter of the turbine wheel"]
        )
    area, outlet = measures.housing
    capacity = float(capacity_from_housing_kg_s(area, outlet))
    return capacity, (
        f"Turbine: flow capacity {capacity:.3f} kg/s, estimated from a throat of {area:,.0f} mm² and a wheel outlet of "
        f"{outlet:g} mm, within about {HOUSING_ERROR * 100:.0f} %."
    )


def _chart(measures: Measures) -> tuple[CompressorMap | None, str]:
    own = own_map_of(measures)
    if own is not None:
        return own, f"Compressor: its own map of {len(own.lines)} speed lines, from the catalogue."
    if measures.wheel is None:
        return None, (
            "Compressor: it has no map, and inlet diameter, outer diameter or blade count of its wheel are not known. The plan's "
            "efficiency is taken everywhere; distance from surge and choke and the tip speed stay unknown."
        )
    try:
        chart = _estimated_map(measures.wheel)
    except ValueError as error:
        inlet, outer = measures.wheel[:2]
        raise ValueError(
            f"{measures.name}: no compressor map can be estimated from a wheel of {inlet:g} mm at the inlet and {outer:g} mm outside; "
            f"such a wheel is outside what turbos of this trade have ({str(error).rstrip('.')}). Measure the wheel again, or send in the turbo's own map."
        ) from error
    return chart, f"Compressor: the map is an estimate, not a measured one; {chart.error.removeprefix('estimated ')}."


def own_map_of(measures: Measures) -> CompressorMap | None:
    """The map of its own that a turbo has; None where it has none. Raises ValueError where its points make no map."""
    return _own_map(measures.points, measures.map_state) if measures.points else None


@lru_cache(maxsize=64)
def _own_map(points: tuple[tuple[float, float, float, float], ...], state: tuple[float, float]) -> CompressorMap:
    speed, flow, ratio, efficiency = (np.array(column) for column in zip(*points, strict=True))
    return build_map(speed, flow, ratio, efficiency, state[0] - 273.15, state[1])


@lru_cache(maxsize=128)
def _estimated_map(wheel: tuple[float, float, int, float | None, float | None]) -> CompressorMap:
    return estimate_map(Wheel(*wheel))
