"""A quote, its lines, and the customer's answer."""

from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError
from django.forms import formset_factory

from shop.jobs.forms import day_input
from shop.papers.models import Quote, QuoteLine
from sizing.units.fields import NumberField


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
