"""The plans of a job in their order; one of them is current."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from shop.access.models import Person
from shop.jobs.events import record_event
from shop.jobs.models import JobCard, JobPlan
from shop.survey.actions import current_facts, displacement_range_l
from shop.workshop.models import Workshop
from sizing.plans.actions import copy_plan, make_plan
from sizing.plans.models import Plan
from sizing.said import Refused, Said

# Facts that a plan takes over. What is on the engine now is "as built"; the plan's own pump setting is its answer.
TAKEN_OVER = {
    "cylinder_count": "cylinder_count",
    "compression_ratio": "compression_ratio",
    "rated_power_kw": "rated_power_kw",
    "rated_speed_rpm": "rated_speed_rpm",
    "governed_speed_rpm": "governed_speed_rpm",
    "plunger_diameter_mm": "plunger_diameter_as_built_mm",
    "delivery_mm3": "delivery_as_built_mm3",
    "effective_stroke_mm": "effective_stroke_mm",
    "injection_pressure_bar": "injection_pressure_bar",
    "begin_of_injection_deg": "begin_of_injection_deg",
}


class PlanRefused(Refused):
    pass


@transaction.atomic
def attach_plan(
    job: JobCard, plan: Plan, by: Person, at: datetime | None = None, make_current: bool | None = None
) -> JobPlan:
    """Put a plan at the end of the job's plans. The first one becomes current, later ones only when asked."""
    at = at or timezone.now()
    position = job.job_plans.count() + 1
    current = position == 1 if make_current is None else make_current
    if current:
        job.job_plans.filter(is_current=True).update(is_current=False)
    row = JobPlan.objects.create(job=job, plan=plan, position=position, is_current=current, by=by, at=at)
    record_event(job, "plan", Said("plan.added", {"position": position, "title": plan.title}), by, at)
    return row


@transaction.atomic
def choose_plan(job_plan: JobPlan, reason: str, by: Person, at: datetime | None = None) -> JobPlan:
    if not reason.strip():
        raise PlanRefused("plan.say_why")
    job = job_plan.job
    job.job_plans.filter(is_current=True).update(is_current=False)
    job_plan.is_current = True
    job_plan.save(update_fields=["is_current"])
    said = Said("plan.chosen", {"position": job_plan.position, "reason": reason.strip()})
    record_event(job, "plan", said, by, at)
    return job_plan


@transaction.atomic
def add_next_stage(
    job: JobCard, plan: Plan, title: str, by: Person, request_id: UUID | None = None, at: datetime | None = None
) -> Plan:
    """Copy a plan of the job as its next stage. The same request twice makes one copy."""
    copy = copy_plan(plan, title, at=at, request_id=request_id)
    if not JobPlan.objects.filter(plan=copy).exists():
        attach_plan(job, copy, by, at, make_current=False)
    return copy


def inputs_from_facts(job: JobCard) -> dict[str, tuple[float, float, str]]:
    """Every number known of the engine and the place, as (low, high, origin)."""
    facts = current_facts(job.vehicle)
    inputs = {
        plan_name: (*facts[name].ends, facts[name].origin)
        for name, plan_name in TAKEN_OVER.items()
        if name in facts and facts[name].low is not None
    }
    displacement = displacement_range_l(facts)
    if displacement:
        inputs["displacement_l"] = displacement
    workshop = Workshop.objects.first()
    if workshop:
        inputs["altitude_m"] = (workshop.altitude_m, workshop.altitude_m, "measured")
    return inputs


NEEDED = ("displacement_l", "cylinder_count", "rated_power_kw", "rated_speed_rpm")


@transaction.atomic
def plan_from_facts(
    job: JobCard,
    by: Person,
    title: str,
    boost_kpa: tuple[float, float, str],
    at: datetime | None = None,
    make_current: bool | None = None,
    **items: Any,
) -> JobPlan:
    """Make a plan from what is known of the engine and put it on the job. Items are turbo, cooler, air_cleaner, plunger."""
    facts = current_facts(job.vehicle)
    inputs = inputs_from_facts(job)
    missing = [name for name in NEEDED if name not in inputs]
    if "injection" not in facts:
        missing.append("injection")
    if missing:
        raise PlanRefused("plan.facts_missing", facts=[Said(f"plan.needs.{name}") for name in missing])
    inputs["boost_kpa"] = boost_kpa
    plan = make_plan(title=title, injection=facts["injection"].text, inputs=inputs, at=at, **items)
    return attach_plan(job, plan, by, at, make_current)
