"""A job on its way, built through the actions that the pages use."""

import itertools

from measurements.proving import moves
from measurements.proving.actions import start_run
from shop.access.models import Person
from shop.fitting.actions import record_fitment
from shop.jobs.models import JobCard
from shop.jobs.plans import attach_plan
from shop.safety.actions import sign_off
from shop.safety.notes import CHECKS
from sizing.plans.actions import make_plan
from sizing.plans.models import Plan
from tests.builders import NOW, make_job, make_turbo

_count = itertools.count(1)
INPUTS = {
    "displacement_l": (2.5, 2.5, "book"),
    "cylinder_count": (4, 4, "book"),
    "compression_ratio": (21, 22, "book"),
    "rated_power_kw": (55, 58, "book"),
    "rated_speed_rpm": (4000, 4000, "book"),
    "boost_kpa": (80, 80, "told"),
    "altitude_m": (2600, 2600, "measured"),
}
# What a plan says in tests that are about judging, not about the match.
BANDS = {"boost_kpa": (70.0, 85.0), "exhaust_temperature_c": (560.0, 630.0), "charge_temperature_c": (110.0, 140.0)}


def planned_job(by: Person, stage: str = "agreed", **fields) -> JobCard:
    job = make_job(by, **fields)
    plan = make_plan(f"Stage {next(_count)}", "indirect", INPUTS, turbo=make_turbo(), at=NOW)
    attach_plan(job, plan, by, at=NOW)
    job.stage = stage
    job.save(update_fields=["stage"])
    return job


def plan_of(job: JobCard) -> Plan:
    return job.job_plans.get(is_current=True).plan


def proving_job(by: Person, signed: bool = True, **fields) -> JobCard:
    """Fitted and signed, waiting for its first proving run."""
    job = planned_job(by, stage="fitting", **fields)
    record_fitment(job, by, at=NOW, turbo=plan_of(job).turbo, plunger_diameter_mm=9)
    for check in CHECKS if signed else []:
        sign_off(job, check.slug, by, at=NOW)
    if signed:
        moves.move_on(job, "proving", by, at=NOW)
        job.refresh_from_db()
    return job


def job_in_run(by: Person, **fields):
    job = proving_job(by, **fields)
    return job, start_run(job, by, at=NOW)
