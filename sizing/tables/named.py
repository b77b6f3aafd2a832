"""A table with named columns, from text or a spreadsheet: the one reader of all small tables that people send. Pure."""

import csv
import io
import re
import zipfile
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from itertools import islice

from sizing.said import Said
from sizing.tables.csv_io import bare_cell
from sizing.tables.marks import DECIMALS, DELIMITERS, MAX_COLUMNS, looks_like_units, one_decimal_mark, tight
from sizing.tables.refused import CellRefused, FileRefused
from sizing.tables.spreadsheet import sheets
from sizing.tables.text import utf8_of
from sizing.units.figures import read_figure

MAX_BYTES = 2 * 1024 * 1024
MAX_ROWS = 20_000
TOP_LINES = 30  # notes that may stand above the names
ACCEPT = {"accept": ".csv,.txt,.tsv,.xlsx,text/csv,text/plain"}

NameOf = Callable[[str, str], tuple[str, str]]  # heading and cell of a row of units -> column and unit; "": not used
Record = tuple[int, list[str]]


@dataclass(frozen=True)
class Table:
    headings: dict[str, str]  # by column, as it stands in the file
    units: dict[str, str]
    rows: list[tuple[int, dict[str, str]]]  # number of the line in the file, cells by column
    decimal: str

    def figure(self, line: int, cells: dict[str, str], column: str) -> float:
        text, other = cells[column], "," if self.decimal == "." else "."
        is_other = other in text and any(map(str.isdigit, text))
        if not is_other:
            try:
                return read_figure(text, self.decimal)
            except ValueError:
                with suppress(ValueError):
                    return read_figure(tight(text), self.decimal)
        values = {"text": text[:40], "mark": Said(f"mark.{DECIMALS[self.decimal]}")}
        why = Said("cell.other_mark", values) if is_other else Said("cell.no_figure", values)
        raise CellRefused(line, self.headings[column], text, why)


def _refuse_large(data: bytes, most_bytes: int) -> None:
    if len(data) > most_bytes:
        raise FileRefused("file.too_big", size=len(data), most=most_bytes)


def is_spreadsheet(data: bytes) -> bool:
    return data.startswith(b"PK\x03\x04")


def table_text(data: bytes, most_bytes: int = MAX_BYTES) -> str:
    """The text of a table; that of its one sheet where a spreadsheet was sent."""
    _refuse_large(data, most_bytes)
    if is_spreadsheet(data):
        try:
            with zipfile.ZipFile(io.BytesIO(data)) as archive:
                found = list(sheets(data, archive))
        except (zipfile.BadZipFile, zipfile.LargeZipFile, OverflowError) as error:
            raise FileRefused("spreadsheet.damaged") from error
        if len(found) > 1:
            raise FileRefused("spreadsheet.several_sheets", names=[name for name, _ in found])
        data = found[0][1]
        _refuse_large(data, most_bytes)
    return utf8_of(data)[0].decode()


