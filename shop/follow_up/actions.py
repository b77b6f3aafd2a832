from datetime import date, datetime

from django.db import transaction
from django.utils import timezone

from shop.access.models import Person
from shop.follow_up.models import Failure, FollowUp
from shop.jobs.events import record_event
from shop.jobs.models import JobCard


def _meter(job: JobCard, meter_reading: float | None) -> str:
    return "" if meter_reading is None else f" at {meter_reading:g} {job.vehicle.meter_unit}".rstrip()


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
    record_event(job, "follow_up", f"{row.get_way_display()}{_meter(job, meter_reading)}: {text}", by, row.at)
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
    told = f"failed: {row.get_part_display()}{_meter(job, meter_reading)}; cause: {cause or 'not known'}; said by {said_by}"
    record_event(job, "failure", told, by, row.at)
    return row
