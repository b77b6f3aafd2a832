"""Opening and changing a job card."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.core.files import File
from django.db import IntegrityError, transaction
from django.utils import timezone

from shop.access.models import Person
from shop.jobs.events import record_event
from shop.jobs.models import JobCard, JobPhoto
from shop.people.models import Vehicle
from sizing.said import Said, listed
from sizing.ways import word


class EditCrossed(ValueError):
    """Somebody else changed the job card meanwhile; both versions are shown, neither is overwritten."""

    def __init__(self, current: JobCard):
        self.current = current
        super().__init__("Somebody else changed this job card while you were typing.")


def _next_number(year: int) -> str:
    last = (
        JobCard.objects.filter(number__startswith=f"{year}-")
        .order_by("-number")
        .values_list("number", flat=True)
        .first()
    )
    return f"{year}-{int(last.split('-')[1]) + 1 if last else 1:04d}"


def open_job(
    vehicle: Vehicle,
    wish: str,
    by: Person,
    budget: Decimal | None = None,
    due_on: date | None = None,
    meter_reading: float | None = None,
    at: datetime | None = None,
) -> JobCard:
    at = at or timezone.now()
    for attempt in range(5):  # two desks that open a job in the same moment both want the next number
        try:
            with transaction.atomic():
                job = JobCard.objects.create(
                    number=_next_number(timezone.localtime(at).year),
                    vehicle=vehicle,
                    wish=wish,
                    budget=budget,
                    due_on=due_on,
                    meter_reading=meter_reading,
                    opened_by=by,
                    opened_at=at,
                )
                record_event(job, "opened", Said("job.opened", {"wish": wish}), by, at, to_stage="booked")
                return job
        except IntegrityError:
            if attempt == 4:
                raise
    raise AssertionError("not reached")


def _as_it_was(value: object) -> str | Said:
    return Said("job.empty") if value in (None, "") else str(value)


@transaction.atomic
def change_job(job: JobCard, version: int, changes: dict[str, Any], by: Person, at: datetime | None = None) -> JobCard:
    """Change fields of a job card as it stood at `version`; raise EditCrossed if it has moved on."""
    current = JobCard.objects.select_for_update().get(pk=job.pk)
    if current.version != version:
        raise EditCrossed(current)
    told = []
    for name, value in changes.items():
        before = getattr(current, name)
        if before != value:
            setattr(current, name, value)
            told.append(
                Said(
                    "job.change",
                    {"field": word("job_field", name), "before": _as_it_was(before), "after": _as_it_was(value)},
                )
            )
    if told:
        current.version += 1
        current.save()
        record_event(current, "changed", Said("job.changed", {"changes": listed(told, "; ")}), by, at)
    return current


@transaction.atomic
def add_photo(
    job: JobCard,
    image: "File[bytes]",
    caption: str,
    by: Person,
    at: datetime | None = None,
    about: dict[str, Any] | None = None,
) -> JobPhoto:
    """Keep a photo, with what a person wrote under it or with `about`, a value such as the name of a sheet."""
    at = at or timezone.now()
    photo = JobPhoto.objects.create(job=job, image=image, caption=caption, about=about or {}, by=by, at=at)
    said = Said("job.photo_of", {"caption": caption or about}) if caption or about else Said("job.photo")
    record_event(job, "photo", said, by, at)
    return photo
