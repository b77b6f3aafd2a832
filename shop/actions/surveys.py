from datetime import datetime

from django.db import transaction
from django.utils import timezone

from shop.models import JobCard, Person, Survey

from .events import record_event


@transaction.atomic
def record_survey(job: JobCard, by: Person, at: datetime | None = None, **fields) -> Survey:
    """Store a survey sheet. A second sheet does not replace the first: both stay, the newer one counts."""
    survey = Survey(job=job, by=by, at=at or timezone.now(), **fields)
    survey.full_clean(exclude=["job", "by"])
    survey.save()
    why = f": {survey.repairs}" if survey.repairs else ""
    record_event(job, "survey", f"survey says {survey.get_verdict_display()}{why}", by, survey.at)
    return survey
