from datetime import datetime

from django.utils import timezone

from shop.access.models import Person
from shop.jobs.models import JobCard, JobEvent


def record_event(job: JobCard, kind: str, text: str, by: Person, at: datetime | None = None, **fields: str) -> JobEvent:
    """Write one row of the job's history. Call it inside the transaction of the change that it tells of."""
    return JobEvent.objects.create(job=job, kind=kind, text=text, by=by, at=at or timezone.now(), **fields)
