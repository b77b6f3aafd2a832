"""What the pump bench says of a plan: each row of lines beside the plan, the richest line against the smoke limit."""

from dataclasses import dataclass, field

from sizing.physics.limits.pump_lines import BenchPoint
from sizing.physics.plan.data import PlanResult
from sizing.plans.cases import Case
from sizing.plans.models import SPEEDS
from sizing.plans.solve import bench_points, limits_of


@dataclass(frozen=True)
class BenchRow:
    words: str
    speed_rpm: float
    lines_mm3: tuple[float, ...]
    mean_mm3: float
    planned_mm3: float
    off_pct: float  # the mean from what the plan has
    spread_pct: float
    richest_line: int
    richest_mm3: float
    mean_lambda_ratio: float
    richest_lambda_ratio: float
    limit_ratio: float
    room_pct: float  # fuel that the richest line may add until its lambda is at the limit; below zero it has too much
    room_mm3: float

    @property
    def off_words(self) -> str:
        return (
            "as planned"
            if abs(self.off_pct) < 0.05
            else f"{abs(self.off_pct):.1f} % {'more' if self.off_pct > 0 else 'less'}"
        )

    @property
    def room_words(self) -> str:
        return f"{abs(self.room_pct):.1f} % of its fuel, {abs(self.room_mm3):.1f} mm³, {'in hand' if self.room_pct >= 0 else 'too much'}"


@dataclass(frozen=True)
class BenchAnswer:
    rows: list[BenchRow] = field(default_factory=list)
    trouble: str = ""


def bench_answer(case: Case, result: PlanResult) -> BenchAnswer | None:
    """None where the bench has not measured anything for the plan."""
    if case.bench is None:
        return None
    points, trouble = bench_points(case, result)
    limit = limits_of(case).lambda_min_ratio
    return BenchAnswer([_row(point, tuple(case.bench.lines_mm3[point.at]), limit) for point in points], trouble)


def _row(point: BenchPoint, lines_mm3: tuple[float, ...], limit_ratio: float) -> BenchRow:
    figures = point.figures
    room = figures.richest_lambda_ratio / limit_ratio - 1  # at the same air, fuel goes with one over lambda
    return BenchRow(
        SPEEDS[point.at],
        point.speed_rpm,
        lines_mm3,
        figures.mean_mm3,
        point.planned_mm3,
        (figures.mean_mm3 / point.planned_mm3 - 1) * 100,
        figures.spread_pct,
        figures.richest_line,
        figures.richest_mm3,
        point.mean_lambda_ratio,
        figures.richest_lambda_ratio,
        limit_ratio,
        room * 100,
        room * figures.richest_mm3,
    )
