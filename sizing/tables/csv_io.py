"""Cells as CSV: nothing that a spreadsheet would run goes out, and what was done against it is undone on the way in."""

import csv
import io
import re
from collections.abc import Iterable, Sequence

# A cell that starts like this is run as a formula by spreadsheets, so it goes out behind an apostrophe.
_FORMULA = re.compile(r"^'*\s*[=+\-@＝＋－＠\t\r\n]")
_GUARDED = re.compile(r"^'+\s*[=+\-@＝＋－＠\t\r\n]")
_NUMBER = re.compile(r"^[+-]?\d+([.,]\d+)?(e[+-]?\d+)?$", re.IGNORECASE)


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
    return text[1:] if text.startswith("'") and _GUARDED.match(text) else text


def write_table(header: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(header)
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
    return out.getvalue()
