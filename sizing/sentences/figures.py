"""What is said of figures that were typed, by code."""

from django.utils.translation import gettext_lazy as _

from sizing.said import add_sentences

add_sentences(
    {
        "figure.span": _("%(low)s to %(high)s"),
        "figure.of": "%(quantity)s: %(what)s",
        "figure.no_number": _("'%(text)s' is not a number. Type digits with one comma or point, such as 1.4 or 1,4."),
        "figure.too_large": _("'%(text)s' is too large to be a reading."),
        "figure.not_possible": _("%(quantity)s: %(value)s is not physically possible. Allowed: %(allowed)s."),
        "figure.not_possible_because": _(
            "%(quantity)s: %(value)s is not physically possible. Allowed: %(allowed)s (%(why)s)."
        ),
    }
)
