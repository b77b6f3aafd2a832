from collections.abc import Iterable
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from shop.access.models import Person
from shop.jobs.events import record_event
from shop.jobs.models import JobCard
from shop.safety.models import SafetySignOff
from shop.safety.notes import CHECK, sign_off_round
from sizing.said import Said
from sizing.ways import word


@transaction.atomic
def sign_off(job: JobCard, check_slug: str, by: Person, at: datetime | None = None, note: str = "") -> SafetySignOff:
    """Sign one safety check of the present fitment. Signing twice keeps the first signature."""
    check = CHECK[check_slug]
    at = at or timezone.now()
    signature, is_new = SafetySignOff.objects.get_or_create(
        job=job, round=sign_off_round(job), check_slug=check_slug, defaults={"by": by, "at": at, "note": note}
    )
    if is_new:
        signed = {"check": word("safety_check", check.slug)}
        said = Said("safety.signed_with_note", {**signed, "note": note}) if note else Said("safety.signed", signed)
        record_event(job, "safety", said, by, at)
    return signature


@transaction.atomic
def sign_off_many(job: JobCard, check_slugs: Iterable[str], by: Person, at: datetime | None = None) -> None:
    """Sign several checks of the present fitment in one go; those that are signed already stay as they are."""
    at, current = at or timezone.now(), sign_off_round(job)
    signed = set(job.sign_offs.filter(round=current).values_list("check_slug", flat=True))
    checks = [CHECK[slug] for slug in check_slugs if slug not in signed]
    SafetySignOff.objects.bulk_create(
        SafetySignOff(job=job, round=current, check_slug=check.slug, by=by, at=at) for check in checks
    )
    for check in checks:
        record_event(job, "safety", Said("safety.signed", {"check": word("safety_check", check.slug)}), by, at)
