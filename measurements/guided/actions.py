"""Storing what was found on a guided sheet, and its photos."""

import hashlib
import uuid
from datetime import datetime

from django.core.files import File
from django.db import transaction
from django.utils import timezone

from measurements.guided.models import SheetEntry, SheetPhoto
from measurements.guided.sheets import SHEET, SheetItem
from measurements.guided.words import item_figure, item_name, item_range
from measurements.readings.refusal import Conflict, ReadingRefused
from shop.access.models import Person
from shop.jobs.actions import add_photo
from shop.jobs.events import record_event
from shop.jobs.models import JobCard, JobPhoto
from sizing.said import Said
from sizing.ways import word


def _item(sheet: str, item: str, place: int) -> SheetItem:
    if sheet not in SHEET:
        raise ReadingRefused({"sheet": Said("sheet.no_such_sheet", {"name": sheet, "allowed": list(SHEET)})})
    found = SHEET[sheet].item(item)
    if found is None:
        allowed = [i.slug for i in SHEET[sheet].items]
        raise ReadingRefused({"item": Said("sheet.no_such_item", {"name": item, "sheet": sheet, "allowed": allowed})})
    if found.is_repeated != (place > 0):
        code = "sheet.say_which_one" if found.is_repeated else "sheet.only_one"
        raise ReadingRefused({"place": Said(code, {"item": item_name(sheet, item)})})
    return found


def _check(sheet: str, item: SheetItem, value: float | None, choice: str) -> None:
    about = {"item": item_name(sheet, item.slug)}
    if choice and choice not in dict(item.choices):
        allowed = [slug for slug, _ in item.choices] or Said("sheet.a_number")
        raise ReadingRefused({"choice": Said("sheet.no_such_choice", {**about, "name": choice, "allowed": allowed})})
    if value is None:
        return
    if item.choices:
        raise ReadingRefused({"value": Said("sheet.no_number", about)})
    if not item.low <= value <= item.high:
        given = {"value": item_figure(sheet, item.slug, value), "allowed": item_range(sheet, item.slug)}
        raise ReadingRefused({"value": Said("sheet.not_possible", {**about, **given})})


@transaction.atomic
def record_entry(
    job: JobCard, sheet: str, item: str, place: int, value: float | None, choice: str, by: Person,
    entry_id: uuid.UUID | None = None, taken_at: datetime | None = None, device_at: datetime | None = None,
) -> SheetEntry:  # fmt: skip
    """Store one finding. Neither value nor choice takes the item back; the older rows stay."""
    found = _item(sheet, item, place)
    _check(sheet, found, value, choice)
    if job.stage == "called_off":
        raise ReadingRefused({"": Said("refused.called_off")})
    now = timezone.now()
    content = {"job": job, "sheet": sheet, "item": item, "place": place, "value": value, "choice": choice}
    entry, is_new = SheetEntry.objects.get_or_create(
        pk=entry_id or uuid.uuid4(),
        defaults={**content, "by": by, "taken_at": taken_at or now, "device_at": device_at, "received_at": now},
    )
    if not is_new:
        if any(getattr(entry, name) != wanted for name, wanted in content.items()):
            raise Conflict({"": Said("refused.stored_otherwise")})
        return entry
    values: dict[str, object] = {
        "sheet": word("guided_sheet", sheet),
        "item": item_name(sheet, item, place, small=True),
    }
    if value is not None:
        values["what"] = item_figure(sheet, item, value)
    else:
        values["what"] = word("sheet_choice", choice) if choice else Said("sheet.taken_back")
    record_event(job, "sheet", Said("sheet.found", values), by, entry.taken_at)
    return entry


@transaction.atomic
def record_sheet_photo(
    job: JobCard,
    sheet: str,
    image: "File[bytes]",
    by: Person,
    photo_id: uuid.UUID,
    device_at: datetime | None = None,
    at: datetime | None = None,
) -> JobPhoto:
    """Keep a photo with the job and say which sheet it belongs to. Sending it again changes nothing."""
    if sheet not in SHEET:
        raise ReadingRefused({"sheet": Said("sheet.no_such_sheet", {"name": sheet, "allowed": list(SHEET)})})
    sha256 = hashlib.sha256(image.read()).hexdigest()
    image.seek(0)
    known = SheetPhoto.objects.select_related("photo").filter(pk=photo_id).first()
    if known:
        if (known.photo.job_id, known.sheet, known.sha256) != (job.pk, sheet, sha256):
            raise Conflict({"": Said("sheet.another_photo")})
        return known.photo
    photo = add_photo(job, image, "", by, at, word("guided_sheet", sheet))
    SheetPhoto.objects.create(id=photo_id, photo=photo, sheet=sheet, sha256=sha256, device_at=device_at)
    return photo
