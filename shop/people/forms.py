"""Customers and vehicles."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from shop.people.models import Customer, Vehicle
from sizing.units.fields import number_field


class CustomerForm(forms.ModelForm):
    class Meta:
        model = Customer
        fields = ["name", "phone", "language", "note"]
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}

    def clean_phone(self):
        phone = self.cleaned_data["phone"]
        if sum(c.isdigit() for c in phone) < 4:
            raise ValidationError(f"Phone: '{phone}' has too few digits to be called.")
        return phone


class VehicleForm(forms.ModelForm):
    class Meta:
        model = Vehicle
        fields = ["registration", "make_and_model", "engine_name", "year", "use", "meter"]
        formfield_callback = number_field

    def clean_year(self):
        year = self.cleaned_data["year"]
        if year and year > timezone.localdate().year + 1:
            raise ValidationError(f"Year: {year} is in the future.")
        return year
