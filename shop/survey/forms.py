"""Everything that is known of an engine and its pump, value or range with its origin; and the survey sheet."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from shop.jobs.forms import day_input
from shop.survey.models import Survey
from sizing.plans.facts import FACT_GROUPS, FACTS, ORIGINS, Fact
from sizing.units.fields import NumberField, number_field


class FactsForm(forms.Form):
    def __init__(self, *args, known=None, **kwargs):
        super().__init__(*args, **kwargs)
        self.known = known or {}
        for fact in FACTS.values():
            self._add(fact)

    def _add(self, fact: Fact) -> None:
        row = self.known.get(fact.name)
        if fact.is_number:
            for end, label in (("low", fact.label), ("high", f"{fact.label}, other end of the range")):
                value = getattr(row, end) if row and (end == "low" or row.is_range) else None
                self.fields[f"{fact.name}_{end}"] = NumberField(
                    label=label,
                    low=fact.low,
                    high=fact.high,
                    unit=fact.unit,
                    whole=fact.name == "cylinder_count",
                    required=False,
                    initial=value,
                )
        elif fact.choices:
            self.fields[f"{fact.name}_text"] = forms.ChoiceField(
                label=fact.label,
                choices=[("", "not said"), *fact.choices],
                required=False,
                initial=row.text if row else "",
            )
        else:
            self.fields[f"{fact.name}_text"] = forms.CharField(
                label=fact.label, max_length=400, required=False, initial=row.text if row else ""
            )
        self.fields[f"{fact.name}_origin"] = forms.ChoiceField(
            label=f"{fact.label}: where from",
            choices=[("", "where from?"), *ORIGINS],
            required=False,
            initial=row.origin if row else "",
        )

    def groups(self):
        """For the template: each group with its rows of bound fields."""
        for slug, title in FACT_GROUPS:
            rows = []
            for fact in FACTS.values():
                if fact.group == slug:
                    ends = ["low", "high"] if fact.is_number else ["text"]
                    rows.append(
                        {
                            "fact": fact,
                            "values": [self[f"{fact.name}_{end}"] for end in ends],
                            "origin": self[f"{fact.name}_origin"],
                        }
                    )
            yield title, rows

    def clean(self):
        self.statements = {}
        for fact in FACTS.values():
            try:
                statement = self._statement(fact)
            except ValidationError as error:
                self.add_error(f"{fact.name}_{'low' if fact.is_number else 'text'}", error)
                continue
            if statement:
                self.statements[fact.name] = statement
        return self.cleaned_data

    def _statement(self, fact: Fact):
        origin = self.cleaned_data.get(f"{fact.name}_origin", "")
        low = self.cleaned_data.get(f"{fact.name}_low")
        high = self.cleaned_data.get(f"{fact.name}_high")
        text = self.cleaned_data.get(f"{fact.name}_text", "")
        if low is None and high is None and not text:
            return None
        if not origin:
            raise ValidationError(f"{fact.label}: say where it comes from: {', '.join(label for _, label in ORIGINS)}.")
        if fact.is_number:
            low = high if low is None else low
            high = low if high is None else high
            if low > high:
                raise ValidationError(
                    f"{fact.label}: the range runs from {low:g} to {high:g}. The first must be the smaller one."
                )
        return low, high, text, origin


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
