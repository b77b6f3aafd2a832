from datetime import date, datetime

from django.db import transaction
from django.utils import timezone

from shop.access.models import Person
from shop.follow_up.models import Failure, FollowUp
from shop.jobs.events import record_event
from shop.jobs.models import JobCard
from sizing.said import Said
from sizing.ways import word


def _said(code: str, job: JobCard, meter_reading: float | None, **values: object) -> Said:
    if meter_reading is None:
        return Said(code, values)
    meter = {"way": "meter", "value": meter_reading, "unit": job.vehicle.meter_unit}
    return Said(f"{code}_at", {**values, "meter": meter})


@transaction.atomic
def record_follow_up(
    job: JobCard,
    on: date,
    way: str,
    text: str,
    by: Person,
    meter_reading: float | None = None,
    at: datetime | None = None,
) -> FollowUp:
    row = FollowUp.objects.create(
        job=job, on=on, way=way, text=text, meter_reading=meter_reading, by=by, at=at or timezone.now()
    )
    said = _said("follow_up.told", job, meter_reading, way=word("follow_up_way", way), text=text)
    record_event(job, "follow_up", said, by, row.at)
    return row


@transaction.atomic
def record_failure(
    job: JobCard,
    on: date,
    part: str,
    said_by: str,
    by: Person,
    meter_reading: float | None = None,
    cause: str = "",
    ends_pairing: bool = True,
    at: datetime | None = None,
) -> Failure:
    row = Failure.objects.create(
        job=job,
        on=on,
        part=part,
        said_by=said_by,
        meter_reading=meter_reading,
        cause=cause,
        ends_pairing=ends_pairing,
        by=by,
        at=at or timezone.now(),
    )
    found = cause or Said("failure.cause_not_known")
    said = _said("failure.told", job, meter_reading, part=word("failed_part", part), cause=found, said_by=said_by)
    record_event(job, "failure", said, by, row.at)
    return row
