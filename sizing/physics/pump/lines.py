"""What the sheet of the pump bench says: deliveries of the lines against each other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from sizing.physics.errors import Floats, OutOfRange, require

SPREAD_MAX_PCT = 4.0  # at full load; common practice (from memory), 3 to 5 % on most bench sheets


def _lines(line_delivery_mm3: ArrayLike) -> Floats:
    lines = np.atleast_1d(require("line_delivery_mm3", line_delivery_mm3, 0.5, 1000.0, "mm³"))
    if lines.shape[-1] < 2:
        raise OutOfRange("line_count", float(lines.shape[-1]), 2.0, 16.0, "lines")
    return lines


def line_spread_pct(line_delivery_mm3: ArrayLike) -> Floats:
    """How far the lines of a pump lie apart: the richest less the leanest, of their mean.

    Parameters
    ----------
    line_delivery_mm3 : array
        Delivery a stroke of each line at one rack position and speed, along the last axis, two or
        more, 0.5 to 1000 [mm³]

    Returns
    -------
    array
        Spread, one value a sheet [%]

    Raises
    ------
    OutOfRange
        If a delivery is outside its range, or there is only one line.

    Examples
    --------
    >>> round(float(line_spread_pct([58.0, 60.0, 62.0, 60.0])), 2)
    6.67

    References
    ----------
    Relative range of a sample.
    """
    lines = _lines(line_delivery_mm3)
    spread: Floats = np.ptp(lines, axis=-1) / np.mean(lines, axis=-1) * 100.0
    return spread


def richest_line_lambda_ratio(lambda_ratio: ArrayLike, line_delivery_mm3: ArrayLike) -> Floats:
    """Lambda in the cylinder with the richest line, each cylinder having the same air.

    Parameters
    ----------
    lambda_ratio : float or array
        Lambda with the mean of the lines, 0.5 to 20 [-]
    line_delivery_mm3 : array
        Delivery a stroke of each line, along the last axis, two or more, 0.5 to 1000 [mm³]

    Returns
    -------
    array
        Lambda of that cylinder, one value a sheet [-]

    Raises
    ------
    OutOfRange
        If an input is outside its range, or there is only one line.

    Examples
    --------
    >>> round(float(richest_line_lambda_ratio(1.35, [58.0, 60.0, 62.0, 60.0])), 3)
    1.306

    References
    ----------
    Definition of lambda: at the same air it goes with one over the fuel.
    """
    mean = require("lambda_ratio", lambda_ratio, 0.5, 20.0, "")
    lines = _lines(line_delivery_mm3)
    richest: Floats = mean * np.mean(lines, axis=-1) / np.max(lines, axis=-1)
    return richest


@dataclass(frozen=True)
class SheetFigures:
    """What the lines of one bench sheet come to; `richest_line` counts from 1."""

    mean_mm3: float
    spread_pct: float
    richest_line: int
    richest_mm3: float
    richest_lambda_ratio: float


def sheet_figures(line_delivery_mm3: ArrayLike, lambda_ratio: float) -> SheetFigures:
    """Everything that one sheet says.

    Parameters
    ----------
    line_delivery_mm3 : array
        Delivery a stroke of each line at one rack position and speed, two or more, 0.5 to 1000 [mm³]
    lambda_ratio : float
        Lambda with the mean of the lines, 0.5 to 20 [-]

    Returns
    -------
    SheetFigures
        Mean and richest line [mm³], spread [%], lambda in the richest line's cylinder [-]

    Raises
    ------
    OutOfRange
        If an input is outside its range, or there is only one line.

    Examples
    --------
    >>> sheet_figures([58.0, 60.0, 62.0, 60.0], 1.35).richest_line
    3

    References
    ----------
    `line_spread_pct`, `richest_line_lambda_ratio`.
    """
    lines = _lines(line_delivery_mm3)
    return SheetFigures(
        float(np.mean(lines)), float(line_spread_pct(lines)), int(np.argmax(lines)) + 1, float(np.max(lines)),
        float(richest_line_lambda_ratio(lambda_ratio, lines)),
    )  # fmt: skip
