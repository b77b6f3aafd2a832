from datetime import date, datetime

from django.db import transaction
from django.utils import timezone

from shop.models import HandOver, JobCard, Person

from .events import record_event


@transaction.atomic
def record_hand_over(
    job: JobCard,
    on: date,
    received_by: str,
    by: Person,
    meter_reading: float | None = None,
    note: str = "",
    at: datetime | None = None,
) -> HandOver:
    """Write down who took the vehicle. Whether the job may be handed over is asked by the move that goes with it."""
    row = HandOver.objects.create(
        job=job, on=on, received_by=received_by, meter_reading=meter_reading, note=note, by=by, at=at or timezone.now()
    )
    record_event(job, "hand_over", f"handed over to {received_by}", by, row.at)
    return row
