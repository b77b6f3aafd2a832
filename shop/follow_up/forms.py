"""A call after hand-over, and a failure."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from shop.follow_up.models import Failure, FollowUp
from shop.jobs.forms import day_input
from sizing.units.fields import number_field


class _NotInTheFuture(forms.ModelForm):
    def clean_on(self):
        on = self.cleaned_data["on"]
        if on > timezone.localdate():
            raise ValidationError(f"Day: {on} is in the future.")
        return on


class FollowUpForm(_NotInTheFuture):
    class Meta:
        model = FollowUp
        fields = ["on", "way", "meter_reading", "text"]
        formfield_callback = number_field
        labels = {"on": "Day"}
        widgets = {"on": day_input(), "text": forms.Textarea(attrs={"rows": 3})}


class FailureForm(_NotInTheFuture):
    class Meta:
        model = Failure
        fields = ["on", "part", "meter_reading", "cause", "said_by", "ends_pairing"]
        formfield_callback = number_field
        labels = {"on": "Day"}
        widgets = {"on": day_input(), "cause": forms.Textarea(attrs={"rows": 3})}
