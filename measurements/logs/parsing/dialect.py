"""From bytes to a dialect: is this a table of text at all, in what encoding, and where does the header stand? Pure."""

import re
from collections.abc import Sequence
from dataclasses import asdict, dataclass

from sizing.said import Said
from sizing.tables.marks import DECIMALS, DELIMITERS, MAX_COLUMNS, cells_of, looks_like_units
from sizing.tables.refused import FileRefused
from sizing.tables.text import HEAD_BYTES, encoding_of, refuse_what_is_no_text

HEAD_LINES = 400
SHOWN_ROWS = 150
SHOWN_NOTES = 40
MAX_HEADER = 160


class LayoutRefused(FileRefused):
    """The text cannot be read as a person said it is laid out; as found, or said otherwise, it may be."""


@dataclass(frozen=True)
class Layout:
    """How a text is laid out, as a person said or as it was found. What is None is left to be found."""

    delimiter: str | None = None
    decimal: str | None = None
    names_line: int | None = None  # counted from 1; 0: no line holds the names of the columns

    def said(self) -> dict[str, str | int]:
        """Only what is not left to be found, as it is stored."""
        return {name: value for name, value in asdict(self).items() if value is not None}

    @classmethod
    def of_words(cls, delimiter: str = "", decimal: str = "", names_line: int | None = None) -> "Layout":
        """From the words that people choose; an empty one is left to be found."""
        marks, points = ({word: mark for mark, word in words.items()} for words in (DELIMITERS, DECIMALS))
        return cls(marks[delimiter] if delimiter else None, points[decimal] if decimal else None, names_line)

    def words(self) -> dict[str, str | int]:
        """As `of_words` takes it."""
        line = "" if self.names_line is None else self.names_line
        return {
            "delimiter": DELIMITERS.get(self.delimiter or "", ""),
            "decimal": DECIMALS.get(self.decimal or "", ""),
            "names_line": line,
        }


AS_FOUND = Layout()

NOTHING = frozenset(["", "nan", "n/a", "na", "-", "--", "---", "null", "none", "#n/a", "inf", "-inf", "*", "?"])
_NUMBER = re.compile(r"^[\s\"']*[-+−]?(\d+([.,]\d*)*|[.,]\d+)([eE][-+]?\d+)?[\s\"'%]*$")
_DATE = r"\d{1,4}[-./]\d{1,2}[-./]\d{1,4}"
_CLOCK = re.compile(
    rf"^[\s\"']*(({_DATE})[T ,]+)?\d{{1,3}}:\d\d(:\d\d([.,:]\d+)?)?([.,]\d+)?\s?([AaPp]\.?[Mm]\.?)?(Z|[+-]\d\d:?\d\d)?[\s\"']*$|^{_DATE}$"
)
_WITH_UNIT = re.compile(r"^-?\d+([.,]\d+)?\s?(s|sec|ms|us|µs|min|h)$")


@dataclass(frozen=True)
class Dialect:
    encoding: str
    delimiter: str
    decimal: str
    skip_rows: int  # rows before the first row of figures, the header among them
    header: tuple[str, ...]
    units: tuple[str, ...]  # a row of units below the header, or empty
    first_rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()  # lines above the header
    has_header: bool = True
    ragged: bool = False  # rows are as a rule shorter than the header
    early_rows: int = 0  # figures between the header and the first whole row, such as a cut-off first record
    long: tuple[int, int, int, int] | None = None  # long form: columns of time, channel, value, unit (-1: none)
    header_row: int = -1  # where the names stand, counted from 0; -1: nowhere
    decimal_told: bool = False  # by a person, so that the other mark can only part thousands

    @property
    def delimiter_word(self) -> str:
        return DELIMITERS[self.delimiter]

    @property
    def decimal_word(self) -> str:
        return DECIMALS[self.decimal]

    @property
    def layout(self) -> Layout:
        return Layout(self.delimiter, self.decimal, self.header_row + 1)


def is_figure(cell: str) -> bool:
    return bool(_NUMBER.match(cell) or _CLOCK.match(cell) or _WITH_UNIT.match(cell))


def _filled(row: list[str]) -> list[str]:
    return [c for c in row if c.lower() not in NOTHING]


def is_row_of_figures(row: list[str]) -> bool:
    filled = _filled(row)
    return len(row) > 1 and bool(filled) and sum(map(is_figure, filled)) >= 0.6 * len(filled)


