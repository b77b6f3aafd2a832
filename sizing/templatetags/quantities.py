"""Figures in templates: the number in the shop's unit, the unit beside it, gauge or absolute said.

{{ value|number:"boost_kpa" }} 140    {{ "boost_kpa"|unit }} kPa gauge    {{ value|figure:"boost_kpa" }} both, as HTML
"""

from django import template
from django.utils.html import format_html

from sizing.units.display import unit_choices
from sizing.units.quantities import QUANTITIES, difference_to_shown, shown_decimals, shown_unit, to_shown

register = template.Library()


def plain(value, decimals: int) -> str:
    text = f"{value:,.{decimals}f}"
    return text.lstrip("-") if float(text.replace(",", "")) == 0 else text.replace("-", "−")


@register.filter
def number(value, slug: str) -> str:
    if value is None or value == "":
        return "not known"
    quantity, choices = QUANTITIES[slug], unit_choices()
    return plain(float(to_shown(float(value), quantity, choices)), shown_decimals(quantity, choices))


@register.filter
def difference(value, slug: str) -> str:
    """With its sign, since a difference without one says nothing."""
    if value is None or value == "":
        return "not known"
    quantity, choices = QUANTITIES[slug], unit_choices()
    text = plain(float(difference_to_shown(float(value), quantity, choices)), shown_decimals(quantity, choices))
    return text if text.startswith("−") or not text.strip("0.,") else f"+{text}"


@register.filter
def unit(slug: str) -> str:
    quantity = QUANTITIES[slug]
    text = shown_unit(quantity, unit_choices())
    if text == "ratio":
        text = ""
    return f"{text} {quantity.word}".strip()


@register.filter
def bare_unit(slug: str) -> str:
    text = shown_unit(QUANTITIES[slug], unit_choices())
    return "" if text == "ratio" else text


@register.filter
def quantity_label(slug: str) -> str:
    return QUANTITIES[slug].label


@register.filter
def figure(value, slug: str):
    if value is None or value == "":
        return format_html('<span class="figure unknown">{}</span>', "not known")
    return format_html('<span class="figure">{}<small class="unit"> {}</small></span>', number(value, slug), unit(slug))


@register.filter
def spread(pair, slug: str) -> str:
    """A fact that may be a range: '5.5 to 6.0'."""
    low, high = pair
    if low is None or high is None or low == high:
        return number(low if low is not None else high, slug)
    return f"{number(low, slug)} to {number(high, slug)}"


# A verdict is a word with a shape, so that it can be read without colour.
SHAPES = {
    "on plan": ("on", "M8 1a7 7 0 1 0 0 14A7 7 0 0 0 8 1z"),
    "near the edge": ("near", "M8 1l7.5 14H.5z"),
    "off plan": ("off", "M1.5 1.5h13v13h-13z"),
    "stop": ("stop", "M5 .5h6L15.5 5v6L11 15.5H5L.5 11V5z"),
}


@register.simple_tag
def verdict(word: str):
    if word not in SHAPES:
        return format_html('<span class="verdict none">{}</span>', word or "no verdict yet")
    kind, path = SHAPES[word]
    return format_html(
        '<span class="verdict {}"><svg viewBox="0 0 16 16" aria-hidden="true" focusable="false"><path d="{}"/></svg>{}</span>',
        kind,
        path,
        word,
    )
