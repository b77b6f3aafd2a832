"""Forms of the work itself: survey, quote, fitment, follow-up, failure."""

from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError
from django.forms import formset_factory
from django.utils import timezone

from shop.models import Failure, Fitment, FittedPart, FollowUp, Quote, QuoteLine, Survey
from sizing.fields import NumberField, QuantityField, number_field
from sizing.models import AirCleaner, Cooler, Plunger, Pump, Turbo

from .jobs import day_input


class SurveyForm(forms.ModelForm):
    class Meta:
        model = Survey
        fields = [f.name for f in Survey._meta.fields if f.name not in {"id", "job", "by", "at"}]
        formfield_callback = number_field
        widgets = {
            "verdict": forms.RadioSelect,
            "note": forms.Textarea(attrs={"rows": 3}),
            "repairs": forms.Textarea(attrs={"rows": 3}),
        }

    SECTIONS = [
        (
            "Cylinders and oil",
            [
                "compression_low_bar",
                "compression_high_bar",
                "blow_by_l_min",
                "oil_pressure_idle_kpa",
                "oil_pressure_rated_kpa",
            ],
        ),
        ("State as found", list(Survey.STATE_FIELDS)),
        ("Service done", ["oil_changed_on", "air_filter_changed_on", "fuel_filter_changed_on", "coolant_changed_on"]),
        (
            "Space and taps",
            ["space_length_mm", "space_width_mm", "space_height_mm", "boost_tap", "exhaust_temperature_tap"],
        ),
        ("Emission equipment", ["emission_equipment"]),
        ("Verdict", ["verdict", "repairs", "note"]),
    ]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["verdict"].choices = Survey.VERDICTS
        for name in ("oil_changed_on", "air_filter_changed_on", "fuel_filter_changed_on", "coolant_changed_on"):
            self.fields[name].widget = day_input()

    def sections(self):
        return [(title, [self[name] for name in names]) for title, names in self.SECTIONS]

    def clean(self):
        data = super().clean()
        low, high = data.get("compression_low_bar"), data.get("compression_high_bar")
        if low is not None and high is not None and low > high:
            self.add_error("compression_low_bar", f"Lowest cylinder: {low:g} bar is above the highest, {high:g} bar.")
        if data.get("verdict") in {"repairs", "unfit"} and not data.get("repairs", "").strip():
            self.add_error("repairs", "Name the repairs, or why it is not fit: the customer is told this.")
        if data.get("verdict") == "fit":
            self._must_be_sound(data)
        today = timezone.localdate()
        for name in self.SECTIONS[2][1]:
            if data.get(name) and data[name] > today:
                self.add_error(name, f"{self.fields[name].label}: {data[name]} is in the future.")
        return data

    def _must_be_sound(self, data):
        bad = [self.fields[name].label for name in Survey.STATE_FIELDS if data.get(name) in {"repair", "bad"}]
        if bad:
            self.add_error(
                "verdict",
                f"Fit does not go with what was found: {', '.join(bad)}. Choose 'fit after these repairs' or 'not fit'.",
            )
        if all(data.get(name) is None for name in ("compression_low_bar", "blow_by_l_min")):
            self.add_error(
                "verdict", "Fit needs compression or blow-by measured: a worn engine does not live with boost."
            )


class QuoteForm(forms.ModelForm):
    class Meta:
        model = Quote
        fields = ["valid_until", "terms"]
        widgets = {"valid_until": day_input(), "terms": forms.Textarea(attrs={"rows": 3})}


class QuoteLineForm(forms.Form):
    kind = forms.ChoiceField(choices=QuoteLine.KINDS)
    text = forms.CharField(label="What", max_length=200, required=False)
    quantity = NumberField(low=0.01, high=100_000, decimal=True, required=False, label="Quantity")
    unit_price = NumberField(low=0, high=10_000_000, decimal=True, required=False, label="Price each")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        number = int(self.prefix.rsplit("-", 1)[1]) + 1 if self.prefix and self.prefix[-1].isdigit() else 1
        for field in self.fields.values():  # the table names the columns, not the rows
            field.widget.attrs["aria-label"] = f"{field.label or 'Kind'}, line {number}"

    def clean(self):
        data = super().clean()
        if self.errors:
            return data
        if data.get("text") and data.get("unit_price") is None:
            raise ValidationError(f"{data['text']}: the price is missing.")
        if data.get("unit_price") is not None and not data.get("text"):
            raise ValidationError(f"{data['unit_price']}: say what it is for.")
        return data

    def line(self):
        data = self.cleaned_data
        if not data.get("text"):
            return None
        return data["kind"], data["text"], data.get("quantity") or Decimal(1), data["unit_price"]


QuoteLines = formset_factory(QuoteLineForm, extra=8, max_num=40)


class AnswerForm(forms.Form):
    answered_by = forms.CharField(label="Who said so for the customer", max_length=120)
    agreed = forms.ChoiceField(
        label="Answer", choices=[("yes", "agreed"), ("no", "declined")], widget=forms.RadioSelect
    )


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
