"""The table of pairings: which rows are asked for, in which order, and the same as CSV."""

from collections.abc import Mapping
from typing import Any

from measurements.review.outcomes import plunger_class_mm
from measurements.review.pages import CSV_COLUMNS, csv_rows
from measurements.review.review import Pairing
from measurements.review.survival import TooFew
from sizing.tables.csv_io import write_table


def _survival(row: Pairing) -> float:
    left = row.left
    return -1.0 if isinstance(left, TooFew) or left.survival is None else left.survival


def _known(value: float | None) -> float:
    return float("-inf") if value is None else value


SORTS = {
    "turbo": lambda row: (row.turbo_name, row.key.plunger_mm, row.key.has_cooler),
    "fitted": lambda row: row.fitted,
    "service": lambda row: row.service_months,
    "failures": lambda row: row.failures,
    "survival": _survival,
    "gain": lambda row: _known(row.gain_kw.value),
    "heat": lambda row: _known(row.in_hand_c.lowest),
}
DEFAULT_SORT = "-fitted"


def wanted(rows: list[Pairing], asked: Mapping[str, Any]) -> list[Pairing]:
    words = asked.get("q", "").lower().split()
    rows = [row for row in rows if all(word in row.turbo_name.lower() for word in words)]
    if asked.get("cooler"):
        rows = [row for row in rows if row.key.has_cooler == (asked["cooler"] == "with")]
    if asked.get("plunger") is not None:
        plunger_mm = float(plunger_class_mm(asked["plunger"]))
        rows = [row for row in rows if row.key.plunger_mm == plunger_mm]
    if asked.get("least") is not None:
        rows = [row for row in rows if row.fitted >= asked["least"]]
    sort = asked.get("sort", "")
    sort = sort if sort.lstrip("-") in SORTS else DEFAULT_SORT
    return sorted(rows, key=SORTS[sort.lstrip("-")], reverse=sort.startswith("-"))


def csv_table(rows: list[Pairing], months: float) -> str:
    """In stored units; an unknown is an empty cell."""
    return write_table(CSV_COLUMNS, csv_rows(rows, months))
