"""The marks of a table: between cells, in figures, round units. Pure."""

import csv
import re
from collections.abc import Iterable

from sizing.said import Said
from sizing.tables.refused import CellRefused, FileRefused

MAX_COLUMNS = 300
DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
DECIMALS = {".": "point", ",": "comma"}

# A cell of a row of units; a name such as 'Boost' is none.
_UNIT_CELL = re.compile(
    r"^[\[(<{]?\s*(-|\.|[kmh]?pa|m?bar|psi|in ?hg|mm ?hg|at[mü]?|kg[f]?/cm[2²]|°?[cfk]|deg ?[cfk]?|°|grad ?[cf]?|øc|celsius|"
    r"(1|u|r|rev)/min|min-1|rpm|r\.?p\.?m\.?|u/min|rad/s|n[·. ]?m|lb.?ft|ft.?lb|k?w|ps|[bm]?hp|cv|l/h|l/min|g/s|kg/h|cc ?/?p?s|mg/(stk|hub|str)|"
    r"mm[3³](/(stroke|hub|str))?|km/?h|m/s2?|m/s²|mph|kph|g|pct|%|percent|m?s|sec|seconds?|min|minutes?|h|hh:mm:ss(\.\w+)?|us|µs|1/m|m-1|m⁻¹|"
    r"v|mv|a|ma|hz|ratio|lambda|afr|λ|bit|bool|raw|count|nr|no|none|text|km|m|date|time)\s*"
    r"(\(?(abs|g|gauge|rel)\)?)?\s*[\])>}]?$",
    re.IGNORECASE,
)
_BLANKS = re.compile(r"[\s\u00a0\u202f']")
_ONE_MARK = re.compile(r"[+-]?(\d+[.,]\d*|[.,]\d+)(e[+-]?\d+)?", re.IGNORECASE)
_TWO_WAYS = re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}")  # thousands, or three decimals


def cells_of(line: str, delimiter: str) -> list[str]:
    try:
        return [c.strip() for c in next(csv.reader([line], delimiter=delimiter), [])]
    except csv.Error as error:
        raise FileRefused("table.no_table", why=str(error)) from error


def looks_like_units(row: list[str]) -> bool:
    filled = [c for c in row if c]
    return bool(filled) and sum(bool(_UNIT_CELL.match(c)) for c in filled) >= 0.6 * len(filled)


def tight(figure: str) -> str:
    """Without blanks between thousands, and with a plain minus."""
    return _BLANKS.sub("", figure).replace("−", "-")


def one_decimal_mark(cells: Iterable[tuple[int, str, str]], delimiter: str) -> str:
    """The decimal mark of figures given by line, column and text. Refused where it can be read two ways, or is not one.

    >>> one_decimal_mark([(2, "flow", "1,234"), (3, "flow", "0,5")], ";")
    ','
    """
    sure: dict[str, tuple[int, str, str]] = {}
    unsure: dict[str, tuple[int, str, str]] = {}
    for line, column, text in cells:
        mark = "," if "," in text else "."
        if mark in text and mark not in sure and _ONE_MARK.fullmatch(tight(text)):
            found = unsure if _TWO_WAYS.fullmatch(tight(text)) else sure
            found.setdefault(mark, (line, column, text))
    if len(sure) == 2:
        (line, column, text), (other_line, _, other) = sure[","], sure["."]
        raise FileRefused(
            "table.both_marks", line=line, column=column, text=text[:40], other_line=other_line, other=other[:40]
        )
    if not sure and delimiter == ",":
        unsure.pop(".", None)  # who writes a comma between cells, writes a point in figures
    if unsure and not sure:
        line, column, text = next(iter(unsure.values()))
        ways = {"text": text, "small": re.sub("[.,]", ".", tight(text)) + "0", "large": re.sub("[.,]", "", tight(text))}
        raise CellRefused(line, column, text, Said("cell.two_ways", ways))
    return next(iter(sure), ".")
