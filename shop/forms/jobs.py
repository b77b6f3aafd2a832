"""The job card's forms."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from shop.models import Customer, JobCard, Vehicle
from sizing.fields import number_field


def day_input() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


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


class JobForm(forms.ModelForm):
    class Meta:
        model = JobCard
        fields = ["wish", "budget", "due_on", "meter_reading"]
        formfield_callback = number_field
        widgets = {"wish": forms.Textarea(attrs={"rows": 3}), "due_on": day_input()}


class PhotoForm(forms.Form):
    MAX_MB = 15
    KINDS = {"JPEG": ".jpg", "PNG": ".png", "WEBP": ".webp"}

    image = forms.ImageField(
        label="Photo", widget=forms.ClearableFileInput(attrs={"accept": "image/jpeg,image/png,image/webp"})
    )
    caption = forms.CharField(max_length=120, required=False)

    def clean_image(self):
        image = self.cleaned_data["image"]
        if image.size > self.MAX_MB * 1024 * 1024:
            raise ValidationError(
                f"Photo: {image.size / 1048576:.0f} MB is too large. Allowed: up to {self.MAX_MB} MB."
            )
        if image.image.format not in self.KINDS:
            raise ValidationError(f"Photo: {image.image.format} is not taken. Allowed: JPEG, PNG or WebP.")
        image.name = f"photo{self.KINDS[image.image.format]}"
        return image
