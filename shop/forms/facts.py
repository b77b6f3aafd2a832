"""One sheet for everything that is known of an engine and its pump: value or range, and where it comes from."""

from django import forms
from django.core.exceptions import ValidationError

from sizing.facts import FACT_GROUPS, FACTS, ORIGINS, Fact
from sizing.fields import NumberField


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
