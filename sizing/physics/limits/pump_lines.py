"""Holding the lines of a pump, as the bench measured them, against the limits of the plan that they were set for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from sizing.physics.errors import require
from sizing.physics.limits.checks import LimitCheck, checked_value, in_order, source_of
from sizing.physics.limits.values import DEFAULTS, LimitDefault, Limits
from sizing.physics.plan.data import PlanInputs, PlanResult
from sizing.physics.pump.lines import SPREAD_MAX_PCT, SheetFigures, sheet_figures

# At which speeds a bench reads full load.
RATED, TORQUE = "rated", "torque"

BENCH_DEFAULTS: dict[str, LimitDefault] = {
    "line_spread_max_pct": LimitDefault(
        "Spread of the pump's lines", SPREAD_MAX_PCT, "% of the mean", "max", 0.5, "common practice (from memory): 3 to 5 % at full load",
        "The richest cylinder smokes and runs hot while the leanest does not pull.", "spread_pct", low=0.5, high=20.0,
    ),
}  # fmt: skip
RICHEST_WHY = "The richest cylinder smokes first, so its line has to meet the limit, not the mean."


@dataclass(frozen=True)
class BenchLimits:
    """Limits of a bench sheet; `BENCH_DEFAULTS` holds source and reason."""

    line_spread_max_pct: float = BENCH_DEFAULTS["line_spread_max_pct"].value

    def __post_init__(self) -> None:
        usual = BENCH_DEFAULTS["line_spread_max_pct"]
        require("line_spread_max_pct", self.line_spread_max_pct, usual.low, usual.high, usual.unit)


@dataclass(frozen=True)
class BenchPoint:
    """One row of lines beside the plan at the same engine speed; lambda is with the plan's air."""

    at: str
    speed_rpm: float
    planned_mm3: float
    mean_lambda_ratio: float  # with the mean of the lines
    figures: SheetFigures


def read_bench(lines_mm3: Mapping[str, Sequence[float]], result: PlanResult) -> list[BenchPoint]:
    """What the bench read, beside what the plan has at rated speed and at the speed of its greatest torque.

    Takes:
        lines_mm3: delivery a stroke of each line at full load, two or more, 0.5 to 1000 [mm³]
        result: the plan over speed, its last speed the rated one, without draws
    Returns: in the order of the speeds "rated", "torque".
    Raises: OutOfRange if a delivery is outside its range, or so far from the plan's that lambda would leave 0.5 to 20.
    Source: Definition of lambda: at the same air it goes with one over the fuel.
    """
    places = {RATED: len(result.speed_rpm) - 1, TORQUE: int(np.argmax(result.torque_nm))}
    points = []
    for at, i in places.items():
        if at not in lines_mm3:
            continue
        planned = float(result.delivery_mm3[i])
        mean_lambda = float(result.lambda_ratio[i]) * planned / float(np.mean(lines_mm3[at]))
        points.append(
            BenchPoint(at, float(result.speed_rpm[i]), planned, mean_lambda, sheet_figures(lines_mm3[at], mean_lambda))
        )
    return points


def check_bench(
    points: Sequence[BenchPoint], inputs: PlanInputs, limits: Limits, bench_limits: BenchLimits
) -> list[LimitCheck]:
    """Spread and richest line against their limits, each at the speed where it comes nearest.

    Takes:
        points: what the bench read; none gives no checks
        inputs: what the plan was worked out from
        limits, bench_limits: limits to hold
    Returns: worst verdict first.
    """
    if not points:
        return []
    widest = max(points, key=lambda point: point.figures.spread_pct)
    richest = min(points, key=lambda point: point.figures.richest_lambda_ratio)
    spread, smoke = BENCH_DEFAULTS["line_spread_max_pct"], DEFAULTS["lambda_min_ratio"]
    allowed_pct, least = bench_limits.line_spread_max_pct, limits.lambda_min_ratio
    of_line = replace(smoke, label=f"Lambda of the richest line, line {richest.figures.richest_line}", why=RICHEST_WHY)
    return in_order([
        checked_value("line_spread_max_pct", spread, widest.figures.spread_pct, allowed_pct, widest.speed_rpm,
                      spread.source if np.isclose(allowed_pct, spread.value) else None),
        checked_value("line_lambda_min_ratio", of_line, richest.figures.richest_lambda_ratio, least, richest.speed_rpm,
                      source_of(smoke, least, inputs)),
    ])  # fmt: skip
