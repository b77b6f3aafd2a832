"""With which instrument a column of a log was read: its plus or minus goes into the verdicts of the pulls."""

from django import forms

from measurements.models import Instrument, LogFile


class LogInstrumentsForm(forms.Form):
    def __init__(self, *args, log: LogFile, **kwargs):
        super().__init__(*args, **kwargs)
        self.columns = [c for c in log.columns.all() if c.quantity]
        known = list(Instrument.objects.filter(quantity__in={c.quantity for c in self.columns}, retired=False))
        for column in self.columns:
            fitting = [i for i in known if i.quantity == column.quantity]
            if not fitting:
                continue
            self.fields[f"column_{column.pk}"] = forms.ModelChoiceField(
                Instrument.objects.filter(pk__in=[i.pk for i in fitting]), required=False, label=f"{column.header}, read with",
                empty_label="not said", initial=column.instrument_id,
            )  # fmt: skip

    def chosen(self) -> dict[int, Instrument | None]:
        """By column; only those that could be asked."""
        return {c.pk: self.cleaned_data[f"column_{c.pk}"] for c in self.columns if f"column_{c.pk}" in self.fields}
