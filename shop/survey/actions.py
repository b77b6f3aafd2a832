"""What is known of an engine and its pump, and surveys. Every statement is kept; the best one counts."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from shop.access.models import Person
from shop.jobs.events import record_event
from shop.jobs.models import JobCard
from shop.people.models import Vehicle
from shop.survey.models import EngineFact, Survey
from sizing.plans.facts import FACTS, ORIGINS
from sizing.said import Refused, Said
from sizing.ways import word

# Measured beats a plate, a plate beats hearsay; among equals the newest counts.
RANK = {origin: -i for i, (origin, _) in enumerate(ORIGINS)}


class FactRefused(Refused):
    pass


Statement = tuple[float | None, float | None, str, str]


@transaction.atomic
def record_facts(
    vehicle: Vehicle, statements: Mapping[str, Statement], by: Person, at: datetime | None = None
) -> list[EngineFact]:
    """Add one row for each statement (low, high, text, origin); what says nothing new is left out."""
    at = at or timezone.now()
    known = current_facts(vehicle)
    rows = []
    for name, (low, high, text, origin) in statements.items():
        if name not in FACTS:
            raise FactRefused("fact.unknown", name=name)
        if low is not None and high is not None and low > high:
            raise FactRefused("fact.ends_swapped", fact=word("fact", name), low=low, high=high)
        before = known.get(name)
        if before and (before.low, before.high, before.text, before.origin) == (low, high, text, origin):
            continue
        rows.append(EngineFact(vehicle=vehicle, name=name, low=low, high=high, text=text, origin=origin, by=by, at=at))
    return EngineFact.objects.bulk_create(rows)


def current_facts(vehicle: Vehicle) -> dict[str, EngineFact]:
    """The statement that counts for each fact, in the order of the table of facts."""
    best: dict[str, EngineFact] = {}
    for row in vehicle.facts.select_related("by").order_by("at", "pk"):
        held = best.get(row.name)
        if held is None or RANK[row.origin] >= RANK[held.origin]:
            best[row.name] = row
    return {name: best[name] for name in FACTS if name in best}


def displacement_range_l(facts: Mapping[str, EngineFact]) -> tuple[float, float, str] | None:
    """Displacement as stated, or from bore, stroke and cylinders when those are all known: pi/4 x bore² x stroke x count."""
    stated = facts.get("displacement_l")
    parts = [facts[name] for name in ("bore_mm", "stroke_mm", "cylinder_count") if name in facts]
    if len(parts) == 3 and (stated is None or all(RANK[p.origin] > RANK[stated.origin] for p in parts)):
        low, high = (
            3.141592653589793 / 4 * bore**2 * stroke * count / 1e6
            for bore, stroke, count in zip(*(part.ends for part in parts), strict=True)
        )
        return low, high, min(parts, key=lambda p: RANK[p.origin]).origin
    return (*stated.ends, stated.origin) if stated else None


@transaction.atomic
def record_survey(job: JobCard, by: Person, at: datetime | None = None, **fields: Any) -> Survey:
    """Store a survey sheet. A second sheet does not replace the first: both stay, the newer one counts."""
    survey = Survey(job=job, by=by, at=at or timezone.now(), **fields)
    survey.full_clean(exclude=["job", "by"])
    survey.save()
    said = Said("survey.stored", {"verdict": word("survey_verdict", survey.verdict)})
    if survey.repairs:
        said = Said("survey.stored_because", {**said.values, "why": survey.repairs})
    record_event(job, "survey", said, by, survey.at)
    return survey
