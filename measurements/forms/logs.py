"""Uploading a log, and saying what its columns are."""

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError

from measurements.log_names import CHANNELS
from measurements.models import LogFile, Point

SHOWN_VALUES = 5
UNITS = list(dict.fromkeys(unit for channel in CHANNELS.values() for unit in channel.units))


class LogUploadForm(forms.Form):
    phase = forms.ChoiceField(label="Taken", choices=Point.PHASES)
    file = forms.FileField(
        label="Log file", help_text="CSV, text or .xlsx, also packed as .gz or .zip: time, engine speed, boost and more, in any order",
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,.log,.xlsx,.gz,.zip,text/csv,text/plain"}), allow_empty_file=True,
    )  # fmt: skip

    def clean_file(self):
        file = self.cleaned_data["file"]
        if file.size > settings.MAX_UPLOAD_MB * 1024 * 1024:
            raise ValidationError(f"Log file: {file.size / 1048576:.0f} MB is too large. Allowed: up to {settings.MAX_UPLOAD_MB} MB.")
        return file


class MatchForm(forms.Form):
    """One pair of fields a column: what it is, and in what unit."""

    def __init__(self, *args, log: LogFile, **kwargs):
        super().__init__(*args, **kwargs)
        self.columns = list(log.columns.all())
        quantities = [("", "not used"), *((c.slug, c.label) for c in CHANNELS.values())]
        units = [("", ""), *((u, u) for u in UNITS)]
        for column in self.columns:
            what, unit = f"quantity_{column.position}", f"unit_{column.position}"
            self.fields[what] = forms.ChoiceField(choices=quantities, required=False, label=f"{column.header}: what it is")
            self.fields[unit] = forms.ChoiceField(choices=units, required=False, label=f"{column.header}: unit")
            self.initial.setdefault(what, column.quantity)
            self.initial.setdefault(unit, column.unit)

    def rows(self, first_rows, unsaid: set[int]):
        for i, column in enumerate(self.columns):
            shown = [row[i] for row in first_rows if i < len(row) and row[i]][:SHOWN_VALUES]
            yield column, ", ".join(shown), self[f"quantity_{column.position}"], self[f"unit_{column.position}"], column.position in unsaid

    def clean(self):
        data = super().clean()
        for column in self.columns:
            quantity, unit = data.get(f"quantity_{column.position}"), data.get(f"unit_{column.position}")
            if not quantity:
                continue
            channel = CHANNELS[quantity]
            if not unit and len(channel.units) == 1:
                data[f"unit_{column.position}"] = channel.units[0]
            elif unit not in channel.units:
                self.add_error(
                    f"unit_{column.position}",
                    f"{column.header}: {channel.label.lower()} cannot be in '{unit or 'no unit'}'. Allowed: {', '.join(channel.units)}.",
                )
        return data

    def mapping(self):
        data = self.cleaned_data
        return {c.position: (data[f"quantity_{c.position}"], data[f"unit_{c.position}"]) for c in self.columns}
