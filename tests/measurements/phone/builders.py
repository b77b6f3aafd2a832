"""A job that is proving, with its run, as the phone meets it."""

import uuid

from measurements.phone.actions import record_run_step
from measurements.proving.actions import start_run
from shop.fitting.actions import record_fitment
from shop.jobs.plans import plan_from_facts
from shop.safety.actions import sign_off
from shop.safety.notes import CHECKS
from tests.builders import FACTS, make_cooler, make_job, make_turbo


def make_fitted_job(person, stage="fitting"):
    """Fitted, nothing signed."""
    job = make_job(person, facts=FACTS | {"plunger_diameter_mm": (6, 6, "", "measured")}, stage=stage)
    turbo, cooler = make_turbo(), make_cooler()
    plan_from_facts(
        job, person, "First stage", (80.0, 90.0, "told"), turbo=turbo, cooler=cooler, air_cleaner=None, plunger=None
    )
    record_fitment(job, person, turbo=turbo, cooler=cooler, plunger_diameter_mm=6)
    return job


def make_proving_job(person, with_run=True, warm=False):
    """`warm`: it is written down that oil cannot be read, so that full load may be taken at once."""
    job = make_fitted_job(person, "proving")
    for check in CHECKS:
        sign_off(job, check.slug, person)
    run = start_run(job, person) if with_run else None
    if warm:
        record_run_step(job, run, "oil_unreadable", person, uuid.uuid4())
    return job, run
