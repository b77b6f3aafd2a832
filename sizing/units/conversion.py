"""Unit conversion. Factors come from pint; what may be converted is a short fixed table."""

from functools import cache
from typing import TypeVar

import numpy as np
import pint
from numpy.typing import NDArray

Number = TypeVar("Number", float, NDArray[np.float64])

# Our spelling -> pint's. Gauge or absolute is said by the quantity, never by the unit.
PINT_NAME = {
    "kPa": "kPa",
    "bar": "bar",
    "mbar": "mbar",
    "psi": "psi",
    "Pa": "Pa",
    "inHg": "inch_Hg",
    "°C": "degC",
    "°F": "degF",
    "K": "kelvin",
    "°R": "degR",
    "rpm": "rpm",
    "1000 rpm": "kilorpm",
    "rad/s": "rad/s",
    "Nm": "N*m",
    "lbf·ft": "lbf*ft",
    "kW": "kW",
    "hp metric": "metric_horsepower",
    "hp imperial": "horsepower",
    "mm": "mm",
    "in": "inch",
    "L": "L",
    "cm³": "cm**3",
    "kg/s": "kg/s",
    "g/s": "g/s",
    "kg/h": "kg/h",
    "lb/min": "lb/min",
    "lb/s": "lb/s",
    "L/h": "L/h",
    "km/h": "km/h",
    "mph": "mph",
    "s": "s",
    "ms": "ms",
    "min": "min",
    "h": "h",
    "km": "km",
    "mi": "mile",
    "mm³/stroke": "mm**3",
    "cm³/1000 strokes": "mm**3",
    "m⁻¹": "1/m",
    "%": "percent",
    "ratio": "dimensionless",
    "m³/s": "m**3/s",
    "m³/h": "m**3/h",
    "ft³/min": "ft**3/min",
    "kg": "kg",
    "m": "m",
    "ft": "ft",
}


class UnknownUnit(ValueError):
    pass


@cache
def _registry() -> "pint.UnitRegistry[float]":
    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


@cache
def _line(unit_from: str, unit_to: str) -> tuple[float, float]:
    """Factor and offset of the straight line between two units."""
    for unit in (unit_from, unit_to):
        if unit not in PINT_NAME:
            raise UnknownUnit(f"Unit '{unit}' is not known. Known: {', '.join(PINT_NAME)}.")
    registry = _registry()

    def at(value: float) -> float:
        quantity = registry.Quantity(value, PINT_NAME[unit_from])
        return float(quantity.to(PINT_NAME[unit_to]).magnitude)

    try:
        zero, one = at(0.0), at(1.0)
    except pint.DimensionalityError as error:
        raise UnknownUnit(f"'{unit_from}' cannot be turned into '{unit_to}'.") from error
    return one - zero, zero


def convert(value: Number, unit_from: str, unit_to: str) -> Number:
    """Turn a number or an array from one unit into another.

    >>> round(convert(1.4, "bar", "kPa"), 6)
    140.0
    >>> round(convert(212.0, "°F", "°C"), 6)
    100.0
    """
    if unit_from == unit_to:
        return value
    factor, offset = _line(unit_from, unit_to)
    return value * factor + offset


def convert_difference(value: Number, unit_from: str, unit_to: str) -> Number:
    """A difference or an uncertainty: the zero of the scale does not count."""
    if unit_from == unit_to:
        return value
    factor, _ = _line(unit_from, unit_to)
    return value * factor


def told_in_every_unit(value: float, unit: str) -> dict[str, float]:
    """The same quantity in every other unit that it can be told in.

    >>> round(told_in_every_unit(1.0, "bar")["kPa"], 6)
    100.0
    """
    found = {}
    for other in PINT_NAME:
        if other != unit:
            try:
                found[other] = float(convert(value, unit, other))
            except UnknownUnit:
                continue
    return found
