"""Storing what was found on a guided sheet, and its photos."""

import hashlib
import uuid
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from measurements.guided.models import SheetEntry, SheetPhoto
from measurements.guided.sheets import SHEET, Item
from measurements.readings.actions import Conflict, ReadingRefused
from shop.access.models import Person
from shop.jobs.actions import add_photo
from shop.jobs.events import record_event
from shop.jobs.models import JobCard, JobPhoto
from sizing.units.figures import figure, span


def _item(sheet: str, item: str, place: int) -> Item:
    if sheet not in SHEET:
        raise ReadingRefused({"sheet": f"There is no sheet '{sheet}'. There are: {', '.join(SHEET)}."})
    found = SHEET[sheet].item(item)
    if found is None:
        allowed = ", ".join(i.slug for i in SHEET[sheet].items)
        raise ReadingRefused({"item": f"'{item}' does not stand on the sheet '{sheet}'. There are: {allowed}."})
    if found.is_repeated != (place > 0):
        raise ReadingRefused(
            {"place": f"{found.label}: {'say which one, from 1 on' if found.is_repeated else 'there is only one'}."}
        )
    return found


def _check(item: Item, value: float | None, choice: str) -> None:
    if choice and choice not in dict(item.choices):
        allowed = ", ".join(slug for slug, _ in item.choices) or "none, a number is wanted"
        raise ReadingRefused({"choice": f"{item.label}: '{choice}' is not a choice. Allowed: {allowed}."})
    if value is None:
        return
    if item.choices:
        raise ReadingRefused({"value": f"{item.label}: choose one, a number says nothing here."})
    if not item.low <= value <= item.high:
        raise ReadingRefused(
            {
                "value": f"{item.label}: {figure(value, item.quantity)} is not possible. Allowed: {span(item.low, item.high, item.quantity)}."
            }
        )


@transaction.atomic
def record_entry(
    job: JobCard, sheet: str, item: str, place: int, value: float | None, choice: str, by: Person,
    entry_id: uuid.UUID | None = None, taken_at: datetime | None = None, device_at: datetime | None = None,
) -> SheetEntry:  # fmt: skip
    """Store one finding. Neither value nor choice takes the item back; the older rows stay."""
    found = _item(sheet, item, place)
    _check(found, value, choice)
    if job.stage == "called_off":
        raise ReadingRefused({"": "This job was called off; nothing more is recorded for it."})
    now = timezone.now()
    content = {"job": job, "sheet": sheet, "item": item, "place": place, "value": value, "choice": choice}
    entry, is_new = SheetEntry.objects.get_or_create(
        pk=entry_id or uuid.uuid4(),
        defaults={**content, "by": by, "taken_at": taken_at or now, "device_at": device_at, "received_at": now},
    )
    if not is_new:
        if any(getattr(entry, name) != wanted for name, wanted in content.items()):
            raise Conflict({"": "This was stored before with another content."})
        return entry
    where = f" {place}" if place else ""
    what = figure(value, found.quantity) if value is not None else dict(found.choices).get(choice, "taken back")
    record_event(job, "sheet", f"{SHEET[sheet].title}: {found.label.lower()}{where}, {what}", by, entry.taken_at)
    return entry


@transaction.atomic
def record_sheet_photo(
    job: JobCard,
    sheet: str,
    image,
    by: Person,
    photo_id: uuid.UUID,
    device_at: datetime | None = None,
    at: datetime | None = None,
) -> JobPhoto:
    """Keep a photo with the job and say which sheet it belongs to. Sending it again changes nothing."""
    if sheet not in SHEET:
        raise ReadingRefused({"sheet": f"There is no sheet '{sheet}'. There are: {', '.join(SHEET)}."})
    sha256 = hashlib.sha256(image.read()).hexdigest()
    image.seek(0)
    known = SheetPhoto.objects.select_related("photo").filter(pk=photo_id).first()
    if known:
        if (known.photo.job_id, known.sheet, known.sha256) != (job.pk, sheet, sha256):
            raise Conflict({"": "Another photo was stored under this id before."})
        return known.photo
    photo = add_photo(job, image, SHEET[sheet].title, by, at)
    SheetPhoto.objects.create(id=photo_id, photo=photo, sheet=sheet, sha256=sha256, device_at=device_at)
    return photo
