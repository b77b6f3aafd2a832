"""Handing a vehicle over."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from shop.jobs.models import JobCard
from sizing.units.fields import NumberField


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
