"""How values of a sentence are written: figures in the workshop's units, names of quantities, words of a table, days."""

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from django.utils import formats, timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from sizing.physics.limits.values import NEAR, OFF, ON, STOP
from sizing.said import add_ways
from sizing.units import figures
from sizing.units.quantities import QUANTITIES

_WORDS: dict[str, dict[str, Any]] = {}


def add_words(**tables: Iterable[tuple[str, Any]]) -> None:
    """Tables of words by code, such as the choices of a model's field."""
    for name, rows in tables.items():
        if _WORDS.setdefault(name, dict(rows)) != dict(rows):
            raise ValueError(f"the table of words {name!r} is there already")


def word(of: str, value: str) -> dict[str, Any]:
    """A value that is a code of a table of words."""
    return {"way": "word", "of": of, "value": value}


def figure_of(of: str, value: float) -> dict[str, Any]:
    """A value in the stored unit of a quantity, written in the unit that the workshop reads."""
    return {"way": "figure", "of": of, "value": float(value)}


def bare_figure(of: str, value: float) -> dict[str, Any]:
    return {"way": "bare_figure", "of": of, "value": float(value)}


def gap_of(of: str, value: float) -> dict[str, Any]:
    """A difference without its sign."""
    return {"way": "gap", "of": of, "value": float(value)}


def span_of(of: str, low: float, high: float) -> dict[str, Any]:
    return {"way": "span", "of": of, "low": float(low), "high": float(high)}


def quantity(of: str, small: bool = False) -> dict[str, Any]:
    """The name of a quantity; small inside a sentence."""
    return {"way": "quantity", "of": of, "small": small}


def day(value: date | datetime) -> dict[str, Any]:
    return {"way": "day", "value": value.isoformat()}


def moment(value: datetime) -> dict[str, Any]:
    return {"way": "moment", "value": value.isoformat()}


def word_of(of: str, value: str) -> str:
    """A code that a table holds no longer is shown as it is kept."""
    return gettext(str(_WORDS[of][value])) if value in _WORDS.get(of, {}) else value


def _figure(of: str, value: float) -> str:
    return figures.figure(value, of)


def small_label(label: str) -> str:
    return gettext(label).lower()


def _quantity(of: str, small: bool = False) -> str:
    label = QUANTITIES[of].label if of in QUANTITIES else of
    return small_label(label) if small else gettext(label)


def _local(value: str) -> date:
    moment = datetime.fromisoformat(value)
    return timezone.localtime(moment) if moment.tzinfo else moment


add_ways(
    word=word_of,
    figure=_figure,
    bare_figure=lambda of, value: figures.number(value, of),
    gap=lambda of, value: figures.gap(value, of),
    span=lambda of, low, high: figures.span(low, high, of),
    unit=lambda of: figures.unit(of),
    quantity=_quantity,
    day=lambda value: formats.date_format(_local(value), "d M Y"),
    moment=lambda value: formats.date_format(_local(value), "d M Y, H:i"),
)
add_words(verdict=[(ON, _("on plan")), (NEAR, _("near the edge")), (OFF, _("off plan")), (STOP, _("stop"))])
