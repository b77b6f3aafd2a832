"""Filling an empty database with the demo workshop, in one transaction."""

import gc
import secrets
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date

from django.conf import settings
from django.contrib.auth.hashers import PBKDF2PasswordHasher, get_hasher, make_password
from django.db import connection, transaction

from measurements.bench.smoke.actions import add_examples
from measurements.demo import names
from measurements.demo.benches import BRAKE_NM
from measurements.demo.catalogue import make_catalogue
from measurements.demo.fleet import FINISHED, draw_fleet
from measurements.demo.story import BASELINE, PROVE, Crew, Story
from measurements.demo.truth import Gauges, work_out
from measurements.readings.instruments import Instrument
from measurements.review.outcomes import keep_missing_outcomes
from shop.access.actions import add_person
from shop.access.demo_logins import DEMO_LOGINS
from shop.access.models import Person
from shop.jobs.models import JobCard
from shop.people.models import Customer
from shop.workshop.models import Workshop
from sizing.catalogue.models import Turbo
from sizing.plans.models import Plan

SEED = 2600
Say = Callable[[str], None]

INSTRUMENTS = {
    "boost_kpa": ("Boost gauge, bay 1", -100.0, 250.0),
    "exhaust_temperature_c": ("Thermocouple type K with reader", 0.0, 1100.0),
    "charge_temperature_c": ("Charge air probe", -40.0, 200.0),
    "smoke_k_per_m": ("Opacimeter", 0.0, 9.99),
    "oil_pressure_kpa": ("Oil pressure gauge", 0.0, 1000.0),
    "restriction_kpa": ("Water gauge for the air cleaner", 0.0, 12.0),
    "torque_nm": ("Load cell of the take-off brake", 0.0, 2000.0),
}
TRUSTED = {slug: plus_minus for slug, (plus_minus, _) in Gauges.PLUS_MINUS.items()} | {"torque_nm": BRAKE_NM}


class RealData(Exception):
    """The database holds something that is not the demo; nothing was touched."""


@dataclass(frozen=True)
class DemoLogIn:
    role: str
    username: str
    password: str
    full_name: str


def is_loaded() -> bool:
    return Workshop.objects.filter(is_demo=True).exists() and JobCard.objects.exists()


def refuse_real_data() -> None:
    found = [
        f"{count} {words}"
        for count, words in (
            (Workshop.objects.filter(is_demo=False).count(), "workshop that is not the demo's"),
            (JobCard.objects.count(), "job cards"),
            (Customer.objects.count(), "customers"),
            (Person.objects.count(), "people who can log in"),
            (Turbo.objects.count(), "turbos in the catalogue"),
            (Plan.objects.count(), "plans"),
        )
        if count
    ]
    if found:
        raise RealData(
            f"This database is not empty: it holds {', '.join(found)}. The demo is loaded only into an empty one, "
            "so that it never mixes with real work. Nothing was changed."
        )


def _people() -> tuple[Crew, list[DemoLogIn]]:
    """Fixed words in the demo, random ones anywhere else."""
    log_ins = [
        DemoLogIn(w.role, w.username, w.password if settings.DEMO else secrets.token_urlsafe(12), w.full_name)
        for w in DEMO_LOGINS
    ]
    made = {item.role: add_person(item.username, item.full_name, None, item.role) for item in log_ins}
    for item in log_ins:
        made[item.role].password = _quick_hash(item.password)
        made[item.role].save(update_fields=["password"])
    return Crew(made["front desk"], made["technician"], made["owner"]), log_ins


def _quick_hash(password: str) -> str:
    """Public or random words need no slow hash; the first log-in stores it anew with the usual one."""
    hasher = get_hasher()
    if isinstance(hasher, PBKDF2PasswordHasher):
        return hasher.encode(password, hasher.salt(), iterations=1000)
    return make_password(password)


def _instruments(today: date) -> dict[str, Instrument]:
    made = {}
    for i, (slug, (name, low, high)) in enumerate(INSTRUMENTS.items()):
        # One is overdue for its check, so that it can be seen how that is said.
        due = date(today.year + (i != 2), 1 + (i * 5) % 12, 15) if i != 2 else date(today.year - 1, 11, 15)
        instrument = Instrument(
            name=name, quantity=slug, low=low, high=high, uncertainty=TRUSTED[slug], check_due_on=due
        )
        instrument.full_clean()
        instrument.save()
        made[slug] = instrument
    return made


@contextmanager
def _without_collector() -> Iterator[None]:
    """Thousands of rows are held until the end; looking through them for garbage again and again takes a tenth."""
    gc.disable()
    try:
        yield
    finally:
        gc.enable()


@contextmanager
def _without_save_points() -> Iterator[None]:
    """Whatever fails undoes the whole filling, so the actions' save points inside its transaction save nothing."""
    connection.savepoint = lambda: None
    try:
        yield
    finally:
        del connection.savepoint


@transaction.atomic
def load_demo(today: date, say: Say, seed: int = SEED, finished: int = FINISHED) -> list[DemoLogIn]:
    """Build the demo workshop. Raises RealData and changes nothing if the database is not empty.

    The same seed and day give the same workshop, but for ids that are made at random.
    """
    refuse_real_data()
    started = time.monotonic()

    def told(text: str) -> None:
        say(f"{time.monotonic() - started:5.1f} s  {text}")

    told("workshop, people, catalogue")
    Workshop.objects.create(is_demo=True, **names.WORKSHOP)
    crew, log_ins = _people()
    catalogue, instruments = make_catalogue(), _instruments(today)
    add_examples()
    fleet = draw_fleet(seed, today, finished)
    told(f"working out {len(fleet)} engines")
    work_out(fleet, BASELINE, PROVE)
    with _without_save_points(), _without_collector():
        for i, case in enumerate(fleet):
            if i % 25 == 0:
                told(f"job {i + 1} of {len(fleet)}")
            Story(case, crew, catalogue, instruments, today).tell()
    told("outcomes for the review")
    keep_missing_outcomes()
    told("done")
    return log_ins
