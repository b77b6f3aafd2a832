"""A drum run or a road run from CSV or pasted text: time and speed, in any usual unit. Pure."""

import csv

import numpy as np

from measurements.logs.parsing.dialect import LogRefused, find_dialect
from measurements.logs.parsing.names import CLOCK, SPEED, TIME, guess
from sizing.units.conversion import convert
from sizing.units.figures import read_figure

MOST_ROWS = 200_000
SPEEDS = {"drum": (SPEED, "rpm"), "road": ("road_speed_km_h", "km/h")}


def _cell(row: list[str], position: int, line: int, decimal: str) -> float:
    text = row[position].strip() if position < len(row) else ""
    try:
        return read_figure(text, decimal)
    except ValueError:
        raise LogRefused("table.no_figure", line=line, text=text[:40]) from None


def read_run(data: bytes, kind: str) -> tuple[np.ndarray, np.ndarray]:
    """Times in s and speeds in rpm (drum) or km/h (road); LogRefused with the reason and the line.

    >>> read_run(b"time_s,drum_speed_rpm\\n0,300\\n0.5,320\\n", "drum")[1].tolist()
    [300.0, 320.0]
    """
    slug, unit = SPEEDS[kind]
    dialect = find_dialect(data)
    found: dict[str, tuple[int, str]] = {}
    for i, name in enumerate(dialect.header):
        quantity, said = guess(name, dialect.units[i] if dialect.units else "")
        found.setdefault(quantity, (i, said))
    if TIME not in found or found[TIME][1] == CLOCK:
        raise LogRefused("table.no_time")
    if slug not in found:
        raise LogRefused(f"table.no_{kind}_speed")
    rows = list(csv.reader(data.decode(dialect.encoding, errors="replace").splitlines(), delimiter=dialect.delimiter))
    filled = [
        (n, row)
        for n, row in enumerate(rows[dialect.skip_rows :], start=dialect.skip_rows + 1)
        if any(c.strip() for c in row)
    ]
    if len(filled) > MOST_ROWS:
        raise LogRefused("table.too_many_rows", rows=len(filled), most=MOST_ROWS)
    times = np.array([_cell(row, found[TIME][0], n, dialect.decimal) for n, row in filled])
    speeds = np.array([_cell(row, found[slug][0], n, dialect.decimal) for n, row in filled])
    return convert(times, found[TIME][1], "s"), convert(speeds, found[slug][1], unit)
