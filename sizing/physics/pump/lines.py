"""What the sheet of the pump bench says: deliveries of the lines against each other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sizing.physics.errors import Floats, OutOfRange
from sizing.physics.ranges import Numbers, Span, takes

SPREAD_MAX_PCT = 4.0  # at full load; common practice (from memory), 3 to 5 % on most bench sheets


LINES_MM3 = Span(0.5, 1000.0, "mm³", "delivery a stroke of each line at one rack position and speed, two or more")
MEAN_LAMBDA = Span(0.5, 20.0, "", "lambda with the mean of the lines")


def _lines(line_delivery_mm3: Floats) -> Floats:
    lines = np.atleast_1d(line_delivery_mm3)
    if lines.shape[-1] < 2:
        raise OutOfRange("line_count", float(lines.shape[-1]), 2.0, 16.0, "lines")
    return lines


@takes(line_delivery_mm3=LINES_MM3)
def line_spread_pct(line_delivery_mm3: Numbers) -> Floats:
    """How far the lines of a pump lie apart: the richest less the leanest, of their mean.

    Returns: spread, one value a sheet [%].
    Raises: OutOfRange if a delivery is outside its range, or there is only one line.
    Source: Relative range of a sample.

    >>> round(float(line_spread_pct([58.0, 60.0, 62.0, 60.0])), 2)
    6.67
    """
    lines = _lines(line_delivery_mm3)
    spread: Floats = np.ptp(lines, axis=-1) / np.mean(lines, axis=-1) * 100.0
    return spread


@takes(lambda_ratio=MEAN_LAMBDA, line_delivery_mm3=LINES_MM3)
def richest_line_lambda_ratio(lambda_ratio: Numbers, line_delivery_mm3: Numbers) -> Floats:
    """Lambda in the cylinder with the richest line, each cylinder having the same air.

    Returns: lambda of that cylinder, one value a sheet [-].
    Raises: OutOfRange if an input is outside its range, or there is only one line.
    Source: Definition of lambda: at the same air it goes with one over the fuel.

    >>> round(float(richest_line_lambda_ratio(1.35, [58.0, 60.0, 62.0, 60.0])), 3)
    1.306
    """
    lines = _lines(line_delivery_mm3)
    richest: Floats = lambda_ratio * np.mean(lines, axis=-1) / np.max(lines, axis=-1)
    return richest


@dataclass(frozen=True)
class SheetFigures:
    """What the lines of one bench sheet come to; `richest_line` counts from 1."""

    mean_mm3: float
    spread_pct: float
    richest_line: int
    richest_mm3: float
    richest_lambda_ratio: float


@takes(line_delivery_mm3=LINES_MM3, lambda_ratio=MEAN_LAMBDA)
def sheet_figures(line_delivery_mm3: Numbers, lambda_ratio: float) -> SheetFigures:
    """Everything that one sheet says.

    Returns: mean and richest line [mm³], spread [%], lambda in the richest line's cylinder [-].
    Raises: OutOfRange if an input is outside its range, or there is only one line.
    Source: `line_spread_pct`, `richest_line_lambda_ratio`.

    >>> sheet_figures([58.0, 60.0, 62.0, 60.0], 1.35).richest_line
    3
    """
    lines = _lines(line_delivery_mm3)
    return SheetFigures(
        float(np.mean(lines)), float(line_spread_pct(lines)), int(np.argmax(lines)) + 1, float(np.max(lines)),
        float(richest_line_lambda_ratio(lambda_ratio, lines)),
    )  # fmt: skip
