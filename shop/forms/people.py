from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from shop.models import Person, Workshop
from shop.roles import ROLES
from sizing.fields import number_field

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


class PasswordMixin(forms.Form):
    password = forms.CharField(
        min_length=12,
        max_length=200,
        strip=False,
        help_text="12 characters or more; a sentence is good",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean_password(self):
        password = self.cleaned_data["password"]
        validate_password(
            password, Person(username=self.data.get("username", ""), full_name=self.data.get("full_name", ""))
        )
        return password


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


class PersonForm(PasswordMixin, forms.Form):
    full_name = forms.CharField(label="Name", max_length=120)
    username = forms.CharField(label="Log-in name", max_length=60)
    role = forms.ChoiceField(choices=[(role, role) for role in ROLES])

    def clean_username(self):
        username = self.cleaned_data["username"]
        if Person.objects.filter(username__iexact=username).exists():
            raise ValidationError(f"Log-in name: '{username}' is taken. Choose another.")
        return username
