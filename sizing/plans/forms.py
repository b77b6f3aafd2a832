"""The form of a plan: parts, inputs as ranges with origin, limits of the owner's own. The same form tries and keeps."""

from collections.abc import Iterator
from dataclasses import dataclass

from django import forms
from django.core.exceptions import ValidationError
from django.utils.dateparse import parse_datetime

from sizing.catalogue.models import AirCleaner, Cooler, Plunger, Turbo
from sizing.plans.cases import Case, bench_of
from sizing.plans.facts import INJECTION, ORIGINS
from sizing.plans.inputs import GROUPS, PLAN_INPUTS, PLAN_LIMITS, PlanFact
from sizing.plans.models import Plan
from sizing.plans.show import otherwise
from sizing.units.fields import ShownNumberField
from sizing.units.figures import bare_unit, figure

# Asked for in any case; the others have a usual value and are folded away while nobody has typed one.
ASKED_FIRST = {
    "altitude_m",
    "displacement_l",
    "cylinder_count",
    "compression_ratio",
    "rated_power_kw",
    "rated_speed_rpm",
    "plunger_diameter_as_built_mm",
    "delivery_mm3",
    "compensator_lambda_ratio",
    "boost_kpa",
    "boost_full_rpm",
}
PARTS = ("turbo", "cooler", "air_cleaner", "plunger")


@dataclass(frozen=True)
class InputRow:
    fact: PlanFact
    unit: str
    low: forms.BoundField
    high: forms.BoundField
    origin: forms.BoundField
    otherwise: str

    @property
    def errors(self) -> list[str]:
        return [*self.low.errors, *self.high.errors, *self.origin.errors]

    @property
    def is_known(self) -> bool:
        return self.low.value() not in (None, "")


def _number(fact: PlanFact, label: str) -> ShownNumberField:
    return ShownNumberField(fact.unit, fact.low, fact.high, label=label, required=False)


