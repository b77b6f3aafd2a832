"""Filling an empty database in one transaction: nobody else is at work in it, so rows can be written together."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TypeVar

from django.db import connection, models, transaction

Row = TypeVar("Row", bound=models.Model)
_events: ContextVar[list[models.Model] | None] = ContextVar("events_of_filling", default=None)


@contextmanager
def _all_or_nothing() -> Iterator[None]:
    """Actions inside one another set no save points: whatever fails undoes the whole filling anyway."""
    with transaction.atomic():
        connection.savepoint = lambda: None  # type: ignore[method-assign]  # only while it lasts
        try:
            yield
        finally:
            del connection.savepoint


@contextmanager
def filling() -> Iterator[None]:
    """While it lasts, events are kept back and written at the end, and rows are not read again to lock them."""
    rows: list[models.Model] = []
    token = _events.set(rows)
    try:
        with _all_or_nothing():
            yield
            for model in {type(row) for row in rows}:
                model._default_manager.bulk_create([row for row in rows if type(row) is model], batch_size=1000)
    finally:
        _events.reset(token)


def kept_back() -> list[models.Model] | None:
    """Where an event is put while a database is being filled; None at any other time."""
    return _events.get()


def locked(row: Row) -> Row:
    """The row as it stands now, kept from others until the transaction ends."""
    if _events.get() is not None:
        return row
    return type(row)._default_manager.select_for_update().get(pk=row.pk)
