"""What was fitted."""

from django import forms

from shop.fitting.models import Fitment, FittedPart
from sizing.catalogue.models import AirCleaner, Cooler, Pump, Turbo
from sizing.units.fields import number_field


class FitmentForm(forms.ModelForm):
    class Meta:
        model = Fitment
        fields = [
            "turbo",
            "turbo_serial",
            "cooler",
            "air_cleaner",
            "pump",
            "plunger_diameter_mm",
            "delivery_mm3",
            "note",
        ]
        formfield_callback = number_field
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name, model in (("turbo", Turbo), ("cooler", Cooler), ("air_cleaner", AirCleaner), ("pump", Pump)):
            self.fields[name].queryset = model.objects.current()


class FittedPartForm(forms.ModelForm):
    class Meta:
        model = FittedPart
        fields = ["text", "quantity", "serial"]
        formfield_callback = number_field