class PlanForm(forms.Form):
    title = forms.CharField(label="Title", max_length=120)
    injection = forms.ChoiceField(label="Injection", choices=INJECTION)
    turbo = forms.ModelChoiceField(Turbo.objects.none(), label="Turbo", required=False, empty_label="none chosen yet")
    plunger = forms.ModelChoiceField(Plunger.objects.none(), label="Plunger", required=False, empty_label="as built")
    cooler = forms.ModelChoiceField(Cooler.objects.none(), label="Cooler", required=False, empty_label="no cooler")
    air_cleaner = forms.ModelChoiceField(
        AirCleaner.objects.none(), label="Air cleaner", required=False, empty_label="as it is"
    )
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea(attrs={"rows": 3}))
    seen_at = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, plan: Plan, data=None):
        self.plan = plan
        self.stored = {row.name: row for row in plan.inputs.all()}
        self.limits = {row.name: row for row in plan.own_limits.all()}
        super().__init__(data, initial=self._initial())
        for part in PARTS:
            field = self.fields[part]
            field.queryset = field.queryset.model.objects.to_choose(getattr(plan, f"{part}_id"))
        for name, fact in PLAN_INPUTS.items():
            self.fields[f"{name}-low"] = _number(fact, fact.label)
            self.fields[f"{name}-high"] = _number(fact, f"{fact.label}, up to")
            self.fields[f"{name}-origin"] = forms.ChoiceField(
                label=f"{fact.label}, where from", choices=ORIGINS, required=False
            )
        for name, fact in PLAN_LIMITS.items():
            self.fields[f"{name}-value"] = _number(fact, f"Limit of {fact.label.lower()}")
            self.fields[f"{name}-source"] = forms.CharField(label="Where it comes from", max_length=160, required=False)

    def _initial(self) -> dict[str, object]:
        plan = self.plan
        values: dict[str, object] = {
            "title": plan.title,
            "injection": plan.injection,
            "note": plan.note,
            "seen_at": plan.changed_at.isoformat(),
            **{part: getattr(plan, f"{part}_id") for part in PARTS},
        }
        for name in PLAN_INPUTS:
            row = self.stored.get(name)
            values[f"{name}-origin"] = row.origin if row else "guessed"
            if row:
                values[f"{name}-low"] = row.low
                values[f"{name}-high"] = row.high if row.is_range else None
        for name, row in self.limits.items():
            values |= {f"{name}-value": row.value, f"{name}-source": row.source}
        return values

    def clean(self):
        for name, fact in PLAN_INPUTS.items():
            self._clean_range(name, fact)
        for name, fact in PLAN_LIMITS.items():
            value, source = self.cleaned_data.get(f"{name}-value"), self.cleaned_data.get(f"{name}-source")
            if value is not None and not source:
                self.add_error(f"{name}-source", f"Say where your limit of {figure(value, fact.unit)} comes from.")
        seen = parse_datetime(self.cleaned_data.get("seen_at") or "")
        if seen and seen != self.plan.changed_at:
            raise ValidationError(
                "Somebody changed this plan while you were at it. What you typed is still here and nothing was kept: "
                "compare it with the plan, then keep it again."
            )
        return self.cleaned_data

    def _clean_range(self, name: str, fact: PlanFact) -> None:
        low, high = self.cleaned_data.get(f"{name}-low"), self.cleaned_data.get(f"{name}-high")
        if f"{name}-low" in self.errors or f"{name}-high" in self.errors or (low is None and high is None):
            return
        if low is None:
            self.add_error(f"{name}-low", f"{fact.label}: type where the range begins, or the one value, here.")
        elif high is not None and low > high:
            self.add_error(
                f"{name}-high",
                f"{fact.label}: the range starts at {figure(low, fact.unit)} and ends at {figure(high, fact.unit)}. "
                "Put the smaller value first.",
            )

    def _given(self, name: str) -> tuple[float, float, str] | None:
        low, high = self.cleaned_data.get(f"{name}-low"), self.cleaned_data.get(f"{name}-high")
        if low is None:
            return None
        row = self.stored.get(name)
        if row and f"{name}-low" not in self.changed_data:
            low = row.low
        if row and row.is_range and f"{name}-high" not in self.changed_data:
            high = row.high
        return low, low if high is None else high, self.cleaned_data.get(f"{name}-origin") or "guessed"

    def _own_limit(self, name: str) -> tuple[float, str] | None:
        value = self.cleaned_data.get(f"{name}-value")
        if value is None:
            return None
        if name in self.limits and f"{name}-value" not in self.changed_data:
            value = self.limits[name].value
        return value, self.cleaned_data[f"{name}-source"]

    @property
    def case(self) -> Case:
        """What was typed, to be worked out without being kept."""
        given = {name: value for name in PLAN_INPUTS if (value := self._given(name))}
        own = {name: value for name in PLAN_LIMITS if (value := self._own_limit(name))}
        parts = {part: self.cleaned_data[part] for part in PARTS}
        return Case(self.cleaned_data["injection"], given, own, **parts, bench=bench_of(self.plan))

    @property
    def changes(self) -> dict[str, object]:
        """For `change_plan`."""
        return {
            **{name: self.cleaned_data[name] for name in ("title", "injection", "note", *PARTS)},
            "inputs": {name: self._given(name) for name in PLAN_INPUTS},
            "own_limits": {name: self._own_limit(name) for name in PLAN_LIMITS},
        }

    @property
    def groups(self) -> Iterator[tuple[str, list[InputRow], list[InputRow], bool]]:
        """Title, the rows that matter most or have a value, the others, and whether one of these has an error."""
        for group, title in GROUPS.items():
            rows = [self._row(fact) for fact in PLAN_INPUTS.values() if fact.group == group]
            first = [row for row in rows if row.fact.name in ASKED_FIRST or row.is_known]
            others = [row for row in rows if row not in first]
            yield title, first, others, any(row.errors for row in others)

    def _row(self, fact: PlanFact) -> InputRow:
        low, high, origin = (self[f"{fact.name}-{end}"] for end in ("low", "high", "origin"))
        return InputRow(fact, bare_unit(fact.unit), low, high, origin, otherwise(fact, self.plan.injection))

    @property
    def limit_rows(self) -> Iterator[tuple[PlanFact, str, forms.BoundField, forms.BoundField]]:
        for name, fact in PLAN_LIMITS.items():
            yield fact, bare_unit(fact.unit), self[f"{name}-value"], self[f"{name}-source"]


class CopyForm(forms.Form):
    title = forms.CharField(label="Title of the next stage", max_length=120)
    request_id = forms.UUIDField(widget=forms.HiddenInput)
