"""A job that is proving, with its run, as the phone meets it."""

import uuid

from measurements.actions.acts import record_run_step
from measurements.actions.proving import start_run
from shop.actions.fitments import record_fitment
from shop.actions.plans import plan_from_facts
from shop.actions.safety import sign_off
from shop.safety_notes import CHECKS
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
