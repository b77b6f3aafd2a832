"""What a plan expects at a speed, and what to do when a limit is passed."""

from collections.abc import Iterable

from django.utils.translation import gettext_lazy as _
from numpy import interp

from sizing.plans.cases import case_without_bench
from sizing.plans.models import Plan
from sizing.plans.solve import bands, inputs_of, speeds_of
from sizing.units.quantities import QUANTITIES

Bands = dict[str, tuple[float, float]]

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
