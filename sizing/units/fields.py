"""Form fields for figures: comma or point, the shop's units, and errors that name the field, the value and what is allowed."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from sizing.said import say
from sizing.units.figures import as_typed, bare_unit, read_number, span, tidy, to_shown, to_stored, unit
from sizing.units.quantities import QUANTITIES


class NumberField(forms.Field):
    """A number in a fixed unit, between two ends."""

    def __init__(
        self,
        *,
        low: float,
        high: float,
        unit: str = "",
        whole: bool = False,
        decimal: bool = False,
        when_empty: float | Decimal | None = None,
        **kwargs: Any,
    ):
        self.low, self.high, self.unit, self.whole, self.decimal = low, high, unit, whole, decimal
        self.when_empty = when_empty
        kwargs.setdefault(
            "widget", forms.TextInput(attrs={"inputmode": "numeric" if whole else "decimal", "autocomplete": "off"})
        )
        super().__init__(**kwargs)

    def prepare_value(self, value: Any) -> Any:
        return as_typed(value) if isinstance(value, int | float) else value

    def to_python(self, value: Any) -> float | Decimal | None:
        if value in self.empty_values:
            return self.when_empty
        name = self.label or "This field"
        try:
            parsed = read_number(value)
        except ValueError as error:
            raise ValidationError(f"{name}: {error}") from error
        if not self.low <= parsed <= self.high:
            allowed = f"{tidy(self.low)} to {tidy(self.high)} {self.unit}".strip()
            raise ValidationError(f"{name}: {str(value).strip()} is outside what is possible. Allowed: {allowed}.")
        if self.whole and parsed != int(parsed):
            raise ValidationError(f"{name}: {str(value).strip()} is not a whole number.")
        return self.finish(parsed, value)

    def finish(self, parsed: float, typed: str) -> float | Decimal:
        if self.whole:
            return int(parsed)
        if self.decimal:
            return round(Decimal(str(typed).replace(",", ".").replace(" ", "")), 2)
        return parsed


class ShownNumberField(NumberField):
    """Typed in the workshop's unit, returned in the stored one; left alone it keeps every stored digit."""

    def __init__(self, unit: str, low: float, high: float, **kwargs: Any):
        self.stored_unit = unit
        low, high = (float(to_shown(end, unit)) for end in (low, high))
        super().__init__(low=low, high=high, unit=bare_unit(unit), **kwargs)

    def prepare_value(self, value: Any) -> Any:
        return tidy(float(to_shown(value, self.stored_unit))) if isinstance(value, int | float) else value

    def finish(self, parsed: float, typed: str) -> float:
        return float(to_stored(parsed, self.stored_unit))

    def has_changed(self, initial: Any, data: Any) -> bool:
        return (
            self.prepare_value(initial) != (data or "").strip() if initial is not None else bool((data or "").strip())
        )


class QuantityField(forms.Field):
    """A measured quantity, typed in the shop's unit and returned in the stored one."""

    def __init__(self, slug: str, **kwargs: Any):
        self.quantity = QUANTITIES[slug]
        kwargs.setdefault("label", self.quantity.label)
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}))
        super().__init__(**kwargs)

    @property
    def unit(self) -> str:
        return unit(self.quantity)

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, int | float):
            return tidy(float(to_shown(value, self.quantity)))
        return value

    def to_python(self, value: Any) -> float | None:
        if value in self.empty_values:
            return None
        try:
            parsed = read_number(value)
        except ValueError as error:
            raise ValidationError(say("figure.of", {"quantity": self.label, "what": str(error)})) from error
        stored = float(to_stored(parsed, self.quantity))
        if not self.quantity.low <= stored <= self.quantity.high:
            typed, allowed = str(value).strip(), span(self.quantity.low, self.quantity.high, self.quantity)
            values = {"quantity": self.label, "value": f"{typed} {bare_unit(self.quantity)}", "allowed": allowed}
            if self.quantity.why:
                raise ValidationError(say("figure.not_possible_because", {**values, "why": self.quantity.why}))
            raise ValidationError(say("figure.not_possible", values))
        return stored


def number_field(db_field: "models.Field[Any, Any]", **kwargs: Any) -> forms.Field | None:
    """For ModelForm.Meta.formfield_callback: numbers become NumberField with the ends that the model's validators state."""
    if not isinstance(db_field, models.FloatField | models.DecimalField | models.IntegerField) or db_field.choices:
        return db_field.formfield(**kwargs)
    ends = {
        type(v): float(v.limit_value)
        for v in db_field.validators
        if isinstance(v, MinValueValidator | MaxValueValidator)
    }
    kwargs.pop("widget", None)
    return NumberField(
        low=ends.get(MinValueValidator, 0.0),
        high=ends.get(MaxValueValidator, 1e7),
        whole=isinstance(db_field, models.IntegerField),
        decimal=isinstance(db_field, models.DecimalField),
        required=not db_field.blank and not db_field.has_default(),
        label=kwargs.pop("label", db_field.verbose_name[:1].upper() + db_field.verbose_name[1:]),
        help_text=db_field.help_text,
        initial=db_field.get_default() if db_field.has_default() else None,
        when_empty=db_field.get_default() if db_field.has_default() and not db_field.null else None,
    )
