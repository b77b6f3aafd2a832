"""Things for tests, with defaults, so that a test shows only what matters to it."""

import itertools
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from django.utils import timezone

from shop.access.actions import add_person
from shop.access.models import Person
from shop.jobs.actions import open_job
from shop.jobs.models import JobCard
from shop.people.models import Customer, Vehicle
from shop.survey.actions import record_facts
from shop.workshop.models import Workshop
from sizing.catalogue.models import AirCleaner, Cooler, Plunger, Pump, Turbo

_count = itertools.count(1)
NOW = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
ZONE = ZoneInfo("America/Bogota")  # of the workshop; the server keeps UTC

# An indirect-injection engine of the usual size, as a plate and a customer would tell it.
FACTS = {
    "displacement_l": (2.5, 2.5, "", "book"),
    "cylinder_count": (4, 4, "", "book"),
    "compression_ratio": (21, 22, "", "book"),
    "injection": (None, None, "indirect", "measured"),
    "rated_power_kw": (55, 58, "", "book"),
    "rated_speed_rpm": (4000, 4000, "", "book"),
    "governed_speed_rpm": (4400, 4500, "", "told"),
    "pump_kind": (None, None, "rotary", "measured"),
    "plunger_diameter_mm": (8, 10, "", "guessed"),
}


def today() -> date:
    """The day on the wall of the workshop."""
    return timezone.localdate(timezone=ZONE)


def make_workshop(**fields) -> Workshop:
    return Workshop.objects.create(
        **{"name": "Workshop under test", "altitude_m": 2600, "time_zone": ZONE.key, "currency": "EUR"} | fields
    )


def make_person(role: str = "owner", username: str = "") -> Person:
    username = username or f"{role.replace(' ', '-')}-{next(_count)}"
    return add_person(username=username, full_name=username.title(), password="a password for tests", role=role)


def make_customer(**fields) -> Customer:
    return Customer.objects.create(
        **{"name": f"Customer {next(_count)}", "phone": "555 0100", "language": "Arvani"} | fields
    )


def make_vehicle(customer: Customer | None = None, **fields) -> Vehicle:
    defaults = {
        "registration": f"T {next(_count):04d}",
        "make_and_model": "Korvenne Hallow",
        "use": "road",
        "meter": "km",
    }
    return Vehicle.objects.create(customer=customer or make_customer(), **defaults | fields)


def make_job(by: Person | None = None, vehicle: Vehicle | None = None, facts: dict | None = None, **fields) -> JobCard:
    by = by or Person.objects.first() or make_person()
    vehicle = vehicle or make_vehicle()
    if facts is not None:
        record_facts(vehicle, facts, by, at=NOW)
    stage = fields.pop("stage", None)
    job = open_job(vehicle, fields.pop("wish", "More pull on the pass"), by, at=fields.pop("at", NOW), **fields)
    if stage:  # a shortcut for tests that are not about the way there
        job.stage = stage
        job.save(update_fields=["stage"])
    return job


def make_turbo(**fields) -> Turbo:
    defaults = {
        "make": "Ostrel",
        "name": f"T{next(_count)}",
        "compressor_inducer_mm": 36,
        "compressor_exducer_mm": 49,
        "compressor_blade_count": 12,
        "turbine_inducer_mm": 44,
        "turbine_exducer_mm": 37,
        "length_mm": 210,
        "width_mm": 190,
        "height_mm": 180,
        "weight_kg": 6.2,
    }
    return Turbo.objects.create(**defaults | fields)


def make_cooler(**fields) -> Cooler:
    defaults = {
        "make": "Ostrel",
        "name": f"C{next(_count)}",
        "effectiveness_ratio": 0.7,
        "loss_kpa": 6,
        "rated_flow_kg_s": 0.12,
    }
    return Cooler.objects.create(**defaults | fields)


def make_air_cleaner(**fields) -> AirCleaner:
    return AirCleaner.objects.create(
        **{"make": "Ostrel", "name": f"A{next(_count)}", "rated_flow_m3_h": 400, "loss_clean_kpa": 2.0} | fields
    )


def make_plunger(diameter_mm: float = 7.5, **fields) -> Plunger:
    pump = Pump.objects.create(
        make="Ostrel", name=f"P{next(_count)}", kind="inline", governor="mechanical", plunger_count=4
    )
    return Plunger.objects.create(**{"pump": pump, "diameter_mm": diameter_mm, "effective_stroke_max_mm": 3.5} | fields)
