"""The limits of a plan as tables over speed, so that a phone without network judges by the same figures."""

from typing import Any

from measurements.verdict.checks import (
    COMPARABLE_PLACES,
    DEFAULT_TOLERANCE,
    FULL_LOAD_PCT,
    TOLERANCE,
    TURBINE_DROP_C,
    Limit,
)
from measurements.verdict.plan_side import (
    ADVICE,
    ADVICE_ALWAYS,
    ADVICE_ELSE,
    OIL_KPA_PER_1000_RPM,
    OIL_LEAST_KPA,
    RUNNING_RPM,
    engine_limits,
    plan_limits,
    steady_smoke_limits,
)
from measurements.verdict.smoke_limits import R24, nominal_flow_l_s
from sizing.physics.engine.smoke import STANDARD_PATH_M
from sizing.plans.models import Plan
from sizing.units.quantities import QUANTITIES

TOP_RPM = QUANTITIES["speed_rpm"].high


def _row(limit: Limit, **more: Any) -> dict[str, Any]:
    return {
        "quantity": limit.quantity, "direction": limit.direction, "edge": limit.edge, "source": str(limit.source),
        "over_speed": [[0.0, limit.value]], "stop_at": limit.stop_value, "from_rpm": 0.0, "full_load_only": False,
        "opacity_path_m": None, **more,
    }  # fmt: skip


def _oil_pressure() -> dict[str, Any]:
    """Rises with speed from the least; the stop value is the least itself at every speed."""
    limit = next(x for x in engine_limits(TOP_RPM) if x.quantity == "oil_pressure_kpa")
    knee = 1000.0 * OIL_LEAST_KPA / OIL_KPA_PER_1000_RPM
    return _row(
        limit, over_speed=[[0.0, OIL_LEAST_KPA], [knee, OIL_LEAST_KPA], [TOP_RPM, limit.value]], from_rpm=RUNNING_RPM
    )


def _smoke(plan: Plan) -> list[dict[str, Any]]:
    """k over the flow of the engine is straight between the rows of its table, so it is straight over speed too."""
    found = steady_smoke_limits(plan, TOP_RPM, 100.0)
    if not found:
        return []
    displacement = next(row for row in plan.inputs.all() if row.name == "displacement_l")
    litres = (displacement.low + displacement.high) / 2
    rows = [[flow / nominal_flow_l_s(litres, 1.0), k] for flow, k in R24]
    as_path = {"smoke_k_per_m": None, "smoke_opacity_pct": STANDARD_PATH_M}
    return [
        _row(limit, over_speed=rows, full_load_only=True, from_rpm=1e-9, opacity_path_m=as_path[limit.quantity])
        for limit in found
    ]


def limit_rows(plan: Plan | None, phase: str) -> list[dict[str, Any]]:
    engine = [_row(limit) for limit in engine_limits(TOP_RPM) if limit.quantity != "oil_pressure_kpa"]
    rows = [*engine, _oil_pressure()]
    return rows + [_row(limit) for limit in plan_limits(plan, phase)] + _smoke(plan) if plan is not None else rows


def phone_rules() -> dict[str, Any]:
    """The constants that the checks work with."""
    return {
        "full_load_pct": FULL_LOAD_PCT,
        "tolerance": {slug: list(pair) for slug, pair in TOLERANCE.items()},
        "default_tolerance": list(DEFAULT_TOLERANCE),
        "comparable_places": {slug: sorted(places) for slug, places in COMPARABLE_PLACES.items()},
        "turbine_drop_c": TURBINE_DROP_C,
        "advice": {slug: [str(line) for line in lines] for slug, lines in ADVICE.items()},
        "advice_else": str(ADVICE_ELSE),
        "advice_always": str(ADVICE_ALWAYS),
    }
