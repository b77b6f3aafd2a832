"""The workshop's own page, and the first visit."""

from django import forms

from shop.access.forms import PasswordMixin
from shop.workshop.models import Workshop
from sizing.units.fields import number_field

WORKSHOP_FIELDS = [
    "name",
    "address",
    "phone",
    "altitude_m",
    "time_zone",
    "currency",
    "pressure_unit",
    "temperature_unit",
    "power_unit",
    "torque_unit",
    "local_rules",
]


class WorkshopForm(forms.ModelForm):
    class Meta:
        model = Workshop
        fields = WORKSHOP_FIELDS
        formfield_callback = number_field
        widgets = {"address": forms.Textarea(attrs={"rows": 3})}


class SetUpForm(PasswordMixin, forms.ModelForm):
    full_name = forms.CharField(label="Your name", max_length=120)
    username = forms.CharField(label="Log-in name", max_length=60)

    class Meta:
        model = Workshop
        fields = [
            "name",
            "altitude_m",
            "time_zone",
            "currency",
            "pressure_unit",
            "temperature_unit",
            "power_unit",
            "torque_unit",
        ]
        formfield_callback = number_field
        labels = {"name": "Name of the workshop"}

    def owner(self) -> dict:
        return {name: self.cleaned_data[name] for name in ("username", "full_name", "password")}

    def workshop(self) -> dict:
        return {name: self.cleaned_data[name] for name in self.Meta.fields}
