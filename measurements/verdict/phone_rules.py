"""The constants that the checks work with, as the phone is sent them."""

from typing import Any

from measurements.verdict.checks import COMPARABLE_PLACES, DEFAULT_TOLERANCE, FULL_LOAD_PCT, TOLERANCE, TURBINE_DROP_C
from measurements.verdict.plan_side import ADVICE, ADVICE_ALWAYS, ADVICE_ELSE


def phone_rules() -> dict[str, Any]:
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
