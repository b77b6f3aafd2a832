"""Catalogue: taking a thing out of the offer and back, and reading a CSV into it."""

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction

from sizing.catalogue.forms import row_form
from sizing.catalogue.kinds import TableSheet, label_of
from sizing.catalogue.models import Item, Plunger, Pump
from sizing.tables.csv_io import write_table
from sizing.tables.named import Table, read_table
from sizing.tables.refused import CellRefused
from sizing.units.fields import NumberField
from sizing.units.figures import as_typed

Key = tuple[Any, ...]  # what makes a row the same row, by the sheet's own columns
YES, NO = {"yes", "true", "1", "y"}, {"no", "false", "0", "n", ""}


def retire(thing: Item | Plunger, retired: bool) -> None:
    """A retired thing stays with the jobs that have it and is not offered for new ones."""
    thing.retired = retired
    thing.save(update_fields=["retired"])


def export_csv(sheet: TableSheet, things: Iterable[models.Model]) -> str:
    return write_table(sheet.columns, ([_cell(thing, name) for name in sheet.columns] for thing in things))


def _cell(thing: models.Model, name: str) -> object:
    return getattr(thing.pump if isinstance(thing, Plunger) and name in {"make", "name"} else thing, name)


@dataclass(frozen=True)
class Refusal:
    line: int
    column: str
    value: str
    why: str


@dataclass(frozen=True)
class RowChange:
    line: int
    thing: models.Model
    differences: list[tuple[str, str, str]]  # label, before, after


@dataclass
class Preview:
    """What a file would do to the catalogue. Nothing has been stored yet."""

    added: list[RowChange] = field(default_factory=list)
    changed: list[RowChange] = field(default_factory=list)
    refused: list[Refusal] = field(default_factory=list)
    same_count: int = 0
    fields: list[str] = field(default_factory=list)

    @property
    def has_work(self) -> bool:
        return bool(self.added or self.changed)

    @property
    def digest(self) -> str:
        """Changes when the file or what the catalogue holds has changed since the preview was shown."""
        said = [(str(row.thing), row.differences) for row in (*self.added, *self.changed)]
        return hashlib.sha256(repr((said, self.refused)).encode()).hexdigest()


class PreviewOutdated(Exception):
    def __init__(self, preview: Preview):
        self.preview = preview


def preview_import(sheet: TableSheet, data: bytes) -> Preview:
    """Read the file against the catalogue. Raises FileRefused if it cannot be read as a whole."""
    table = read_table(data, sheet.columns, sheet.key, _figure_columns(sheet))
    there = {sheet.key_of(thing): thing for thing in _things(sheet)}
    pumps = {(pump.make, pump.name): pump for pump in Pump.objects.all()} if sheet.model is Plunger else {}
    return _Reader(sheet, table, there, pumps).preview


def _figure_columns(sheet: TableSheet) -> list[str]:
    fields = row_form(sheet.model, [f.name for f in sheet.model._meta.fields if f.name in sheet.columns]).base_fields
    return [name for name, form_field in fields.items() if isinstance(form_field, NumberField)]


def _things(sheet: TableSheet) -> models.QuerySet[models.Model]:
    rows = sheet.model._default_manager.all()
    return rows.select_related("pump") if sheet.model is Plunger else rows


