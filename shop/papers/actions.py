"""Quotes made, given and answered; a vehicle handed over."""

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from shop.access.models import Person
from shop.jobs.events import record_event
from shop.jobs.models import JobCard
from shop.papers.models import HandOver, Quote, QuoteLine

Line = tuple[str, str, Decimal, Decimal]  # kind, text, quantity, unit price


class QuoteRefused(ValueError):
    pass


@transaction.atomic
def make_quote(
    job: JobCard,
    lines: Sequence[Line],
    by: Person,
    at: datetime | None = None,
    valid_until: date | None = None,
    terms: str = "",
) -> Quote:
    """Write a new quote. Earlier ones that nobody has agreed are marked as replaced, never deleted."""
    if not lines:
        raise QuoteRefused("A quote needs at least one line.")
    at = at or timezone.now()
    job.quotes.filter(state__in=["draft", "given"]).update(state="replaced")
    quote = Quote.objects.create(
        job=job, number=job.quotes.count() + 1, valid_until=valid_until, terms=terms, made_by=by, made_at=at
    )
    QuoteLine.objects.bulk_create(
        QuoteLine(quote=quote, kind=kind, text=text, quantity=quantity, unit_price=price)
        for kind, text, quantity, price in lines
    )
    record_event(job, "quote", f"quote {quote.number} written: {quote.total}", by, at)
    return quote


def _in_state(quote: Quote, *states: str) -> Quote:
    quote = Quote.objects.select_for_update().get(pk=quote.pk)
    if quote.state not in states:
        raise QuoteRefused(
            f"Quote {quote.number} is {quote.get_state_display()}; this can be done only while it is {' or '.join(states)}."
        )
    return quote


@transaction.atomic
def give_quote(quote: Quote, by: Person, at: datetime | None = None) -> Quote:
    quote = _in_state(quote, "draft")
    quote.state = "given"
    quote.save(update_fields=["state"])
    record_event(quote.job, "quote", f"quote {quote.number} given to the customer", by, at)
    return quote


@transaction.atomic
def answer_quote(quote: Quote, agreed: bool, answered_by: str, by: Person, at: datetime | None = None) -> Quote:
    if not answered_by.strip():
        raise QuoteRefused("Say who agreed or declined for the customer.")
    quote = _in_state(quote, "given")
    quote.state = "agreed" if agreed else "declined"
    quote.answered_by, quote.answered_at = answered_by.strip(), at or timezone.now()
    quote.save(update_fields=["state", "answered_by", "answered_at"])
    record_event(
        quote.job, "quote", f"quote {quote.number} {quote.state} by {quote.answered_by}", by, quote.answered_at
    )
    return quote


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
