"""When something was really read, from a clock that may be wrong. Pure."""

from datetime import datetime, timedelta

OLDEST = timedelta(days=366)


def when_taken(made_at: datetime | None, sent_at: datetime | None, now: datetime) -> datetime:
    """The server's time at which the sender wrote it down.

    Both times come from the sender's clock, so their difference is right even when the clock is not. A clock that was
    set between the two gives nonsense; then the moment of arrival counts.

    >>> from datetime import UTC
    >>> now = datetime(2026, 3, 2, 12, tzinfo=UTC)
    >>> wrong = datetime(1970, 1, 1, 12, tzinfo=UTC)
    >>> when_taken(wrong - timedelta(minutes=10), wrong, now).isoformat()
    '2026-03-02T11:50:00+00:00'
    """
    if made_at is None:
        return now
    age = (sent_at or now) - made_at
    return now - age if timedelta(0) <= age <= OLDEST else now
