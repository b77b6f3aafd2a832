"""The two ways in which a calculation says no, and the check that guards every input."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


class OutOfRange(ValueError):
    """An input lies outside the range for which the calculation is valid.

    The message names the input, its value and the allowed range in plain words;
    the parts are kept as attributes for a form that wants to point at the field.
    """

    def __init__(self, name: str, value: float, low: float, high: float, unit: str) -> None:
        self.name = name
        self.value = float(value)
        self.low = float(low)
        self.high = float(high)
        self.unit = unit
        label = name.replace("_", " ")
        shown = "not a number" if np.isnan(self.value) else _figure(self.value, unit)
        super().__init__(f"{label} is {shown}; allowed is {_figure(self.low, '')} to {_figure(self.high, unit)}")


class NoSolution(ValueError):
    """The balances of a calculation cannot all hold; the message says which one fails and why."""


def require(name: str, value: ArrayLike, low: float, high: float, unit: str) -> Floats:
    """Return the value as an array of floats, or refuse it.

    Takes:
        name: name of the input as it shall stand in the message [-]
        value: value or values to check [unit]
        low, high: smallest and largest allowed value, both allowed themselves [unit]
        unit: unit for the message [-]
    Returns: the value as floats, same shape [unit].
    Raises: OutOfRange if any element is outside the range or is not a finite number.
    Source: none needed.

    >>> require("boost_kpa", 900.0, 0.0, 400.0, "kPa")
    Traceback (most recent call last):
    ...
    sizing.physics.errors.OutOfRange: boost kpa is 900 kPa; allowed is 0 to 400 kPa
    """
    try:
        numbers = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError):
        raise OutOfRange(name, float("nan"), low, high, unit) from None
    # Two sweeps without a copy: every input of every calculation comes through here. What is no number fails both.
    if numbers.size and not (numbers.min() >= low and numbers.max() <= high):
        good = (numbers >= low) & (numbers <= high)
        raise OutOfRange(name, float(np.ravel(numbers)[int(np.argmin(np.ravel(good)))]), low, high, unit)
    return numbers


def _figure(value: float, unit: str) -> str:
    text = f"{value:,.6g}".replace(",", "") if abs(value) >= 1e-4 or value == 0 else f"{value:.3g}"
    return f"{text} {unit}".strip()
