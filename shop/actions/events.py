from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from shop.models import JobCard, JobEvent, Person

_gathered: ContextVar[list[JobEvent] | None] = ContextVar("gathered_events", default=None)


@contextmanager
def gathered_events() -> Iterator[None]:
    """Write the events of many changes together at the end, all in one transaction: for filling a database."""
    rows: list[JobEvent] = []
    token = _gathered.set(rows)
    try:
        with transaction.atomic():
            yield
            JobEvent.objects.bulk_create(rows, batch_size=1000)
    finally:
        _gathered.reset(token)


def record_event(
    job: JobCard, kind: str, text: str, by: Person, at: datetime | None = None, **fields: str
) -> JobEvent:
    """Write one row of the job's history. Call it inside the transaction of the change that it tells of."""
    event = JobEvent(job=job, kind=kind, text=text, by=by, at=at or timezone.now(), **fields)
    gathered = _gathered.get()
    if gathered is None:
        event.save(force_insert=True)
    else:
        gathered.append(event)
    return event
