"""Figures as people type and read them: the one place where a number is read, rounded, converted and written.

Every function takes what a figure is of: a quantity by its slug or itself (`"boost_kpa"`), or a bare stored unit
(`"kPa"`). The phone's script keeps to the same table of cases.
"""

import math
import re
from decimal import Decimal
from functools import cache
from typing import SupportsFloat

from sizing.said import Refused, say
from sizing.units.conversion import Number, convert, convert_difference
from sizing.units.display import unit_choices
from sizing.units.quantities import CHOICE_OF_UNIT, EXTRA_DECIMALS, QUANTITIES, UNIT_DECIMALS, Quantity

NOT_KNOWN = "not known"
_FIGURE = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)(e[+-]?[0-9]+)?", re.IGNORECASE)
_SHAPE = re.compile(r"^[+-]?(\d+([.,]\d*)?|[.,]\d+)$")


@cache
def _of_unit(unit: str) -> Quantity:
    decimals, choice = UNIT_DECIMALS.get(unit, 0), CHOICE_OF_UNIT.get(unit, "")
    return Quantity("", "", unit, -math.inf, math.inf, decimals, choice)


def quantity_of(what: str | Quantity) -> Quantity:
    """The quantity behind a slug, or a nameless one behind a unit."""
    if isinstance(what, Quantity):
        return what
    return QUANTITIES.get(what) or _of_unit(what)


# --- units and conversion


def _unit(quantity: Quantity) -> str:
    return unit_choices().get(quantity.choice, quantity.unit)


def bare_unit(what: str | Quantity) -> str:
    """The unit that the workshop reads; nothing where the figure is a ratio."""
    text = _unit(quantity_of(what))
    return "" if text == "ratio" else text


def unit(what: str | Quantity) -> str:
    """The unit with gauge or absolute said.

    >>> unit("boost_kpa"), unit("lambda_ratio")
    ('kPa gauge', '')
    """
    return f"{bare_unit(what)} {quantity_of(what).word}".strip()


def to_shown(value: Number, what: str | Quantity) -> Number:
    """A number or an array in the workshop's unit."""
    quantity = quantity_of(what)
    return convert(value, quantity.unit, _unit(quantity)) if quantity.choice else value


def to_stored(value: Number, what: str | Quantity) -> Number:
    quantity = quantity_of(what)
    return convert(value, _unit(quantity), quantity.unit) if quantity.choice else value


def difference_to_shown(value: Number, what: str | Quantity) -> Number:
    """A difference or an uncertainty: the zero of the scale does not count."""
    quantity = quantity_of(what)
    return convert_difference(value, quantity.unit, _unit(quantity)) if quantity.choice else value


def difference_to_stored(value: Number, what: str | Quantity) -> Number:
    quantity = quantity_of(what)
    return convert_difference(value, _unit(quantity), quantity.unit) if quantity.choice else value


def line_to_shown(what: str | Quantity) -> dict[str, float]:
    """Factor and offset from the stored to the shown unit, as a script without our table of units needs them."""
    zero, one = (float(to_shown(x, what)) for x in (0.0, 1.0))
    return {"factor": one - zero, "offset": zero}


def shown_decimals(what: str | Quantity, value: float = math.inf) -> int:
    quantity = quantity_of(what)
    shown = _unit(quantity)
    if not quantity.slug and shown == "kPa" and abs(value) < 10:
        return 1  # the loss of an air cleaner, or what is left to a limit
    return quantity.decimals + (EXTRA_DECIMALS.get(shown, 0) if shown != quantity.unit else 0)


# --- writing


def plain(value: float, decimals: int) -> str:
    """Thousands parted, a true minus, and no minus before a zero.

    >>> plain(-1234.5, 1), plain(-0.2, 0)
    ('−1,234.5', '0')
    """
    text = f"{value:,.{decimals}f}"
    return text.lstrip("-") if float(text.replace(",", "")) == 0 else text.replace("-", "−")


def number(value: SupportsFloat | str | None, what: str | Quantity) -> str:
    if value is None or value == "":
        return NOT_KNOWN
    shown = float(to_shown(float(value), what))
    return plain(shown, shown_decimals(what, shown))


def figure(value: SupportsFloat | str | None, what: str | Quantity) -> str:
    """The number with its unit, as words in a sentence.

    >>> figure(115.04, "kPa"), figure(1.234, ""), figure(2100.0, "rpm"), figure(115.04, "boost_kpa")
    ('115 kPa', '1.23', '2,100 rpm', '115 kPa gauge')
    """
    return f"{number(value, what)} {unit(what)}".strip()


def spread(pair: tuple[float | None, float | None], what: str | Quantity) -> str:
    """A fact that may be a range: '5.5 to 6.0'."""
    low, high = pair
    if low is None or high is None or low == high:
        return number(low if low is not None else high, what)
    return say("figure.span", {"low": number(low, what), "high": number(high, what)})


def span(low: float, high: float, what: str | Quantity) -> str:
    """From low to high with the unit; one figure where both read the same."""
    ends = {"low": number(low, what), "high": number(high, what)}
    return f"{ends['low'] if ends['low'] == ends['high'] else say('figure.span', ends)} {unit(what)}".strip()


def gap(value: float, what: str | Quantity) -> str:
    """A difference without its sign, with its unit; which way it goes is said in words beside it."""
    shown = float(difference_to_shown(abs(value), what))
    return f"{plain(shown, shown_decimals(what, shown))} {bare_unit(what)}".strip()


def difference(value: SupportsFloat | str | None, what: str | Quantity) -> str:
    """With its sign, since a difference without one says nothing."""
    if value is None or value == "":
        return NOT_KNOWN
    text = plain(float(difference_to_shown(float(value), what)), shown_decimals(what))
    return text if text.startswith("−") or not text.strip("0.,") else f"+{text}"


# --- typing


def read_number(text: str) -> float:
    """Turn typed text into a float.

    Comma and point both stand for the decimal mark, so '1.234,5' is refused rather than guessed.

    >>> read_number("1,4")
    1.4
    >>> read_number("− 3")
    -3.0
    """
    cleaned = re.sub(r"[\s\u00a0\u202f']", "", str(text)).replace("−", "-")
    if not _SHAPE.match(cleaned):
        raise Refused("figure.no_number", text=text)
    value = float(cleaned.replace(",", "."))
    if not math.isfinite(value):
        raise Refused("figure.too_large", text=text)
    return value


def read_figure(text: str, decimal: str) -> float:
    """A cell of a table whose decimal mark is known. Python's own words for no figure, and its 1_00, are none here.

    >>> read_figure("118,5", ","), read_figure("1.2e3", ".")
    (118.5, 1200.0)
    """
    cleaned = text.strip().replace(",", ".") if decimal == "," else text.strip()
    value = float(cleaned) if _FIGURE.fullmatch(cleaned) else math.inf
    if not math.isfinite(value):
        raise ValueError(f"'{text[:40]}' is not a figure.")
    return value


def tidy(value: float) -> str:
    return f"{value:.4f}".rstrip("0").rstrip(".") if abs(value) < 1e6 else f"{value:g}"


def as_typed(value: float) -> str:
    """Every digit that was stored, without an exponent, so that saving a form again changes nothing.

    >>> as_typed(0.002513), as_typed(1200000.0)
    ('0.002513', '1200000')
    """
    return format(Decimal(f"{value:.12g}"), "f")
