"""Figures in templates: the number in the shop's unit, the unit beside it, gauge or absolute said.

{{ value|number:"boost_kpa" }} 140    {{ "boost_kpa"|unit }} kPa gauge    {{ value|figure:"boost_kpa" }} both, as HTML
"""

from django import template
from django.utils.html import format_html
from django.utils.translation import gettext as _

from sizing.physics.limits.values import NEAR, OFF, ON, STOP
from sizing.units import figures
from sizing.units.quantities import QUANTITIES
from sizing.ways import word_of

register = template.Library()


for name in ("number", "difference", "unit", "bare_unit", "spread"):
    register.filter(name, getattr(figures, name))


@register.filter
def quantity_label(slug: str) -> str:
    return QUANTITIES[slug].label


@register.filter("figure")
def figure_html(value, slug: str):
    if value is None or value == "":
        return format_html('<span class="figure unknown">{}</span>', figures.NOT_KNOWN)
    return format_html(
        '<span class="figure">{}<small class="unit"> {}</small></span>', figures.number(value, slug), figures.unit(slug)
    )


# A verdict is a word with a shape, so that it can be read without colour.
SHAPES = {
    ON: ("on", "M8 1a7 7 0 1 0 0 14A7 7 0 0 0 8 1z"),
    NEAR: ("near", "M8 1l7.5 14H.5z"),
    OFF: ("off", "M1.5 1.5h13v13h-13z"),
    STOP: ("stop", "M5 .5h6L15.5 5v6L11 15.5H5L.5 11V5z"),
}


@register.simple_tag
def verdict(code: str):
    if code not in SHAPES:
        return format_html('<span class="verdict none">{}</span>', code or _("no verdict yet"))
    kind, path = SHAPES[code]
    return format_html(
        '<span class="verdict {}"><svg viewBox="0 0 16 16" aria-hidden="true" focusable="false"><path d="{}"/></svg>{}</span>',
        kind,
        path,
        word_of("verdict", code),
    )


@register.filter
def verdict_word(code: str) -> str:
    """Inside a sentence, where no shape stands."""
    return word_of("verdict", code)
