"""Which units the workshop reads. Set once a request, so that templates and forms of every floor agree."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

DEFAULT_CHOICES = {"pressure": "kPa", "temperature": "°C", "power": "kW", "torque": "Nm"}
_choices: ContextVar[dict[str, str]] = ContextVar("unit_choices", default=DEFAULT_CHOICES)


def unit_choices() -> dict[str, str]:
    return _choices.get()


@contextmanager
def shown_in(choices: dict[str, str]) -> Iterator[None]:
    token = _choices.set({**DEFAULT_CHOICES, **choices})
    try:
        yield
    finally:
        _choices.reset(token)