def _records(text: str, delimiter: str) -> Iterator[Record]:
    """The lines that hold anything, with their numbers in the file."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield reader.line_num, [cell.strip() for cell in cells]
    except csv.Error as error:
        raise FileRefused("table.no_csv", line=reader.line_num, why=str(error)) from error


def _top(text: str, delimiter: str) -> list[Record]:
    """The first lines, as far as they can be read with this delimiter."""
    top: list[Record] = []
    with suppress(FileRefused):
        top.extend(islice(_records(text, delimiter), TOP_LINES))
    return top


def _find_names(text: str, name_of: NameOf) -> tuple[str, int]:
    """The delimiter under which a line holds most of the names, and which line that is; else the first line."""
    best = (0, 0, 0), ",", 0
    for delimiter in DELIMITERS:
        for i, (_, cells) in enumerate(_top(text, delimiter)):
            names = {name_of(cell, "")[0] for cell in cells[:MAX_COLUMNS] if any(map(str.isalpha, cell))} - {""}
            if names or i == 0:
                best = max(best, ((len(names), -i, len(cells)), delimiter, i), key=lambda found: found[0])
    return best[1], best[2]


def read_table(
    data: bytes,
    columns: Sequence[str],
    needed: Sequence[str | tuple[str, ...]],
    figures: Collection[str] = (),
    name_of: NameOf | None = None,
    others_allowed: bool = False,
    most_bytes: int = MAX_BYTES,
    most_rows: int = MAX_ROWS,
) -> Table:
    """Read a table, or raise FileRefused with the reason. Comma, semicolon, tab or bar may stand between the cells.

    `columns` are all that may stand there; of each of `needed` (several names: one of them) there must be one. Names
    are compared without regard to case and outer blanks, unless `name_of` knows more of them. A column that is not
    known is refused by name, since a misspelt heading would otherwise lose its figures without a word, unless
    `others_allowed`. Cells of `figures` have one decimal mark all through the table.
    """
    has_units, name_of = bool(name_of), name_of or (lambda cell, unit: (cell.lower() * (cell.lower() in columns), ""))
    text = table_text(data, most_bytes)
    delimiter, at = _find_names(text, name_of)
    records = list(_records(text, delimiter))
    if not records:
        raise FileRefused("file.empty")
    header, body = records[at][1], records[at + 1 :]
    while header and not header[-1]:
        header.pop()
    if len(header) > MAX_COLUMNS:
        raise FileRefused("table.too_many_columns", columns=len(header), most=MAX_COLUMNS)
    units: list[str] = []
    if has_units and body and _are_units(body[0][1]):
        units, body = body[0][1], body[1:]
    elif has_units and at and _are_units(records[at - 1][1]):
        units = records[at - 1][1]
    said = [name_of(cell, unit) for cell, unit in zip(header, [*units, *[""] * len(header)], strict=False)]
    names = [name for name, _ in said]
    _check_names(header, names, columns, needed, others_allowed)
    if not body:
        raise FileRefused("table.no_rows")
    if len(body) > most_rows:
        raise FileRefused("table.too_many_rows", rows=len(body), most=most_rows)
    rows = [(line, _cells(line, cells, names)) for line, cells in body]
    headings = {name: heading for name, heading in zip(names, header, strict=True) if name}
    return Table(
        headings,
        {name: unit for name, unit in said if name},
        rows,
        one_decimal_mark(
            ((line, headings[name], cells[name]) for line, cells in rows for name in figures if name in cells),
            delimiter,
        ),
    )


def _are_units(row: list[str]) -> bool:
    """A row of dashes is none: nothing was read there."""
    return looks_like_units(row) and any(re.search(r"[^\W\d_]|[%°]", cell) for cell in row)


def _cells(line: int, cells: list[str], names: list[str]) -> dict[str, str]:
    if any(cells[len(names) :]):
        raise FileRefused("table.too_many_cells", line=line, cells=len(cells), columns=len(names))
    padded = [*cells, *[""] * (len(names) - len(cells))]
    return {name: bare_cell(cell).replace("\r\n", "\n") for name, cell in zip(names, padded, strict=False) if name}


def _check_names(
    header: list[str],
    names: list[str],
    columns: Sequence[str],
    needed: Sequence[str | tuple[str, ...]],
    others_allowed: bool,
) -> None:
    wanted = [(one,) if isinstance(one, str) else one for one in needed]
    if missing := [" / ".join(one) for one in wanted if not set(one) & set(names)]:
        shown = ", ".join(header)[:200]
        raise FileRefused("table.no_column", missing=missing, header=shown, columns=list(columns))
    for name in columns:
        if names.count(name) > 1:
            same = [heading for heading, known in zip(header, names, strict=True) if known == name]
            raise FileRefused("table.column_twice", headings=same, column=name)
    for heading, name in zip(header, names, strict=True):
        if not name and not others_allowed:
            raise FileRefused("table.strange_column", heading=heading[:100], columns=list(columns))
