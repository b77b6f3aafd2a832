"""Entering a full-load curve."""

from django import forms

from measurements.bench.curves.curve_csv import read_curve
from measurements.bench.curves.models import PowerCurve
from measurements.readings.instrument_forms import read_with
from measurements.readings.models import Point
from measurements.readings.refusal import RefusalMixin
from sizing.tables.forms import FileOrTextMixin, table_file, typed_table
from sizing.tables.refused import FileRefused
from sizing.units.fields import NumberField

CURVE_MAX_BYTES = 256 * 1024


class CurveForm(RefusalMixin, FileOrTextMixin):
    phase = forms.ChoiceField(choices=Point.PHASES, label="Taken")
    kind = forms.ChoiceField(choices=PowerCurve.KINDS, label="How it was found")
    file = table_file(
        "CSV or spreadsheet", "engine speed with torque or power, such as engine_speed_rpm, max_torque_Nm"
    )
    text = typed_table(CURVE_MAX_BYTES, "engine_speed_rpm;torque_Nm\n1500;118,5\n2000;124", rows=6)
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
        if sent := self.sent_table(CURVE_MAX_BYTES):
            try:
                data["points"] = read_curve(sent[0])
            except FileRefused as refused:
                self.add_error(sent[1], str(refused))
        return data
