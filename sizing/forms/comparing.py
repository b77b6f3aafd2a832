"""What is compared on the compare page, and how it is weighed; and the measures of a place for a turbo."""

from django import forms
from django.core.exceptions import ValidationError

from sizing.comparing import Wish
from sizing.fields import NumberField
from sizing.models import Cooler, Plunger, Turbo
from sizing.physics.compare import Weights

SPACE = ("length_mm", "width_mm", "height_mm")
WEIGHTS = {
    "torque": "Torque", "low_speed": "Torque at low speed", "margin": "Room to the limits", "price": "Price", "stock": "Stock", "space": "Space",
}


def _space_field(name: str) -> NumberField:
    label = name.removesuffix("_mm").capitalize()
    return NumberField(low=10, high=3000, unit="mm", label=f"Free space, {label.lower()}", required=False)


class CompareForm(forms.Form):
    coolers = forms.ChoiceField(label="Coolers", required=False, choices=[("", "the plan's, and none"), ("all", "every one of the catalogue")])
    wastegate = forms.ChoiceField(label="Wastegate", required=False, choices=[("", "either"), ("yes", "with"), ("no", "without")])
    stock = forms.ChoiceField(label="Stock", required=False, choices=[("", "any"), ("yes", "turbos in stock only")])

    def __init__(self, data=None):
        super().__init__(data)
        for name in SPACE:
            self.fields[name] = _space_field(name)
        usual = Weights()
        for name, label in WEIGHTS.items():
            self.fields[f"weight_{name}"] = NumberField(
                low=0, high=10, label=f"Weight of {label.lower()}", required=False, initial=getattr(usual, name), when_empty=getattr(usual, name)
            )

    def clean(self):
        typed = [name for name in SPACE if self.cleaned_data.get(name) is not None]
        if typed and len(typed) < len(SPACE) and not any(name in self.errors for name in SPACE):
            missing = [self.fields[name].label.lower() for name in SPACE if name not in typed]
            raise ValidationError(f"Not typed yet: {', '.join(missing)}. A space has all three measures, or leave all three empty.")
        return self.cleaned_data

    @property
    def wish(self) -> Wish:
        given = self.cleaned_data
        space = tuple(given[name] for name in SPACE)
        return Wish(
            coolers=given["coolers"] or "own", wastegate=given["wastegate"], in_stock_only=given["stock"] == "yes",
            space_mm=None if None in space else space, weights=Weights(**{name: given[f"weight_{name}"] for name in WEIGHTS}),
        )


class TakeForm(forms.Form):
    """One combination, to be taken into the plan."""

    turbo = forms.ModelChoiceField(Turbo.objects.current())
    cooler = forms.ModelChoiceField(Cooler.objects.current(), required=False)
    keeps_cooler = forms.BooleanField(required=False)  # a cooler that was typed into the plan stays as it is
    plunger = forms.ModelChoiceField(Plunger.objects.filter(retired=False, pump__retired=False), required=False)
