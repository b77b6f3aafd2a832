"""What a correction to standard air stands on: the air of the day and what is known of the engine. Pure."""

from dataclasses import dataclass
from typing import TypeVar

from measurements.bench.dyno.correction import Correction, fuel_parameter_from_delivery, work_out_correction
from sizing.said import Said


@dataclass(frozen=True)
class Air:
    temperature_c: float | None = None
    pressure_kpa: float | None = None
    humidity_pct: float | None = None


@dataclass(frozen=True)
class CorrectionBasis:
    """What the correction needs of the engine at its highest power; the class is chosen, not deduced."""

    standard: str = "r85"
    engine_class: str = ""
    delivery_mm3: float | None = None
    cylinder_count: int | None = None
    fuel_density_kg_l: float | None = None
    displacement_l: float | None = None
    boost_kpa: float | None = None
    ratio_place: str = "none"


def why_not_worked_out(air: Air, basis: CorrectionBasis) -> Said | None:
    """None when everything for a correction is there; otherwise what is missing."""
    needed = {
        "engine_class": basis.engine_class, "air_temperature": air.temperature_c, "air_pressure": air.pressure_kpa,
        "humidity": air.humidity_pct, "delivery": basis.delivery_mm3, "cylinders": basis.cylinder_count,
        "fuel_density": basis.fuel_density_kg_l, "displacement": basis.displacement_l,
    }  # fmt: skip
    if basis.engine_class.startswith("turbo"):
        needed["boost"] = basis.boost_kpa
    missing = [Said(f"correction.needs.{name}") for name, value in needed.items() if value in (None, "")]
    return Said("correction.not_given", {"missing": missing}) if missing else None


Given = TypeVar("Given")


def _given(value: Given | None) -> Given:
    if value is None:
        raise ValueError("a figure that the correction needs is not given")
    return value


def correction_of(air: Air, basis: CorrectionBasis) -> Correction:
    """The correction at highest power; OutOfRange or ValueError where a figure or a choice cannot be."""
    is_turbo = basis.engine_class.startswith("turbo")
    fuel = fuel_parameter_from_delivery(
        _given(basis.delivery_mm3),
        _given(basis.cylinder_count),
        _given(basis.fuel_density_kg_l),
        _given(basis.displacement_l),
    )
    pressure, temperature, humidity = _given(air.pressure_kpa), _given(air.temperature_c), _given(air.humidity_pct)
    ratio = 1.0 + _given(basis.boost_kpa) / pressure if is_turbo else 1.0
    place = basis.ratio_place if is_turbo else "none"
    return work_out_correction(pressure, temperature, humidity, fuel, basis.standard, basis.engine_class, ratio, place)
