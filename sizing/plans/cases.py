"""What a plan says, stored or only typed, before anything is worked out."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from sizing.catalogue.models import AirCleaner, Cooler, Plunger, Turbo
from sizing.plans.inputs import PLAN_INPUTS
from sizing.plans.models import Plan

COOLER_INPUTS = ("cooler_effectiveness_ratio", "cooler_pressure_loss_kpa")


@dataclass(frozen=True)
class Bench:
    """Full-load delivery line by line, by the speed it was read at, and the plunger that was in the pump."""

    lines_mm3: Mapping[str, Sequence[float]]
    plunger: Plunger | None = None


@dataclass(frozen=True)
class Case:
    """What a plan says, stored or only typed: the same answer for both."""

    injection: str
    given: Mapping[str, tuple[float, float, str]]
    own_limits: Mapping[str, tuple[float, str]]
    turbo: Turbo | None = None
    cooler: Cooler | None = None
    air_cleaner: AirCleaner | None = None
    plunger: Plunger | None = None
    bench: Bench | None = None


def case_of(plan: Plan) -> Case:
    return replace(case_without_bench(plan), bench=bench_of(plan))


def case_without_bench(plan: Plan | Case) -> Case:
    """For what does not ask about the pump's lines; many verdicts work out many plans."""
    if isinstance(plan, Case):
        return plan
    return Case(
        plan.injection,
        {row.name: (row.low, row.high, row.origin) for row in plan.inputs.all() if row.name in PLAN_INPUTS},
        {row.name: (row.value, row.source) for row in plan.own_limits.all()},
        plan.turbo,
        plan.cooler,
        plan.air_cleaner,
        plan.plunger,
    )


def bench_of(plan: Plan) -> Bench | None:
    lines: dict[str, list[float]] = {}
    rows = list(plan.bench_lines.all())
    for row in rows:
        lines.setdefault(row.at, []).append(row.delivery_mm3)
    return Bench(lines, rows[0].plunger) if rows else None


def without_cooler(case: Case) -> Case:
    """Figures typed for a cooler go with it."""
    return replace(
        case, cooler=None, given={name: value for name, value in case.given.items() if name not in COOLER_INPUTS}
    )


def with_cooler(case: Case, cooler: Cooler) -> Case:
    return replace(without_cooler(case), cooler=cooler)
