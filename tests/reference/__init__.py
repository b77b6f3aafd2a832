"""Figures from outside the project. `checks.csv` holds single ones, `data` the tables, with `data/SOURCES.md`;
`BOOKS.md` says which editions the short names in tests mean."""

import csv
from pathlib import Path

import numpy as np

DATA = Path(__file__).parent / "data"


def rows_of(name: str) -> list[dict[str, float]]:
    with (DATA / name).open(encoding="utf-8") as lines:
        return [{key: float(value) for key, value in row.items()} for row in csv.DictReader(lines)]


def table(name: str) -> np.ndarray:
    """All figures, one row a line."""
    return np.array([list(row.values()) for row in rows_of(name)])
