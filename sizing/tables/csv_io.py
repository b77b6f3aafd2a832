"""CSV in and out: what a spreadsheet may do to a file is undone on the way in, and nothing it would run goes out."""

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

MAX_BYTES = 2 * 1024 * 1024
MAX_ROWS = 20_000

# A cell that starts like this is run as a formula by spreadsheets, so it goes out behind an apostrophe.
_FORMULA = re.compile(r"^'*\s*[=+\-@＝＋－＠\t\r\n]")
_GUARDED = re.compile(r"^'+\s*[=+\-@＝＋－＠\t\r\n]")
_NUMBER = re.compile(r"^[+-]?\d+([.,]\d+)?(e[+-]?\d+)?$", re.IGNORECASE)


class FileRefused(ValueError):
    """The file as a whole cannot be read; the message says why and what would do, `field` which answer of the form is at fault."""

    def __init__(self, text: str, field: str = "file"):
        self.field = field
        super().__init__(text)


@dataclass(frozen=True)
class Table:
    header: list[str]
    rows: list[tuple[int, dict[str, str]]]  # number of the line in the file, cells by column


def safe_cell(value: object) -> str:
    """Text for a cell that no spreadsheet runs.

    >>> safe_cell("=1+1"), safe_cell(-5.5), safe_cell("plain")
    ("'=1+1", '-5.5', 'plain')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = f"{value:.10g}" if isinstance(value, float) else str(value)
    return f"'{text}" if _FORMULA.match(text) and not _NUMBER.match(text) else text


def bare_cell(text: str) -> str:
    """Undo `safe_cell`.

    >>> bare_cell("'=1+1"), bare_cell("'tis")
    ('=1+1', "'tis")
    """
    return text[1:] if _GUARDED.match(text) else text


def write_table(header: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(header)
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
    return out.getvalue()


def decode(data: bytes) -> str:
    if not data.strip():
        raise FileRefused("The file is empty. A table with a header line and at least one row is needed.")
    if len(data) > MAX_BYTES:
        raise FileRefused(f"The file has {len(data):,} bytes; at most {MAX_BYTES:,} are taken. Split it.")
    encoding = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text:
        raise FileRefused("This is not a text file. Save the table as 'CSV UTF-8' and send that.")
    return text


def headings(data: bytes) -> list[str]:
    """The cells of the header line, in small letters. Raises FileRefused where the file is no table."""
    return [cell.strip().lower() for cell in _lines(decode(data))[0][1]]


def _lines(text: str) -> list[tuple[int, list[str]]]:
    """The lines that hold anything, with their numbers in the file."""
    first = text.lstrip("\r\n").split("\n", 1)[0]
    delimiter = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        return [(reader.line_num, cells) for cells in reader if any(cell.strip() for cell in cells)]
    except csv.Error as error:
        raise FileRefused(f"Line {reader.line_num} cannot be read as CSV: {error}.") from error


def read_table(
    data: bytes, required: Sequence[str], known: Sequence[str] = (), other_names: Mapping[str, str] | None = None
) -> Table:
    """Read a CSV with comma, semicolon or tab between the cells, or raise FileRefused.

    Column names are compared without regard to case and outer blanks. A column that is not known is refused by
    name, since a misspelt heading would otherwise lose its figures without a word. `other_names` are headings that
    stand for another.
    """
    lines = _lines(decode(data))
    names = [cell.strip().lower() for cell in lines[0][1]]
    header = _header([(other_names or {}).get(name, name) for name in names], required, known)
    if len(lines) == 1:
        raise FileRefused("The file has a header line and no rows under it.")
    if len(lines) > MAX_ROWS + 1:
        raise FileRefused(f"The file has {len(lines) - 1:,} rows; at most {MAX_ROWS:,} are taken. Split it.")
    rows = []
    for number, cells in lines[1:]:
        if len(cells) > len(header) and any(cell.strip() for cell in cells[len(header) :]):
            raise FileRefused(
                f"Line {number} has {len(cells)} cells, the header has {len(header)}. "
                "A comma inside a number or a text must stand in quotes."
            )
        padded = [*cells, *[""] * (len(header) - len(cells))]
        rows.append(
            (
                number,
                {
                    name: bare_cell(cell.strip()).replace("\r\n", "\n")
                    for name, cell in zip(header, padded, strict=False)
                },
            )
        )
    return Table(header, rows)


def _header(header: list[str], required: Sequence[str], known: Sequence[str]) -> list[str]:
    while header and not header[-1]:
        header.pop()
    missing = [name for name in required if name not in header]
    if missing:
        raise FileRefused(
            f"No column named {', '.join(missing)}. The header line reads: {', '.join(header)[:200]}. "
            f"Columns that may stand there: {', '.join(known or required)}."
        )
    twice = sorted({name for name in header if header.count(name) > 1})
    if twice:
        raise FileRefused(f"The column {', '.join(twice)} stands there twice. Keep one.")
    strange = [name for name in header if known and name not in known]
    if strange:
        raise FileRefused(
            f"The column '{strange[0]}' is not known. Take it out or rename it. "
            f"Columns that may stand there: {', '.join(known)}."
        )
    return header
