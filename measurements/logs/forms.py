"""Uploading a log, saying what its columns are, and with which instrument each was read."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from measurements.logs.models import LogFile
from measurements.logs.parsing.dialect import AS_FOUND, HEAD_LINES, Layout
from measurements.logs.parsing.file import Mapping as Matched
from measurements.logs.parsing.names import CHANNELS
from measurements.readings.instruments import Instrument
from measurements.readings.models import Point
from sizing.tables.marks import DECIMALS, DELIMITERS

SHOWN_VALUES = 5


UNITS = list(dict.fromkeys(unit for channel in CHANNELS.values() for unit in channel.units))


class LogUploadForm(forms.Form):
    phase = forms.ChoiceField(label="Taken", choices=Point.PHASES)
    file = forms.FileField(
        label="Log file", help_text="CSV, text or .xlsx, also packed as .gz or .zip: time, engine speed, boost and more, in any order",
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,.log,.xlsx,.gz,.zip,text/csv,text/plain"}), allow_empty_file=True,
    )  # fmt: skip

    def clean_file(self) -> "UploadedFile[bytes]":
        file: UploadedFile[bytes] = self.cleaned_data["file"]
        if (file.size or 0) > settings.MAX_UPLOAD_MB * 1024 * 1024:
            raise ValidationError(
                f"Log file: {(file.size or 0) / 1048576:.0f} MB is too large. Allowed: up to {settings.MAX_UPLOAD_MB} MB."
            )
        return file


class LayoutForm(forms.Form):
    """How the text is laid out, where the guess is wrong. What is not sent is as it was said last."""

    delimiter = forms.ChoiceField(required=False, label="Between columns")
    decimal = forms.ChoiceField(required=False, label="Decimal mark")
    names_line = forms.IntegerField(
        required=False, min_value=0, max_value=HEAD_LINES, label="Names of columns in line", help_text="empty: as found; 0: no line holds names",
        error_messages=dict.fromkeys(("invalid", "min_value", "max_value"), f"Names of columns in line: 0 to {HEAD_LINES} is allowed."),
    )  # fmt: skip

    def __init__(self, data: Mapping[str, Any], *args: Any, said: Layout, **kwargs: Any):
        super().__init__(
            said.words() | {name: data[name] for name in self.base_fields if name in data}, *args, **kwargs
        )
        self.said = said
        self.tell(AS_FOUND, False)

    def tell(self, found_as: Layout, is_long: bool) -> None:
        """Name what was found beside the empty choice."""
        found = found_as.words()
        for name, words in (("delimiter", DELIMITERS), ("decimal", DECIMALS)):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)
            field.choices = [
                ("", f"as found: {found[name]}" if found[name] else "as found"),
                *((w, w) for w in words.values()),
            ]
        if is_long:  # the names stand in a column of their own
            self.fields.pop("names_line", None)

    def layout(self) -> Layout:
        """What is asked for; as it was said last where the form cannot be read."""
        if not self.is_valid():
            return self.said
        data = self.cleaned_data
        return Layout.of_words(data["delimiter"], data["decimal"], data.get("names_line"))


class MatchForm(forms.Form):
    """One pair of fields a column: what it is, and in what unit."""

    def __init__(self, *args: Any, columns: list[tuple[str, str, str]], **kwargs: Any):
        """`columns` in order: name in the file, and what it is taken for until a person says otherwise."""
        super().__init__(*args, **kwargs)
        self.columns = columns
        quantities = [("", "not used"), *((c.slug, c.label) for c in CHANNELS.values())]
        units = [("", ""), *((u, u) for u in UNITS)]
        for position, (header, quantity, unit_now) in enumerate(columns):
            what, unit = f"quantity_{position}", f"unit_{position}"
            self.fields[what] = forms.ChoiceField(choices=quantities, required=False, label=f"{header}: what it is")
            self.fields[unit] = forms.ChoiceField(choices=units, required=False, label=f"{header}: unit")
            self.initial.setdefault(what, quantity)
            self.initial.setdefault(unit, unit_now)

    def rows(
        self, first_rows: Sequence[Sequence[str]], unsaid: set[int]
    ) -> Iterator[tuple[str, str, forms.BoundField, forms.BoundField, bool]]:
        for i, (header, *_) in enumerate(self.columns):
            shown = [row[i] for row in first_rows if i < len(row) and row[i]][:SHOWN_VALUES]
            yield header, ", ".join(shown), self[f"quantity_{i}"], self[f"unit_{i}"], i in unsaid

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        for i, (header, *_) in enumerate(self.columns):
            quantity, unit = data.get(f"quantity_{i}"), data.get(f"unit_{i}")
            if not quantity:
                continue
            channel = CHANNELS[quantity]
            if not unit and len(channel.units) == 1:
                data[f"unit_{i}"] = channel.units[0]
            elif unit not in channel.units:
                self.add_error(
                    f"unit_{i}",
                    f"{header}: {channel.label.lower()} cannot be in '{unit or 'no unit'}'. Allowed: {', '.join(channel.units)}.",
                )
        return data

    def mapping(self) -> Matched:
        data = self.cleaned_data
        return {i: (data[f"quantity_{i}"], data[f"unit_{i}"]) for i in range(len(self.columns))}

    def proposed(self) -> Matched:
        """As the columns are taken before a person says otherwise."""
        return {i: (quantity, unit) for i, (_, quantity, unit) in enumerate(self.columns)}


class LogInstrumentsForm(forms.Form):
    def __init__(self, *args: Any, log: LogFile, **kwargs: Any):
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
