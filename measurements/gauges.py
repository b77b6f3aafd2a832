"""What has to be said of the gauge beside a figure: past its check day, or beyond its range. Pure but for the row."""

from datetime import date

from measurements.models import Instrument


def overdue_note(instrument: Instrument) -> str:
    return f"{instrument} was past its check day ({instrument.check_due_on:%d %b %Y})." if instrument.check_due_on else ""


def range_note(instrument: Instrument) -> str:
    return f"Beyond the range of {instrument}: the figure cannot be trusted."


def gauge_notes(instrument: Instrument | None, value: float, on: date) -> list[str]:
    """Sentences that stand behind a verdict; none for a gauge in order or one that nobody named."""
    if instrument is None:
        return []
    notes = []
    if instrument.is_overdue(on):
        notes.append(overdue_note(instrument))
    if not instrument.covers(value):
        notes.append(range_note(instrument))
    return notes
