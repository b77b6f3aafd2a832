"""Deciding a proving run, entering a full-load curve, handing over."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from measurements.curve_csv import read_curve
from measurements.forms.instruments import read_with
from measurements.forms.refusal import RefusalMixin
from measurements.log_dialect import LogRefused
from measurements.models import Point, PowerCurve, ProvingRun
from shop.models import JobCard
from sizing.fields import NumberField

CURVE_MAX_BYTES = 256 * 1024


class DecideForm(forms.Form):
    decision = forms.ChoiceField(choices=ProvingRun.DECISIONS, widget=forms.RadioSelect, label="What is to happen")
    reason = forms.CharField(widget=forms.Textarea(attrs={"rows": 3}), label="Why")
    next_title = forms.CharField(
        max_length=120, required=False, label="Title of the next stage",
        help_text="only for 'plan the next stage': a copy of this plan is added to the job as a draft",
    )  # fmt: skip


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


class HandOverForm(forms.Form):
    on = forms.DateField(label="Day", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    received_by = forms.CharField(max_length=120, label="Who takes the vehicle")
    meter_reading = NumberField(low=0, high=9_999_999, required=False, label="Meter reading")
    note = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 3}), help_text="printed on the sheet")
    reason = forms.CharField(
        required=False,
        max_length=400,
        label="Owner's reason for passing over what is missing",
        help_text="printed on the job card and the sheet",
    )

    def __init__(self, *args, job: JobCard, needs_reason: bool, **kwargs):
        super().__init__(*args, **kwargs)
        self.job = job
        self.initial.setdefault("on", timezone.localdate())
        self.fields["meter_reading"].unit = job.vehicle.meter_unit
        if job.vehicle.meter == "none":
            del self.fields["meter_reading"]
        if not needs_reason:
            del self.fields["reason"]
        else:
            self.fields["reason"].required = True

    def clean_on(self):
        on = self.cleaned_data["on"]
        if on > timezone.localdate():
            raise ValidationError(f"Day: {on:%d %b %Y} is in the future.")
        if on < timezone.localdate(self.job.opened_at):
            raise ValidationError(f"Day: {on:%d %b %Y} is before the job was opened.")
        return on

    def clean_meter_reading(self):
        reading, arrival = self.cleaned_data["meter_reading"], self.job.meter_reading
        if reading is not None and arrival is not None and reading < arrival:
            raise ValidationError(f"Meter reading: {reading:g} is below the {arrival:g} on arrival.")
        return reading
