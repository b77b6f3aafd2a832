from datetime import datetime
from typing import Any

from django.utils import timezone

from shop.access.models import Person
from shop.jobs.models import JobCard, JobEvent
from sizing.said import Said


def record_event(
    job: JobCard, kind: str, said: Said, by: Person, at: datetime | None = None, **fields: Any
) -> JobEvent:
    """Write one row of the job's history. Call it inside the transaction of the change that it tells of."""
    return JobEvent.objects.create(
        job=job, kind=kind, code=said.code, values=said.values, by=by, at=at or timezone.now(), **fields
    )
