"""Entering a full-load curve."""

from django import forms
from django.core.exceptions import ValidationError

from measurements.bench.curves.curve_csv import read_curve
from measurements.bench.curves.models import PowerCurve
from measurements.logs.parsing.dialect import LogRefused
from measurements.readings.instrument_forms import read_with
from measurements.readings.models import Point
from measurements.readings.refusal import RefusalMixin
from sizing.units.fields import NumberField

CURVE_MAX_BYTES = 256 * 1024


class CurveForm(RefusalMixin, forms.Form):
    phase = forms.ChoiceField(choices=Point.PHASES, label="Taken")
    kind = forms.ChoiceField(choices=PowerCurve.KINDS, label="How it was found")
    file = forms.FileField(
        required=False, label="CSV file", help_text="engine speed with torque or power, such as engine_speed_rpm, max_torque_Nm",
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,text/csv,text/plain"}), allow_empty_file=True,
    )  # fmt: skip
    text = forms.CharField(
        required=False, label="Or typed", strip=False, max_length=CURVE_MAX_BYTES,
        widget=forms.Textarea(attrs={"rows": 6, "placeholder": "engine_speed_rpm;torque_Nm\n1500;118,5\n2000;124"}),
    )  # fmt: skip
    uncertainty_pct = NumberField(
        low=0,
        high=50,
        unit="%",
        required=False,
        label="Plus or minus",
        help_text="of the brake or the rollers; empty when nobody knows",
    )
    instrument = read_with(
        "torque_nm",
        "power_kw",
        help_text="the dyno, if its plus or minus holds for these figures; behind gears enter a brake run with its ratio",
    )
    note = forms.CharField(max_length=200, required=False, help_text="such as gear, tyres, air of the day")

    def clean(self):
        data = super().clean()
        file, text = data.get("file"), (data.get("text") or "").strip()
        if file and text:
            raise ValidationError("Send a file or type the figures, not both.")
        if not file and not text:
            self.add_error("file", "Send a file, or type the figures below.")
            return data
        field = "file" if file else "text"
        if file and file.size > CURVE_MAX_BYTES:
            self.add_error(
                "file",
                f"CSV file: {file.size / 1024:.0f} kB is too large for a curve. Allowed: up to {CURVE_MAX_BYTES // 1024} kB.",
            )
            return data
        try:
            data["points"] = read_curve(file.read() if file else text.encode())
        except LogRefused as refused:
            self.add_error(field, str(refused))
        return data
