from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from shop.access.models import Person
from shop.fitting.models import Fitment, FittedPart
from shop.jobs.events import record_event
from shop.jobs.models import JobCard
from sizing.said import Said


@transaction.atomic
def record_fitment(job: JobCard, by: Person, at: datetime | None = None, **fields: Any) -> Fitment:
    """Store what was fitted. It starts a new round of safety checks."""
    fitment = Fitment(job=job, by=by, at=at or timezone.now(), **fields)
    # What is handed in as a thing is there; the database holds that too.
    fitment.clean_fields(exclude=["job", "by", "turbo", "cooler", "air_cleaner", "pump"])
    fitment.save()
    said = Said("fitting.fitted", {"turbo": str(fitment.turbo), "plunger_mm": fitment.plunger_diameter_mm})
    record_event(job, "fitment", said, by, fitment.at)
    return fitment


@transaction.atomic
def record_part(
    job: JobCard, text: str, by: Person, quantity: int = 1, serial: str = "", at: datetime | None = None
) -> FittedPart:
    part = FittedPart(job=job, text=text, quantity=quantity, serial=serial, by=by, at=at or timezone.now())
    part.clean_fields(exclude=["job", "by"])
    part.save()
    record_event(job, "part", Said("fitting.part", {"quantity": quantity, "part": text}), by, part.at)
    return part
