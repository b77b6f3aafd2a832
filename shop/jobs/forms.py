"""The job card, its photos, and a new plan."""

from django import forms
from django.core.exceptions import ValidationError

from shop.jobs.models import JobCard
from sizing.catalogue.models import AirCleaner, Cooler, Plunger, Turbo
from sizing.units.fields import QuantityField, number_field


def day_input() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


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


class NewPlanForm(forms.Form):
    title = forms.CharField(max_length=120, initial="First stage")
    boost_low_kpa = QuantityField("boost_kpa", label="Boost wanted")
    boost_high_kpa = QuantityField("boost_kpa", label="to, if it is a range", required=False)
    turbo = forms.ModelChoiceField(Turbo.objects.none(), required=False, empty_label="not chosen yet")
    cooler = forms.ModelChoiceField(Cooler.objects.none(), required=False, empty_label="none")
    air_cleaner = forms.ModelChoiceField(AirCleaner.objects.none(), required=False, empty_label="as it is now")
    plunger = forms.ModelChoiceField(Plunger.objects.none(), required=False, empty_label="as it is now")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name, model in (("turbo", Turbo), ("cooler", Cooler), ("air_cleaner", AirCleaner)):
            self.fields[name].queryset = model.objects.current()
        self.fields["plunger"].queryset = Plunger.objects.filter(retired=False).select_related("pump")

    def clean(self):
        data = super().clean()
        low, high = data.get("boost_low_kpa"), data.get("boost_high_kpa")
        if low is not None and low <= 0:
            self.add_error("boost_low_kpa", "Boost wanted: must be above zero; it is gauge pressure.")
        if low is not None and high is not None and low > high:
            self.add_error(
                "boost_low_kpa",
                f"Boost wanted: the range runs from {low:g} to {high:g}. The first must be the smaller one.",
            )
        return data

    def boost(self) -> tuple[float, float, str]:
        low = self.cleaned_data["boost_low_kpa"]
        return low, self.cleaned_data.get("boost_high_kpa") or low, "told"