def _first_of_usual_width(rows: list[list[str]], figures: list[int]) -> tuple[int, int, int]:
    """Of the rows of figures: the first that is as wide as most, that width, and how many are."""
    widths = [len(rows[i]) for i in figures]
    usual = max(set(widths), key=lambda width: (widths.count(width), width))
    return next(i for i in figures if len(rows[i]) == usual), usual, widths.count(usual)


def _choose(lines: list[str], delimiters: list[str]) -> tuple[str, list[list[str]], int]:
    """The delimiter under which most rows hold figures in the same number of cells; and the first such row."""
    best = None
    for delimiter in delimiters:
        if not any(delimiter in line for line in lines):
            continue
        rows = [cells_of(line, delimiter) for line in lines]
        figures = [i for i, row in enumerate(rows) if is_row_of_figures(row)]
        if not figures:
            continue
        first, usual, many = _first_of_usual_width(rows, figures)
        # A decimal comma must not pass for a delimiter: semicolon and tab win over comma when both fit.
        score = (many, delimiter in ";\t|", usual)
        if best is None or score > best[0]:
            best = (score, delimiter, rows, first)
    if best is None:
        raise FileRefused(_why_no_table(lines))
    return best[1], best[2], best[3]


def _why_no_table(lines: list[str]) -> Said:
    figures = [line for line in lines if is_figure(line)]
    if len(figures) >= 0.5 * max(1, len(lines) - 1):
        return Said("log.one_column")
    return Said("log.no_figures")


def _decimal(rows: list[list[str]]) -> str:
    """Of cells that are whole already: a comma inside one is a decimal comma, whatever parts the columns."""
    cells = [c for row in rows for c in row]
    commas = sum(bool(re.match(r"^-?\d*(\.\d{3})*,\d+(\s?[a-zµ]+)?$", c)) for c in cells)
    points = sum(bool(re.match(r"^-?\d*(,\d{3})*\.\d+(\s?[a-zµ]+)?$", c)) for c in cells)
    return "," if commas > points else "."


def _header(rows: list[list[str]], first: int) -> tuple[list[str], list[str], int]:
    """The row above the figures; when that holds only units, the one above it; and where the header stands (-1: nowhere)."""
    width = len(rows[first])
    above = [
        i
        for i in range(first - 1, max(-1, first - 60), -1)
        if any(rows[i])
        and not is_row_of_figures(rows[i])
        and (abs(len(rows[i]) - width) <= 1 or len(rows[i]) > width > 1)
    ]
    if not above:
        return [f"column {i + 1}" for i in range(width)], [], -1
    low = above[0]
    if looks_like_units(rows[low]):
        for i in above[1:4]:
            if not looks_like_units(rows[i]):
                return rows[i], rows[low], i
    elif len(above) > 1 and looks_like_units(rows[above[1]]) and len(_filled(rows[low])) >= 2 and above[1] == low - 1:
        return rows[low], rows[above[1]], above[1]  # the units stand above the names
    return rows[low], [], low


def _told_header(rows: list[list[str]], first: int, line: int) -> tuple[list[str], list[str], int, int]:
    """As `_header`, with the line of the names said by a person; and the first row of figures below it."""
    if line == 0:
        return [f"column {i + 1}" for i in range(len(rows[first]))], [], -1, first
    at = line - 1
    if at >= len(rows) or len(_filled(rows[at])) < 2:
        raise LayoutRefused("log.no_names_in_line", line=line)
    figures = [i for i in range(at + 1, len(rows)) if is_row_of_figures(rows[i])]
    if not figures:
        raise LayoutRefused("log.no_figures_below_line", line=line)
    units = next((rows[i] for i in (at + 1, at - 1) if 0 <= i < len(rows) and looks_like_units(rows[i])), [])
    return rows[at], units, at, _first_of_usual_width(rows, figures)[0]


_LONG_CHANNEL = re.compile(
    r"^(channel|signal|parameter|sensor|pid|variable|quantity|measurement|name|item|tag|kanal|canal)s?([ _]name)?$",
    re.I,
)
_LONG_VALUE = re.compile(r"^(value|reading|val|wert|valeur|valor|measured|data)s?$", re.I)
_LONG_UNIT = re.compile(r"^(unit|einheit|unité|unidad)s?$", re.I)


