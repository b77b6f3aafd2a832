"""Forms of the calculators: one made from each row of the table, and the one that changes units."""

from django import forms
from django.core.exceptions import ValidationError

from sizing.calculators.calculator import Calculator
from sizing.calculators.table import calculate
from sizing.physics.errors import OutOfRange
from sizing.units.conversion import PINT_NAME
from sizing.units.display import unit_choices
from sizing.units.fields import NumberField, ShownNumberField
from sizing.words import in_words


class CalculatorForm(forms.Form):
    # Goes into the address, so that a kept address is not read in other units than it was typed in.
    units = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, calculator: Calculator, data=None):
        self.calculator = calculator
        self.units_now = ",".join(unit_choices().values())
        defaults = {row.name: row.default for row in calculator.inputs}
        super().__init__(data, initial=defaults | {"units": self.units_now})
        for row in calculator.inputs:
            label = f"{row.label} ({row.symbol})" if row.symbol else row.label
            self.fields[row.name] = ShownNumberField(
                row.unit, row.low, row.high, label=label, required=row.default is not None
            )
        self.answers: dict[str, float] = calculate(calculator.slug, {}) if data is None else {}

    def clean_units(self):
        if self.cleaned_data["units"] and self.cleaned_data["units"] != self.units_now:
            raise ValidationError(
                "This address was made while the workshop read other units. Look at each value and its unit, then work it out again."
            )
        return self.units_now

    def clean(self):
        if not self.errors:
            try:
                self.answers = calculate(
                    self.calculator.slug, {row.name: self.cleaned_data[row.name] for row in self.calculator.inputs}
                )
            except OutOfRange as error:
                self.add_error(error.name if error.name in self.fields else None, in_words(str(error)))
            except ValueError as error:
                self.add_error(None, in_words(str(error)))
        return self.cleaned_data


class UnitForm(forms.Form):
    value = NumberField(label="Value", low=-1e9, high=1e9, initial=1.0)
    unit = forms.ChoiceField(
        label="Unit", choices=[(unit, unit) for unit in PINT_NAME if unit != "ratio"], initial="bar"
    )
