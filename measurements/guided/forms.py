"""The form of a guided sheet: one field for each item and place. Empty fields say nothing."""

import uuid
from itertools import groupby

from django import forms
from django.core.exceptions import ValidationError

from measurements.guided.sheets import GuidedSheet, SheetItem, repeats
from sizing.units.figures import (
    bare_unit,
    figure,
    line_to_shown,
    number,
    read_number,
    shown_decimals,
    span,
    to_stored,
    unit,
)


class ItemField(forms.Field):
    """A number of the sheet, typed in the shop's unit and returned in the stored one."""

    def __init__(self, item: SheetItem, label: str):
        self.item = item
        widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        super().__init__(required=False, label=label, widget=widget)

    @property
    def unit(self) -> str:
        return unit(self.item.quantity)

    def to_python(self, value):
        if value in self.empty_values:
            return None
        try:
            found = float(to_stored(read_number(value), self.item.quantity))
        except ValueError as error:
            raise ValidationError(f"{self.label}: {error}") from error
        if not self.item.low <= found <= self.item.high:
            raise ValidationError(
                f"{self.label}: {str(value).strip()} is not possible. Allowed: {span(self.item.low, self.item.high, self.item.quantity)}."
            )
        return found


def name_of(item: SheetItem, place: int) -> str:
    return f"{item.slug}-{place}"


def item_label(item: SheetItem, place: int) -> str:
    return f"{item.label}, {item.repeat} {place}" if place else item.label


class GuidedForm(forms.Form):
    def __init__(self, *args, sheet: GuidedSheet, cylinders: int, current: dict, **kwargs):
        super().__init__(*args, **kwargs)
        self.rows, self.current = [], current
        for item in sheet.asked:
            filled = max((place for slug, place in current if slug == item.slug), default=0)
            for place in repeats(item, cylinders, filled):
                self._add(item, place)
        self.fields["batch_id"] = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)

    def _add(self, item: SheetItem, place: int):
        name, label = name_of(item, place), item_label(item, place)
        if item.choices:
            self.fields[name] = forms.ChoiceField(
                choices=item.choices, required=False, label=label, widget=forms.RadioSelect
            )
        else:
            self.fields[name] = ItemField(item, label)
        self.rows.append((name, item, place))

    def items(self):
        """Each field with what stands there already."""
        for name, item, place in self.rows:
            entry = self.current.get((item.slug, place))
            yield {"field": self[name], "item": item, "place": place, "now": shown_entry(item, entry) if entry else ""}

    def groups(self):
        """The fields in their order; the places of one measured item stand together under one heading."""
        for item, rows in groupby(self.items(), key=lambda row: row["item"]):
            if item.repeat and not item.choices:
                yield {"item": item, "together": list(rows)}
            else:
                yield from rows

    def found(self):
        """What was typed: item, place, value, choice."""
        for name, item, place in self.rows:
            value = self.cleaned_data.get(name)
            if value not in (None, ""):
                yield item, place, (None if item.choices else value), (value if item.choices else "")


def unusual(item: SheetItem, value: float) -> str:
    """A sentence when the value is outside what is usual; it is stored all the same."""
    if item.usual is None or item.usual[0] <= value <= item.usual[1]:
        return ""
    return f"{'below' if value < item.usual[0] else 'above'} the usual {span(*item.usual, item.quantity)}"


def shown_entry(item: SheetItem, entry) -> str:
    if entry.value is None:
        return dict(item.choices).get(entry.choice, "")
    more = unusual(item, entry.value)
    return figure(entry.value, item.quantity) + (f", {more}" if more else "")


def item_rows(form: GuidedForm) -> dict[str, dict]:
    """What the phone needs to read and store each field by itself."""
    rows = {}
    for name, item, place in form.rows:
        q = item.quantity
        rows[name] = {
            "item": item.slug, "place": place, "label": item_label(item, place), "unit": unit(item.quantity), "bare_unit": bare_unit(q),
            "low": item.low, "high": item.high, "why": "", "decimals": shown_decimals(q), **line_to_shown(q),
            "usual": [number(x, item.quantity) for x in item.usual] if item.usual else None, "usual_stored": item.usual,
            "choices": dict(item.choices),
        }  # fmt: skip
    return rows