class _Reader:
    """Goes through the rows once; forms, and what is in the catalogue, are looked up once for all of them."""

    def __init__(self, sheet: TableSheet, table: Table, there: Mapping[Key, models.Model], pumps: Mapping[Key, Pump]):
        self.sheet, self.table, self.there, self.pumps = sheet, table, there, pumps
        own = {f.name for f in sheet.model._meta.fields}
        self.present = [name for name in sheet.columns if name in table.headings and name in own]
        self.new_form = row_form(sheet.model, [name for name in sheet.columns if name in own])
        self.old_form = row_form(sheet.model, self.present)
        self.figures = [name for name in _figure_columns(sheet) if name in table.headings]
        self.preview = Preview(fields=self.present)
        self.lines: dict[Key, int] = {}
        for line, cells in table.rows:
            self.read(line, cells)

    def read(self, line: int, cells: dict[str, str]) -> None:
        pump = None
        if not self.has_figures(line, cells):
            return
        key = self.key(line, cells)
        if key is None:
            return
        if self.sheet.model is Plunger:
            pump = self.pumps.get(key[:2])
            if pump is None:
                why = "There is no injection pump of this make and name in the catalogue."
                self.refuse(line, "name", f"{key[0]} {key[1]}", why)
                return
        if key in self.lines:
            last = self.sheet.key[-1]
            self.refuse(line, last, cells[last], f"Line {self.lines[key]} names the same thing. Keep one.")
            return
        self.lines[key] = line
        self.check(line, cells, self.there.get(key), pump)

    def has_figures(self, line: int, cells: dict[str, str]) -> bool:
        """Each with a decimal point from here on; the row is left out where one cannot be read."""
        refused = len(self.preview.refused)
        for name in self.figures:
            if cells[name]:
                try:
                    cells[name] = as_typed(self.table.figure(line, cells, name))
                except CellRefused as error:
                    self.refuse(line, name, error.value, str(error.why))
        return len(self.preview.refused) == refused

    def key(self, line: int, cells: dict[str, str]) -> Key | None:
        for name in self.sheet.key:
            if not cells[name]:
                self.refuse(line, name, "", "This cell must not be empty: it says which thing is meant.")
                return None
        if self.sheet.model is not Plunger:
            return tuple(cells[name] for name in self.sheet.key)
        try:
            diameter = self.new_form.base_fields["diameter_mm"].clean(cells["diameter_mm"])
        except ValidationError as error:
            self.refuse(line, "diameter_mm", cells["diameter_mm"], " ".join(error.messages))
            return None
        return cells["make"], cells["name"], diameter

    def check(self, line: int, cells: dict[str, str], thing: models.Model | None, pump: Pump | None) -> None:
        values, refusals = _as_form_data(self.sheet.model, cells)
        before = {name: getattr(thing, name) for name in self.present} if thing else {}
        form = (self.old_form if thing else self.new_form)(values, instance=thing)
        for name, errors in form.errors.items():
            refusals += [(name, cells.get(name, ""), str(error)) for error in errors]
        if refusals:
            for column, value, why in refusals:
                self.refuse(line, column, value, why)
            return
        row = form.instance
        if pump:
            row.pump = pump
        if not thing:
            self.preview.added.append(RowChange(line, row, []))
            return
        differences = [
            (label_of(row._meta.get_field(name)), _words(before[name]), _words(getattr(row, name)))
            for name in self.present
            if not _same(before[name], getattr(row, name))
        ]
        if differences:
            self.preview.changed.append(RowChange(line, row, differences))
        else:
            self.preview.same_count += 1

    def refuse(self, line: int, column: str, value: str, why: str) -> None:
        self.preview.refused.append(Refusal(line, column, value, why))


def _as_form_data(
    model: type[models.Model], cells: dict[str, str]
) -> tuple[dict[str, object], list[tuple[str, str, str]]]:
    """Words for yes and no become booleans; an empty cell takes what is usual where the catalogue has such a thing."""
    values: dict[str, object] = dict(cells)
    refusals = []
    for model_field in model._meta.fields:
        name = model_field.name
        if name in cells and isinstance(model_field, models.BooleanField):
            word = cells[name].lower()
            values[name] = word in YES
            if word not in YES | NO:
                why = f"{label_of(model_field)}: '{cells[name]}' is neither yes nor no. Allowed: yes, no."
                refusals.append((name, cells[name], why))
        elif model_field.choices and model_field.has_default() and not cells.get(name):
            values[name] = model_field.get_default()
    return values, refusals


def _words(value: object) -> str:
    if value is None or value == "":
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return as_typed(value) if isinstance(value, float) else str(value)


def _same(before: object, after: object) -> bool:
    if isinstance(before, str) and isinstance(after, str):
        return before.replace("\r\n", "\n") == after.replace("\r\n", "\n")
    if isinstance(before, float) and isinstance(after, float):
        return f"{before:.10g}" == f"{after:.10g}"  # a file carries ten digits
    return before == after


@transaction.atomic
def import_rows(sheet: TableSheet, data: bytes, digest: str) -> Preview:
    """Store what the preview with this digest showed; otherwise raise PreviewOutdated with what it would be now."""
    preview = preview_import(sheet, data)
    if preview.has_work and preview.digest != digest:
        raise PreviewOutdated(preview)
    try:
        with transaction.atomic():
            sheet.model._default_manager.bulk_create([row.thing for row in preview.added], batch_size=200)
            if preview.changed:
                sheet.model._default_manager.bulk_update(
                    [row.thing for row in preview.changed], preview.fields, batch_size=200
                )
    except IntegrityError as error:  # somebody added the same thing in this very moment
        raise PreviewOutdated(preview_import(sheet, data)) from error
    return preview
