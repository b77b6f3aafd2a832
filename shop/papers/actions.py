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
from sizing.said import Refused, Said
from sizing.ways import word

Line = tuple[str, str, Decimal, Decimal]  # kind, text, quantity, unit price


class QuoteRefused(Refused):
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
        raise QuoteRefused("quote.no_line")
    at = at or timezone.now()
    job.quotes.filter(state__in=["draft", "given"]).update(state="replaced")
    quote = Quote.objects.create(
        job=job, number=job.quotes.count() + 1, valid_until=valid_until, terms=terms, made_by=by, made_at=at
    )
    QuoteLine.objects.bulk_create(
        QuoteLine(quote=quote, kind=kind, text=text, quantity=quantity, unit_price=price)
        for kind, text, quantity, price in lines
    )
    said = Said("quote.written", {"number": quote.number, "total": str(quote.total)})
    record_event(job, "quote", said, by, at)
    return quote


def _in_state(quote: Quote, *states: str) -> Quote:
    quote = Quote.objects.select_for_update().get(pk=quote.pk)
    if quote.state not in states:
        allowed = [word("quote_state", state) for state in states]
        raise QuoteRefused(
            "quote.not_now", number=quote.number, state=word("quote_state", quote.state), allowed=allowed
        )
    return quote


@transaction.atomic
def give_quote(quote: Quote, by: Person, at: datetime | None = None) -> Quote:
    quote = _in_state(quote, "draft")
    quote.state = "given"
    quote.save(update_fields=["state"])
    record_event(quote.job, "quote", Said("quote.given", {"number": quote.number}), by, at)
    return quote


@transaction.atomic
def answer_quote(quote: Quote, agreed: bool, answered_by: str, by: Person, at: datetime | None = None) -> Quote:
    if not answered_by.strip():
        raise QuoteRefused("quote.say_who")
    quote = _in_state(quote, "given")
    quote.state = "agreed" if agreed else "declined"
    quote.answered_by, quote.answered_at = answered_by.strip(), at or timezone.now()
    quote.save(update_fields=["state", "answered_by", "answered_at"])
    said = Said(f"quote.{quote.state}", {"number": quote.number, "by": quote.answered_by})
    record_event(quote.job, "quote", said, by, quote.answered_at)
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
    record_event(job, "hand_over", Said("job.handed_over", {"received_by": received_by}), by, row.at)
    return row