def _find_long(
    lines: list[str], delimiters: list[str]
) -> tuple[str, list[list[str]], int, tuple[int, int, int, int]] | None:
    """One row a reading: a column of names that repeat and a column of values. By the header, else by what the rows hold."""
    for delimiter in delimiters:
        if not any(delimiter in line for line in lines):
            continue
        rows = [cells_of(line, delimiter) for line in lines]
        for i, row in enumerate(rows[:-1]):
            channel = next((k for k, c in enumerate(row) if _LONG_CHANNEL.match(c)), None)
            value = next((k for k, c in enumerate(row) if _LONG_VALUE.match(c)), None)
            time = next((k for k, c in enumerate(row) if re.search(r"time|zeit|temps|tiempo|^t$", c, re.I)), None)
            if channel is None or value is None or time is None:
                continue
            unit = next((k for k, c in enumerate(row) if _LONG_UNIT.match(c)), -1)
            first = next(
                (
                    n
                    for n in range(i + 1, min(i + 4, len(rows)))
                    if len(rows[n]) > max(channel, value, time) and is_figure(rows[n][value])
                ),
                None,
            )
            if first is not None and not is_figure(rows[first][channel]):
                return delimiter, rows, first, (time, channel, value, unit)
        whole = [row for row in rows if 3 <= len(row) <= 5]
        if len(whole) < 8 or len(whole) < 0.8 * len(rows):
            continue
        kinds = ["".join("0" if is_figure(c) else "a" for c in row) for row in whole]
        usual = max(set(kinds), key=kinds.count)
        names = {row[1] for row, kind in zip(whole, kinds, strict=True) if kind == usual}
        if usual in ("0a0", "0a0a") and kinds.count(usual) >= 0.8 * len(whole) and len(names) <= len(whole) / 3:
            first = next(i for i, row in enumerate(rows) if "".join("0" if is_figure(c) else "a" for c in row) == usual)
            return delimiter, rows, first, (0, 1, 2, 3 if usual == "0a0a" else -1)
    return None


def offset_of_line(data: bytes, line: int) -> int:
    """Where a line begins, counted from 0; the end where there are fewer."""
    at = 0
    for _ in range(line):
        end = data.find(b"\n", at)
        if end < 0:
            return len(data)
        at = end + 1
    return at


def lines_of(text: str) -> list[str]:
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def _head_lines(data: bytes, encoding: str) -> list[str]:
    lines = lines_of(data[:HEAD_BYTES].decode(encoding, errors="ignore"))
    if len(data) > HEAD_BYTES and len(lines) > 1:
        lines = lines[:-1]  # the last one is cut off
    return lines[:HEAD_LINES]


def find_dialect(data: bytes, layout: Layout = AS_FOUND, encoding: str = "") -> Dialect:
    """Say how this file is to be read, or refuse it with the reason. What a person said of the layout is not guessed.

    `encoding` where it is known already: finding it reads the whole file.
    """
    refuse_what_is_no_text(data)
    encoding = encoding or encoding_of(data)
    lines = _head_lines(data, encoding)
    delimiters = [layout.delimiter] if layout.delimiter else list(DELIMITERS)
    long = _find_long(lines, delimiters)
    delimiter, rows, first = long[:3] if long else _choose(lines, delimiters)
    if layout.names_line is None or long:
        header, units, at = _header(rows, first)
    else:
        header, units, at, first = _told_header(rows, first, layout.names_line)
    if long and at < 0 and first and len(rows[first - 1]) == len(rows[first]):
        header, units, at = rows[first - 1], [], first - 1
    width = max(len(rows[first]), len(header) if any(header[len(rows[first]) :]) else 0)
    usual = len(rows[first])
    if width > usual:  # a longer row may stand before the first of usual length
        whole = (i for i in range(at + 1, first + 1) if usual <= len(rows[i]) <= width and is_row_of_figures(rows[i]))
        first = next(whole, first)  # in long form no row is all figures
    if width > MAX_COLUMNS:
        raise FileRefused("log.too_many_columns", columns=width, most=MAX_COLUMNS)

    def pad(row: Sequence[str]) -> tuple[str, ...]:
        return tuple(c[:MAX_HEADER] for c in [*row, *[""] * (width - len(row))][:width])

    shown = [pad(row) for row in rows[first : first + SHOWN_ROWS] if any(row)]
    notes = tuple(line.strip()[:MAX_HEADER] for line in lines[: at if at >= 0 else first] if line.strip(' \t,;|"'))
    return Dialect(
        encoding, delimiter, layout.decimal or _decimal(rows[first : first + 100]), first, pad(header), pad(units) if units else (), tuple(shown),
        notes[:SHOWN_NOTES], at >= 0, width > usual,
        sum(is_row_of_figures(row) or (len(row) == 1 and is_figure(row[0])) for row in rows[at + 1 : first]), long[3] if long else None, at, bool(layout.decimal),
    )  # fmt: skip
