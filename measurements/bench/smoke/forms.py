"""Beginning a smoke test, its snaps, and the table of limits."""

import uuid

from django import forms
from django.core.exceptions import ValidationError

from measurements.bench.smoke.models import PROCEDURE_CHOICES, QUANTITIES, SmokeLimit, SmokeTest
from measurements.readings.instruments import Instrument
from measurements.readings.refusal import RefusalMixin
from sizing.units.fields import NumberField, QuantityField, number_field


class StartForm(RefusalMixin, forms.Form):
    test_id = forms.UUIDField(widget=forms.HiddenInput)
    phase = forms.ChoiceField(label="Taken", choices=SmokeTest.PHASES)
    procedure = forms.ChoiceField(label="How it is tested", choices=PROCEDURE_CHOICES)
    oil_temperature_c = QuantityField("oil_temperature_c")
    is_usual_temperature = forms.BooleanField(required=False, label="This is its usual running temperature")
    limit = forms.ModelChoiceField(
        SmokeLimit.objects.in_use(), required=False, empty_label="not chosen: a mean, no verdict", label="Limit class"
    )
    limit_reason = forms.CharField(
        max_length=200,
        required=False,
        label="Why this class",
        help_text="such as: registration paper, first registered 1998",
    )
    read_as = forms.ChoiceField(label="The meter shows", choices=QUANTITIES)
    meter_path_mm = NumberField(
        low=30, high=1000, unit="mm", required=False, label="Path of the meter, for opacity", help_text="430 is usual"
    )
    rated_power_kw = QuantityField("power_kw", required=False, label="Rated power, for limits on the standard path")
    meter = forms.ModelChoiceField(
        Instrument.objects.in_use().filter(quantity__in=["smoke_k_per_m", "smoke_opacity_pct"]),
        required=False,
        empty_label="not said",
        label="Read with",
    )
    note = forms.CharField(max_length=200, required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.initial.setdefault("test_id", uuid.uuid4())

    def clean(self):
        data = super().clean()
        if data.get("limit") and not data.get("limit_reason"):
            self.add_error(
                "limit_reason", "Say why this class holds; a turbo fitted here does not change it by itself."
            )
        return data

    def recorded(self) -> dict:
        data = dict(self.cleaned_data)
        path = data.pop("meter_path_mm")
        return {**data, "meter_path_m": None if path is None else path / 1000.0}


class SnapForm(RefusalMixin, forms.Form):
    """The next snap; a clearing one may stay without a figure."""

    snap_id = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args, test: SmokeTest, is_clearing: bool, **kwargs):
        super().__init__(*args, **kwargs)
        label = "Shown, if you read it" if is_clearing else "Highest the meter showed"
        self.fields["value"] = QuantityField(test.slug, label=label, required=not is_clearing)
        self.initial.setdefault("snap_id", uuid.uuid4())


class SnapCorrectionForm(RefusalMixin, forms.Form):
    def __init__(self, *args, test: SmokeTest, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["value"] = QuantityField(test.slug, label="Right value")
        self.fields["reason"] = forms.CharField(max_length=200, label="Why it is corrected")


class LimitForm(forms.ModelForm):
    class Meta:
        model = SmokeLimit
        fields = ["name", "procedure", "quantity", "value", "path_m", "source", "note", "retired"]
        formfield_callback = number_field

    def clean(self):
        data = super().clean()
        value, quantity = data.get("value"), data.get("quantity")
        if quantity == "k" and value is not None and value > 10:
            self.add_error(
                "value", f"Limit: {value:g} m⁻¹ is outside what an opacimeter reads. Allowed: 0.01 to 10 m⁻¹."
            )
        if quantity == "opacity" and value is not None and value < 0.1:
            self.add_error("value", f"Limit: {value:g} % is not a limit. Allowed: 0.1 to 99.9 %.")
        if quantity == "k" and data.get("procedure") == "snap":
            self.add_error("quantity", "Stated as: snap acceleration is judged in opacity.")
        if quantity == "k" and data.get("path_m") is not None:
            raise ValidationError(
                "An absorption coefficient needs no path: leave it empty, or state the limit as opacity."
            )
        return data
