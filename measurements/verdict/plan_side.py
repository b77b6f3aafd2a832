"""What a plan and the engine allow at a point, as the bands and limits that checks can judge with."""

import math
from collections.abc import Iterable

from django.utils.translation import gettext_lazy as _
from numpy import interp

from measurements.verdict.checks import FULL_LOAD_PCT, Limit
from measurements.verdict.smoke_limits import steady_limit_per_m
from sizing.physics.engine.smoke import STANDARD_PATH_M, opacity_pct
from sizing.physics.limits.values import DEFAULTS
from sizing.plans.cases import case_without_bench
from sizing.plans.models import Plan
from sizing.plans.solve import bands, inputs_of, limits_of, speeds_of
from sizing.said import Said
from sizing.units.quantities import QUANTITIES

Bands = dict[str, tuple[float, float]]
PRACTICE = Said("limit.practice")
STEADY_SMOKE = Said("limit.steady_smoke")
RUNNING_RPM = 400.0  # below it the engine is being cranked and oil pressure says nothing
# Hot engine. 10 psi for each 1,000 rpm is the old rule of the trade; under 70 kPa a turbo's bearings run dry.
OIL_LEAST_KPA, OIL_KPA_PER_1000_RPM = 70.0, 69.0
COOLANT_HIGH_C, COOLANT_STOP_C = 100.0, 110.0
OIL_HIGH_C, OIL_STOP_C = 125.0, 140.0
RESTRICTION_HIGH_KPA = 6.2  # 25 inches of water column, where a cleaner is serviced

ADVICE = {
    "exhaust_temperature_c": (
        _("Take the load off now, then let the engine idle two to five minutes before it is stopped."),
        _("Do not go on at this fuel setting. Look for what is listed below first."),
    ),
    "boost_kpa": (
        _("Take the load off now and let the engine idle."),
        _("Do not go higher in speed or load until it is found why boost is above its ceiling."),
    ),
    "oil_pressure_kpa": (
        _("Stop the engine now. Do not let it idle."),
        _("No new start until oil pressure is there on a second gauge."),
    ),
    "coolant_temperature_c": (
        _(
            "Take the load off now; let it idle fast with the fan on. Stop it if the temperature does not fall within a minute."
        ),
        _("Never open a hot cooling system."),
    ),
    "oil_temperature_c": (_("Take the load off now and let the engine idle until the oil is below 110 °C."),),
}
ADVICE_ELSE = _("Take the load off now.")
ADVICE_ALWAYS = _(
    "If it speeds up by itself: cover the intake with the plate, shut the fuel, stay out of line with wheels and flywheel."
)


def stop_advice(quantities: Iterable[str]) -> list[str]:
    """What to do now, the most urgent first, each thing once."""
    urgent = sorted(set(quantities), key=lambda slug: slug != "oil_pressure_kpa")
    lines = [line for slug in urgent for line in ADVICE.get(slug, (ADVICE_ELSE,))]
    return list(dict.fromkeys(map(str, [*lines, ADVICE_ALWAYS]))) if urgent else []


def band_table(plan: Plan) -> tuple[list[float], dict[str, tuple[list[float], list[float]]]]:
    """What the plan expects at full load over its round speeds; empty for a plan that cannot be worked out."""
    try:
        case = case_without_bench(plan)
        speeds = speeds_of(inputs_of(case))
        found = bands(case, speeds)
    except ValueError:
        return [], {}
    ends = {slug: pair for slug, pair in found.items() if slug in QUANTITIES}
    return speeds, {
        slug: ([round(float(x), 4) for x in low], [round(float(x), 4) for x in high])
        for slug, (low, high) in ends.items()
    }


def bands_at(plan: Plan, speeds_rpm: Iterable[float]) -> dict[float, Bands]:
    """What the plan expects at full load, by speed, read off the table by straight lines as the phone does it.

    Nothing for a speed of which the plan does not speak.
    """
    grid, table = band_table(plan)
    return {
        speed: {
            slug: (float(interp(speed, grid, low)), float(interp(speed, grid, high)))
            for slug, (low, high) in table.items()
        }
        for speed in set(speeds_rpm)
        if grid and grid[0] <= speed <= grid[-1]
    }


def engine_limits(speed_rpm: float) -> list[Limit]:
    """Limits that any engine of this trade has, whatever the plan."""
    limits = [
        Limit("coolant_temperature_c", COOLANT_HIGH_C, PRACTICE, edge=5.0, stop_beyond=COOLANT_STOP_C - COOLANT_HIGH_C),
        Limit("oil_temperature_c", OIL_HIGH_C, PRACTICE, edge=5.0, stop_beyond=OIL_STOP_C - OIL_HIGH_C),
        Limit("restriction_kpa", RESTRICTION_HIGH_KPA, Said("limit.cleaner_service"), edge=0.5),
    ]
    if speed_rpm >= RUNNING_RPM:
        least = max(OIL_LEAST_KPA, OIL_KPA_PER_1000_RPM * speed_rpm / 1000.0)
        limits.append(
            Limit(
                "oil_pressure_kpa",
                least,
                Said("limit.oil_by_speed"),
                "min",
                edge=20.0,
                stop_beyond=least - OIL_LEAST_KPA,
            )
        )
    return limits


def steady_smoke_limits(plan: Plan, speed_rpm: float, load_pct: float) -> list[Limit]:
    """Only at full load and a held speed: that is what the table is for."""
    displacement = next((row for row in plan.inputs.all() if row.name == "displacement_l"), None)
    if displacement is None or load_pct < FULL_LOAD_PCT or speed_rpm <= 0:
        return []
    k = steady_limit_per_m((displacement.low + displacement.high) / 2, speed_rpm)
    opacity = float(opacity_pct(k))
    on_path = Said("limit.on_path", {"source": STEADY_SMOKE, "path_m": STANDARD_PATH_M})
    return [Limit("smoke_k_per_m", k, STEADY_SMOKE, edge=0.2), Limit("smoke_opacity_pct", opacity, on_path, edge=5.0)]


def _torque_limit_nm(plan: Plan, mean_pressure_kpa: float) -> float | None:
    """Mean pressure is torque over displacement: four-stroke, T = p V / 4 pi, with kPa and L giving Nm."""
    row = next((row for row in plan.inputs.all() if row.name == "displacement_l"), None)
    return mean_pressure_kpa * (row.low + row.high) / 2 / (4 * math.pi) if row else None


def usual_source(name: str) -> Said:
    return Said("limit.usual", {"source": {"way": "usual_source", "of": name}})


def plan_limits(plan: Plan, phase: str) -> list[Limit]:
    """What the plan allows, each with where it comes from. Before the fit there is no boost to limit."""
    limits, own = limits_of(plan), {row.name: row.source for row in plan.own_limits.all()}
    found = []
    for name, usual in DEFAULTS.items():
        slug, value, source = usual.result, getattr(limits, name), own.get(name) or usual_source(name)
        edge, stop_beyond = usual.edge, usual.stop_beyond
        if slug == "mean_pressure_kpa":
            share = edge / value
            slug, value = "torque_nm", _torque_limit_nm(plan, value)
            edge = share * value if value else 0.0
            source = Said("limit.mean_pressure", {"source": source})
        if slug in QUANTITIES and value is not None and (phase == "after" or slug == "exhaust_temperature_c"):
            found.append(Limit(slug, float(value), source, usual.direction, edge, stop_beyond))
    return found
