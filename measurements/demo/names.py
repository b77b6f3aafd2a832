"""Names that nobody bears: people, their languages, and how a vehicle is registered in the invented highland."""

import numpy as np

from measurements.demo.engines import rows_of

WORKSHOP = {
    "name": "Upper Ravanne Diesel Works",
    "address": "Millrace Lane 4\nUpper Ravanne",
    "phone": "550 0101",
    "altitude_m": 2600.0,
    "time_zone": "Etc/GMT+5",
    "currency": "crowns",
    "local_rules": (
        "Invented for the demo. In this district a change to an engine is shown to the inspection station within "
        "30 days, entered in the registration, and reported to the insurer. Field machines and boats: to the owner's "
        "insurer only. Ask your own authority what holds where you are."
    ),
}

_GIVEN, _FAMILY = ([row[part] for row in rows_of("people") if row[part]] for part in ("given", "family"))
LANGUAGES = ["Arvani", "Arvani", "Arvani", "Highland Tesk", "Highland Tesk", "Coast Orrin"]


def person(rng: np.random.Generator) -> str:
    return f"{rng.choice(_GIVEN)} {rng.choice(_FAMILY)}"


def phone_number(rng: np.random.Generator) -> str:
    return f"550 {rng.integers(1000, 9999)}"


def registration(use: str, number: int) -> str:
    """Each kind of use has its own form, so that a list can be told apart at a glance."""
    form = {"road": "RV {:04d}", "field": "F-{:05d}", "boat": "LAKE {:03d}", "stationary": "serial {:06d}"}[use]
    return form.format({"stationary": 200_000 + number * 17}.get(use, 100 + number * 7 % 9000))
