"""Boost read at several engine speeds, row by row."""

from django import forms
from django.core.exceptions import ValidationError

from sizing.units.fields import QuantityField

ROWS = 6


class BoostReadingsForm(forms.Form):
    def __init__(self, data=None):
        super().__init__(data)
        for row in range(1, ROWS + 1):
            self.fields[f"speed_{row}"] = QuantityField("speed_rpm", label=f"Engine speed {row}", required=False)
            self.fields[f"boost_{row}"] = QuantityField("boost_kpa", label=f"Boost {row}", required=False)

    @property
    def rows(self):
        return [(self[f"speed_{row}"], self[f"boost_{row}"]) for row in range(1, ROWS + 1)]

    def clean(self):
        given = self.cleaned_data
        self.readings = []
        for row in range(1, ROWS + 1):
            names = (f"speed_{row}", f"boost_{row}")
            if any(name in self.errors for name in names):
                continue
            speed, boost = (given.get(name) for name in names)
            if speed is not None and boost is not None:
                self.readings.append((speed, boost))
            elif speed is not None or boost is not None:
                empty = names[1] if boost is None else names[0]
                self.add_error(
                    empty, f"{self.fields[empty].label}: empty beside its pair. Type both, or leave both empty."
                )
        if len({speed for speed, _ in self.readings}) < len(self.readings):
            raise ValidationError("Two rows have the same engine speed. Keep the better reading of the two.")
        if not self.errors and len(self.readings) < 2:
            raise ValidationError("Boost at two speeds or more is needed, both under full load.")
        return given
