"""What the owner asks of the review; all of it stands in the address."""

from django import forms

from sizing.units.fields import NumberField

COOLERS = [("", "with and without"), ("with", "with cooler"), ("without", "no cooler")]
MONTHS = [(str(months), f"{months} months") for months in (6, 12, 24, 36, 60)]
DEFAULT_MONTHS = 24.0


class ReviewForm(forms.Form):
    q = forms.CharField(label="Turbo", required=False, max_length=80, widget=forms.SearchInput)
    cooler = forms.ChoiceField(label="Cooler", required=False, choices=COOLERS)
    plunger = NumberField(label="Plunger, mm", low=4, high=14, unit="mm", required=False)
    least = NumberField(label="Fitted at least", low=0, high=1_000_000, whole=True, required=False)
    months = forms.ChoiceField(label="Survival after", required=False, choices=MONTHS, initial="24")
    sort = forms.CharField(required=False, max_length=20, widget=forms.HiddenInput)

    def clean_months(self) -> float:
        return float(self.cleaned_data["months"] or DEFAULT_MONTHS)
