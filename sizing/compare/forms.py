"""What is compared on the compare page, and how it is weighed; the measures of a place for a turbo; another stage."""

from django import forms
from django.core.exceptions import ValidationError

from sizing.catalogue.models import Cooler, Plunger, Turbo
from sizing.compare.comparing import Wish
from sizing.physics.choice.ranking import Weights
from sizing.plans.models import Plan
from sizing.units.fields import NumberField

SPACE = ("length_mm", "width_mm", "height_mm")


DRAIN = ("drain_deg", "drain_fall_mm", "drain_bore_mm")


CLOCKING = ("outlet_deg", "wanted_deg")


TURBINE_CLOCKING = ("turbine_deg", "turbine_wanted_deg")


WEIGHTS = {
    "torque": "Torque",
    "low_speed": "Torque at low speed",
    "margin": "Room to the limits",
    "price": "Price",
    "stock": "Stock",
    "space": "Space",
}


def _space_field(name: str) -> NumberField:
    label = name.removesuffix("_mm").capitalize()
    return NumberField(low=10, high=3000, unit="mm", label=f"Free space, {label.lower()}", required=False)


class CompareForm(forms.Form):
    coolers = forms.ChoiceField(
        label="Coolers", required=False, choices=[("", "the plan's, and none"), ("all", "every one of the catalogue")]
    )
    wastegate = forms.ChoiceField(
        label="Wastegate", required=False, choices=[("", "either"), ("yes", "with"), ("no", "without")]
    )
    stock = forms.ChoiceField(label="Stock", required=False, choices=[("", "any"), ("yes", "turbos in stock only")])

    def __init__(self, data=None):
        super().__init__(data)
        for name in SPACE:
            self.fields[name] = _space_field(name)
        usual = Weights()
        for name, label in WEIGHTS.items():
            self.fields[f"weight_{name}"] = NumberField(
                low=0,
                high=10,
                label=f"Weight of {label.lower()}",
                required=False,
                initial=getattr(usual, name),
                when_empty=getattr(usual, name),
            )

    def clean(self):
        typed = [name for name in SPACE if self.cleaned_data.get(name) is not None]
        if typed and len(typed) < len(SPACE) and not any(name in self.errors for name in SPACE):
            missing = [self.fields[name].label.lower() for name in SPACE if name not in typed]
            raise ValidationError(
                f"Not typed yet: {', '.join(missing)}. A space has all three measures, or leave all three empty."
            )
        return self.cleaned_data

    @property
    def wish(self) -> Wish:
        given = self.cleaned_data
        space = tuple(given[name] for name in SPACE)
        return Wish(
            coolers=given["coolers"] or "own",
            wastegate=given["wastegate"],
            in_stock_only=given["stock"] == "yes",
            space_mm=None if None in space else space,
            weights=Weights(**{name: given[f"weight_{name}"] for name in WEIGHTS}),
        )


class TakeForm(forms.Form):
    """One combination, to be taken into the plan."""

    turbo = forms.ModelChoiceField(Turbo.objects.current())
    cooler = forms.ModelChoiceField(Cooler.objects.current(), required=False)
    keeps_cooler = forms.BooleanField(required=False)  # a cooler that was typed into the plan stays as it is
    plunger = forms.ModelChoiceField(Plunger.objects.filter(retired=False, pump__retired=False), required=False)


class PlacementForm(forms.Form):
    """Measures of the place, taken on the vehicle. What is left empty is not looked at."""

    def __init__(self, data=None):
        super().__init__(data)
        fields = {name: _space_field(name) for name in SPACE} | {
            "drain_deg": NumberField(
                low=0, high=180, unit="°", label="Oil drain, worst angle from straight down", required=False
            ),
            "drain_fall_mm": NumberField(
                low=-500,
                high=1500,
                unit="mm",
                label="Drain of the turbo above its entry into the engine",
                required=False,
            ),
            "drain_bore_mm": NumberField(low=3, high=60, unit="mm", label="Oil drain, smallest bore", required=False),
            "outlet_deg": NumberField(
                low=0, high=360, unit="°", label="Compressor outlet points now to", required=False
            ),
            "wanted_deg": NumberField(
                low=0, high=360, unit="°", label="Compressor outlet shall point to", required=False
            ),
            "turbine_deg": NumberField(low=0, high=360, unit="°", label="Turbine flange points now to", required=False),
            "turbine_wanted_deg": NumberField(
                low=0,
                high=360,
                unit="°",
                label="Turbine flange shall point to, with the oil drain down",
                required=False,
            ),
            "pipe_mm": NumberField(low=10, high=300, unit="mm", label="Boost pipe or hose, diameter", required=False),
            "intake_mm": NumberField(
                low=10, high=300, unit="mm", label="Intake pipe or hose, diameter", required=False
            ),
        }
        self.fields |= fields
        self.fields["manifold_flange"] = forms.CharField(label="Flange of the manifold", required=False, max_length=60)
        self.fields["exhaust_flange"] = forms.CharField(
            label="Flange of the exhaust pipe", required=False, max_length=60
        )

    def clean(self):
        for words, names in (
            ("A space", SPACE),
            ("A drain", DRAIN),
            ("Clocking", CLOCKING),
            ("Clocking of the turbine", TURBINE_CLOCKING),
        ):
            typed = [name for name in names if self.cleaned_data.get(name) is not None]
            if typed and len(typed) < len(names) and not any(name in self.errors for name in names):
                missing = "; ".join(self.fields[name].label.lower() for name in names if name not in typed)
                self.add_error(
                    None, f"Not typed yet: {missing}. {words} needs all {len(names)} measures, or leave all empty."
                )
        return self.cleaned_data


class StagesForm(forms.Form):
    """What the plan is put beside: itself without and with a cooler, or another plan."""

    cooler = forms.ModelChoiceField(
        Cooler.objects.none(), label="Cooler of the second stage", required=False, empty_label="none chosen"
    )
    other = forms.ModelChoiceField(Plan.objects.none(), required=False, widget=forms.HiddenInput)

    def __init__(self, plan: Plan, data=None):
        super().__init__(data)
        self.fields["cooler"].queryset = Cooler.objects.to_choose(plan.cooler_id)
        self.fields["cooler"].initial = plan.cooler_id
        self.fields["other"].queryset = Plan.objects.with_parts().exclude(pk=plan.pk)
