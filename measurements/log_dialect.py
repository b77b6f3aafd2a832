"""From bytes to a dialect: is this a table of text at all, in what encoding, and where does the header stand? Pure."""

import csv
import re
from dataclasses import dataclass

HEAD_BYTES = 256 * 1024
HEAD_LINES = 200
SHOWN_ROWS = 150
MAX_COLUMNS = 300
MAX_HEADER = 160


class LogRefused(ValueError):
    """A file that is no log, or a log that cannot be read as it was matched. The message says what to do."""


# The first bytes of what people send by mistake.
SIGNATURES = [
    (b"\xff\xd8\xff", "a photo (JPEG)"),
    (b"\x89PNG", "a picture (PNG)"),
    (b"GIF8", "a picture (GIF)"),
    (b"%PDF", "a PDF document"),
    (b"PK\x03\x04", "a packed file or a spreadsheet"),
    (b"\x1f\x8b", "a packed file (gzip)"),
    (b"7z\xbc\xaf", "a packed file (7z)"),
    (b"\xd0\xcf\x11\xe0", "an old office document"),
    (b"RIFF", "a picture, a film or a sound"),
]
DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
_NUMBER = re.compile(r"^[\s\"']*[-+−]?(\d+([.,]\d*)?|[.,]\d+)([eE][-+]?\d+)?[\s\"'%]*$")
_CLOCK = re.compile(r"^[\s\"']*(\d{4}-\d\d-\d\d[T ])?\d{1,3}:\d\d(:\d\d([.,]\d+)?)?[\s\"'Z]*$")


@dataclass(frozen=True)
class Dialect:
    encoding: str
    delimiter: str
    decimal: str
    skip_rows: int  # rows before the first row of figures, the header among them
    header: tuple[str, ...]
    units: tuple[str, ...]  # a row of units below the header, or empty
    first_rows: tuple[tuple[str, ...], ...]

    @property
    def delimiter_word(self) -> str:
        return DELIMITERS[self.delimiter]


def refuse_what_is_no_text(data: bytes) -> None:
    if not data.strip():
        raise LogRefused("The file is empty. Save the log again on the logger and send that file.")
    for start, what in SIGNATURES:
        if data.startswith(start):
            raise LogRefused(f"This is {what}, not a log. Export the log as CSV (text with one row a reading) and send that.")
    if data[4:12] in (b"ftypheic", b"ftypmif1", b"ftypheix"):
        raise LogRefused("This is a photo (HEIC), not a log. Export the log as CSV and send that.")
    if b"\x00" in data[:HEAD_BYTES] and data[:2] not in (b"\xff\xfe", b"\xfe\xff"):
        raise LogRefused("This file is not text, so it is no CSV log. Export the log as CSV and send that.")


def encoding_of(data: bytes) -> str:
    """UTF-16 by its mark, UTF-8 when the whole file is, otherwise the usual single-byte encoding."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return "utf-16"
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8-sig"


def is_figure(cell: str) -> bool:
    return bool(_NUMBER.match(cell) or _CLOCK.match(cell))


def _cells(lines: list[str], delimiter: str) -> list[list[str]]:
    try:
        return [[c.strip() for c in row] for row in csv.reader(lines, delimiter=delimiter)]
    except csv.Error as error:
        raise LogRefused(f"The file is not a table: {error}.") from error


def _is_row_of_figures(row: list[str]) -> bool:
    filled = [c for c in row if c]
    return len(row) > 1 and bool(filled) and sum(map(is_figure, filled)) >= 0.6 * len(filled)


def _choose(lines: list[str]) -> tuple[str, list[list[str]], int]:
    """The delimiter under which most rows hold figures in the same number of cells; and the first such row."""
    best = None
    for delimiter in DELIMITERS:
        rows = _cells(lines, delimiter)
        figures = [i for i, row in enumerate(rows) if _is_row_of_figures(row)]
        if not figures:
            continue
        widths = [len(rows[i]) for i in figures]
        usual = max(set(widths), key=lambda width: (widths.count(width), width))
        # A decimal comma must not pass for a delimiter: semicolon and tab win over comma when both fit.
        score = (widths.count(usual), delimiter in ";\t|", usual)
        if best is None or score > best[0]:
            first = next(i for i in figures if len(rows[i]) == usual)
            best = (score, delimiter, rows, first)
    if best is None:
        raise LogRefused(_why_no_table(lines))
    return best[1], best[2], best[3]


def _why_no_table(lines: list[str]) -> str:
    figures = [line for line in lines if is_figure(line)]
    if len(figures) >= 0.5 * max(1, len(lines) - 1):
        return "The file has only one column. A log needs the time and at least the engine speed beside each other."
    return "No rows of figures were found. A log is text with one row a reading, its columns parted by comma, semicolon or tab."


def _decimal(rows: list[list[str]], delimiter: str) -> str:
    if delimiter == ",":
        return "."
    cells = [c for row in rows for c in row]
    commas = sum(bool(re.match(r"^-?\d+,\d+$", c)) for c in cells)
    points = sum(bool(re.match(r"^-?\d+\.\d+$", c)) for c in cells)
    return "," if commas > points else "."


def _header(rows: list[list[str]], first: int) -> tuple[list[str], list[str]]:
    """The row above the figures; and when that one holds only units, the one above it with the units below."""
    width = len(rows[first])
    above = [row for row in rows[:first] if len(row) in (width, width - 1) and any(row)]
    if not above:
        return [f"column {i + 1}" for i in range(width)], []
    if len(above) > 1 and _looks_like_units(above[-1]) and not _looks_like_units(above[-2]):
        return above[-2], above[-1]
    return above[-1], []


def _looks_like_units(row: list[str]) -> bool:
    filled = [c.strip("[]()") for c in row if c]
    return bool(filled) and all(len(c) <= 8 for c in filled) and sum("/" in c or "%" in c or len(c) <= 4 for c in filled) >= 0.7 * len(filled)


def find_dialect(data: bytes) -> Dialect:
    """Say how this file is to be read, or refuse it with the reason."""
    refuse_what_is_no_text(data)
    encoding = encoding_of(data)
    text = data[:HEAD_BYTES].decode(encoding, errors="ignore")
    lines = text.splitlines()
    if len(data) > HEAD_BYTES and len(lines) > 1:
        lines = lines[:-1]  # the last one is cut off
    delimiter, rows, first = _choose(lines[:HEAD_LINES])
    width = len(rows[first])
    if width > MAX_COLUMNS:
        raise LogRefused(f"The file has {width} columns. Allowed: up to {MAX_COLUMNS}.")
    header, units = _header(rows, first)
    pad = lambda row: tuple(c[:MAX_HEADER] for c in [*row, *[""] * (width - len(row))][:width])  # noqa: E731
    shown = [pad(row) for row in rows[first : first + SHOWN_ROWS]]
    figures = rows[first : first + 100]
    return Dialect(encoding, delimiter, _decimal(figures, delimiter), first, pad(header), pad(units) if units else (), tuple(shown))
