from django import forms
from django.core.exceptions import ValidationError

from measurements.readings.instruments import Instrument
from sizing.units.fields import NumberField
from sizing.units.figures import difference_to_shown, difference_to_stored, number, to_shown, to_stored
from sizing.units.figures import unit as unit_of
from sizing.units.quantities import QUANTITIES

MEASURED = [slug for slug in QUANTITIES if slug not in ("speed_rpm", "load_pct", "delivery_mm3")]

READ_WITH = "the dyno or its load cell, at its arm; its plus or minus counts where the other is empty"


def read_with(*quantities: str, help_text: str = READ_WITH) -> forms.ModelChoiceField:
    """The workshop's instruments of these quantities that are in use; may stay empty."""
    known = Instrument.objects.in_use().filter(quantity__in=quantities)
    return forms.ModelChoiceField(known, required=False, label="Read with", empty_label="not said", help_text=help_text)


def _choices():
    return [(slug, f"{QUANTITIES[slug].label}, {unit_of(slug)}".rstrip(", ")) for slug in MEASURED]


class InstrumentForm(forms.Form):
    """Range and uncertainty are typed in the shop's unit of the quantity and stored in its stored one."""

    name = forms.CharField(max_length=80, help_text="as it is marked in the workshop, such as 'boost gauge 2'")
    quantity = forms.ChoiceField(label="What it measures, and in what unit")
    low = NumberField(low=-1e6, high=1e6, required=False, label="Lowest it reads")
    high = NumberField(low=-1e6, high=1e6, required=False, label="Highest it reads")
    uncertainty = NumberField(
        low=0, high=1e6, label="Plus or minus", help_text="from its plate or its last check, in the same unit"
    )
    check_due_on = forms.DateField(
        required=False, label="Next check due", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    retired = forms.BooleanField(required=False, help_text="kept for old readings, not offered for new ones")

    def __init__(self, *args, instrument: Instrument | None = None, **kwargs):
        self.instrument = instrument
        super().__init__(*args, **kwargs)
        self.fields["quantity"].choices = _choices()
        if instrument:
            self._fill(instrument)
            self.fields["quantity"].disabled = True  # old readings hang on it

    def _fill(self, instrument):
        quantity = QUANTITIES[instrument.quantity]
        shown = {n: getattr(instrument, n) for n in ("name", "quantity", "check_due_on", "retired")}
        for name in ("low", "high"):
            value = getattr(instrument, name)
            shown[name] = None if value is None else round(float(to_shown(value, quantity)), 6)
        shown["uncertainty"] = round(float(difference_to_shown(instrument.uncertainty, quantity)), 6)
        for name, value in shown.items():
            self.initial.setdefault(name, value)

    def clean_name(self):
        name = self.cleaned_data["name"].strip()
        others = Instrument.objects.exclude(pk=self.instrument.pk) if self.instrument else Instrument.objects
        if others.filter(name__iexact=name).exists():
            raise ValidationError(f"There is an instrument named '{name}' already.")
        return name

    def clean(self):
        data = super().clean()
        if "quantity" not in data:
            return data
        quantity = QUANTITIES[data["quantity"]]
        for name in ("low", "high"):
            if data.get(name) is not None:
                data[name] = float(to_stored(data[name], quantity))
        low, high = data.get("low"), data.get("high")
        if low is not None and high is not None and low >= high:
            self.add_error("high", "Highest it reads: this is not above the lowest.")
        if data.get("uncertainty") is not None:
            data["uncertainty"] = float(difference_to_stored(data["uncertainty"], quantity))
            width = quantity.high - quantity.low
            if data["uncertainty"] > width:
                self.add_error(
                    "uncertainty",
                    f"Plus or minus: more than everything that is possible ({number(width, quantity.slug)}).",
                )
        return data

    def save(self) -> Instrument:
        row = self.instrument or Instrument()
        for name in ("name", "quantity", "low", "high", "uncertainty", "check_due_on", "retired"):
            setattr(row, name, self.cleaned_data[name])
        row.save()
        return row
