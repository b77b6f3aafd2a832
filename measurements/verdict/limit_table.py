"""The one table of limits that readings are judged by: on the server, and on a phone without network.

A limit is a row: what it holds for, its value over engine speed, from where on it is near, where work must stop, and
where it comes from. The rows of any engine stand here; those of a plan come from its own limits, smoke from its
displacement. The server reads a row at a speed and load (`at`), the phone is sent it whole (`sent`).
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from numpy import interp

from measurements.verdict.checks import FULL_LOAD_PCT, Limit
from measurements.verdict.smoke_limits import R24, nominal_flow_l_s
from sizing.physics.engine.smoke import STANDARD_PATH_M, opacity_pct
from sizing.physics.limits.values import DEFAULTS, Direction
from sizing.plans.models import Plan
from sizing.plans.solve import limits_of
from sizing.said import Said
from sizing.units.quantities import QUANTITIES

OverSpeed = tuple[tuple[float, float], ...]  # engine speed in rpm and value; straight between, level beyond the ends

PRACTICE = Said("limit.practice")
STEADY_SMOKE = Said("limit.steady_smoke")
TOP_RPM = QUANTITIES["speed_rpm"].high
RUNNING_RPM = 400.0  # below it the engine is being cranked and oil pressure says nothing
# Hot engine. 10 psi for each 1,000 rpm is the old rule of the trade; under 70 kPa a turbo's bearings run dry.
OIL_LEAST_KPA, OIL_KPA_PER_1000_RPM = 70.0, 69.0
RESTRICTION_HIGH_KPA = 6.2  # 25 inches of water column, where a cleaner is serviced


@dataclass(frozen=True)
class TableLimit:
    quantity: str
    over_speed: OverSpeed
    source: str | Said  # as a person wrote it, or by code
    direction: Direction = "max"
    edge: float = 0.0
    stop_at: float | None = None  # the same at every speed
    from_rpm: float = 0.0
    full_load_only: bool = False
    opacity_path_m: float | None = None  # the values are absorption; read as opacity on this path

    def at(self, speed_rpm: float, load_pct: float) -> Limit | None:
        """The limit at a speed and load, where it holds there."""
        if speed_rpm < self.from_rpm or (self.full_load_only and load_pct < FULL_LOAD_PCT):
            return None
        speeds, values = zip(*self.over_speed, strict=True)
        value = float(interp(speed_rpm, speeds, values))
        if self.opacity_path_m is not None:
            value = float(opacity_pct(value, self.opacity_path_m))
        stop_beyond = None if self.stop_at is None else abs(self.stop_at - value)
        return Limit(self.quantity, value, self.source, self.direction, self.edge, stop_beyond)

    def sent(self) -> dict[str, Any]:
        """The row as a phone gets it, with its source in words."""
        return {
            "quantity": self.quantity, "direction": self.direction, "edge": self.edge, "source": str(self.source),
            "over_speed": [list(pair) for pair in self.over_speed], "stop_at": self.stop_at, "from_rpm": self.from_rpm,
            "full_load_only": self.full_load_only, "opacity_path_m": self.opacity_path_m,
        }  # fmt: skip


def level(value: float) -> OverSpeed:
    """The same at every speed."""
    return ((0.0, value),)


# Limits that any engine of this trade has, whatever the plan.
ENGINE = (
    TableLimit("coolant_temperature_c", level(100.0), PRACTICE, edge=5.0, stop_at=110.0),
    TableLimit("oil_temperature_c", level(125.0), PRACTICE, edge=5.0, stop_at=140.0),
    TableLimit("restriction_kpa", level(RESTRICTION_HIGH_KPA), Said("limit.cleaner_service"), edge=0.5),
    TableLimit(
        "oil_pressure_kpa",
        (
            (1000.0 * OIL_LEAST_KPA / OIL_KPA_PER_1000_RPM, OIL_LEAST_KPA),
            (TOP_RPM, OIL_KPA_PER_1000_RPM * TOP_RPM / 1000.0),
        ),
        Said("limit.oil_by_speed"), "min", edge=20.0, stop_at=OIL_LEAST_KPA, from_rpm=RUNNING_RPM,
    ),
)  # fmt: skip


def _displacement_l(plan: Plan) -> float | None:
    row = next((row for row in plan.inputs.all() if row.name == "displacement_l"), None)
    return (row.low + row.high) / 2 if row else None


def _smoke(plan: Plan) -> list[TableLimit]:
    """Only at full load and a held speed: that is what the regulation's table is for.

    k over the flow of the engine is straight between its rows, so it is straight over speed too.
    """
    displacement_l = _displacement_l(plan)
    if displacement_l is None:
        return []
    rows = tuple((flow / nominal_flow_l_s(displacement_l, 1.0), k) for flow, k in R24)
    k = TableLimit("smoke_k_per_m", rows, STEADY_SMOKE, edge=0.2, from_rpm=1e-9, full_load_only=True)
    on_path = Said("limit.on_path", {"source": STEADY_SMOKE, "path_m": STANDARD_PATH_M})
    return [k, replace(k, quantity="smoke_opacity_pct", source=on_path, edge=5.0, opacity_path_m=STANDARD_PATH_M)]


def usual_source(name: str) -> Said:
    return Said("limit.usual", {"source": {"way": "usual_source", "of": name}})


def _of_plan(plan: Plan, phase: str) -> list[TableLimit]:
    """What the plan allows, each with where it comes from. Before the fit there is no boost to limit."""
    limits, own = limits_of(plan), {row.name: row.source for row in plan.own_limits.all()}
    litres, found = _displacement_l(plan), []
    for name, usual in DEFAULTS.items():
        slug, value, source = usual.result, float(getattr(limits, name)), own.get(name) or usual_source(name)
        edge, beyond = usual.edge, usual.stop_beyond
        if slug == "mean_pressure_kpa" and litres is not None:
            # mean pressure is torque over displacement: four-stroke, T = p V / 4 pi, with kPa and L giving Nm
            slug, source = "torque_nm", Said("limit.mean_pressure", {"source": source})
            value, edge = (figure * litres / (4 * math.pi) for figure in (value, edge))
        if slug in QUANTITIES and (phase == "after" or slug == "exhaust_temperature_c"):
            stop_at = None if beyond is None else value + (beyond if usual.direction == "max" else -beyond)
            found.append(TableLimit(slug, level(value), source, usual.direction, edge, stop_at))
    return found


def limit_table(plan: Plan | None, phase: str) -> list[TableLimit]:
    """Every row that counts for readings of this plan, before or after the fit."""
    return [*ENGINE, *(_of_plan(plan, phase) if plan else ()), *(_smoke(plan) if plan else ())]


def limits_at(rows: Iterable[TableLimit], speed_rpm: float, load_pct: float = 100.0) -> list[Limit]:
    return [limit for row in rows if (limit := row.at(speed_rpm, load_pct)) is not None]


def engine_limits(speed_rpm: float) -> list[Limit]:
    return limits_at(ENGINE, speed_rpm)


def plan_limits(plan: Plan, phase: str) -> list[Limit]:
    """What the plan itself allows, which is the same at every speed."""
    return limits_at(_of_plan(plan, phase), TOP_RPM)


def steady_smoke_limits(plan: Plan, speed_rpm: float, load_pct: float) -> list[Limit]:
    return limits_at(_smoke(plan), speed_rpm, load_pct)
