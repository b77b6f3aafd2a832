"""What each column of a recording is taken for before a person looks at it, and the mark of its header. Pure."""

import hashlib
import json

import numpy as np
import pyarrow as pa

from measurements.logs.parsing.clock import numbers, unit_of_clock
from measurements.logs.parsing.dialect import Dialect
from measurements.logs.parsing.file import Mapping
from measurements.logs.parsing.names import DAY, PART, SPEED, TIME, guess, unit_in

Pair = tuple[str, str]


def header_mark(dialect: Dialect) -> str:
    """The same for every file with the same names, units and decimal mark, whoever sent it."""
    return hashlib.sha256(json.dumps([dialect.header, dialect.units], ensure_ascii=False).encode()).hexdigest()


def _cells(dialect: Dialect, position: int) -> list[str]:
    return [row[position] for row in dialect.first_rows if position < len(row)]


def _rising(cells: list[str], decimal: str) -> bool:
    values = numbers(pa.array(cells, pa.string()), decimal)
    return len(values) >= 2 and bool(np.isfinite(values).all() and (np.diff(values) > 0).all())


def _is_moment(cells: list[str]) -> bool:
    return bool(cells) and unit_of_clock("s", cells) not in ("s", "ms", "µs", "day")


def guessed_columns(dialect: Dialect) -> list[Pair]:
    """Quantity and unit of each column; empty where it is not used. A quantity goes to the first column that claims it.

    Several columns named as time are one clock a channel when channels stand between them.
    """
    pairs: list[Pair] = []
    taken: set[str] = set()
    for i, header in enumerate(dialect.header):
        said = dialect.units[i] if dialect.units else ""
        quantity, unit = guess(header, said) if dialect.has_header else ("", "")
        cells = _cells(dialect, i)
        if dialect.has_header and not quantity and guess(header, "")[0] == TIME and _is_moment(cells):
            quantity = TIME  # a unit such as hh:mm:ss is not in the table of units, the cells say it
        if quantity == DAY and any(":" in c for c in cells):
            quantity = TIME
        if quantity == TIME:
            named = said or any(
                unit_in(word, (unit,))
                for word in header.replace("_", " ").replace("[", " ").replace("(", " ").split()[1:]
            )
            unit = unit_of_clock(unit if named else "", cells)
        pairs.append((quantity, unit) if quantity and (quantity not in taken or quantity == TIME) else ("", ""))
        taken.add(pairs[-1][0])
    if not dialect.has_header:
        return _without_header(dialect)
    return _one_clock_or_many(pairs)


def _without_header(dialect: Dialect) -> list[Pair]:
    """Nothing has a name: only a column that rises all along, or holds moments, can be told to be the clock."""
    width = len(dialect.header)
    clock = next((i for i in range(width) if _is_moment(_cells(dialect, i))), None)
    if clock is None:
        clock = next((i for i in range(width) if _rising(_cells(dialect, i), dialect.decimal)), None)
    return [(TIME, unit_of_clock("", _cells(dialect, i))) if i == clock else ("", "") for i in range(width)]


def _one_clock_or_many(pairs: list[Pair]) -> list[Pair]:
    clocks = [i for i, (quantity, _) in enumerate(pairs) if quantity == TIME]
    if len(clocks) > 1:
        between = [
            any(pairs[k][0] not in ("", TIME, DAY, PART) for k in range(a + 1, b))
            for a, b in zip(clocks, [*clocks[1:], len(pairs)], strict=True)
        ]
        many = all(between) and clocks[0] == min((i for i, (q, _) in enumerate(pairs) if q), default=0)
        if not many:
            pairs = [
                ("", "") if quantity == TIME and i != clocks[0] else (quantity, unit)
                for i, (quantity, unit) in enumerate(pairs)
            ]
        else:
            pairs = [("", "") if quantity in (DAY, PART) else (quantity, unit) for quantity, unit in pairs]
    if TIME not in dict(pairs):  # a date or thousandths alone are no clock
        pairs = [("", "") if quantity in (DAY, PART) else (quantity, unit) for quantity, unit in pairs]
    return pairs


def matched_columns(dialect: Dialect) -> Mapping:
    """The guess as a mapping."""
    return dict(enumerate(guessed_columns(dialect)))


def without_unit(dialect: Dialect) -> set[int]:
    """Columns whose unit nobody wrote down: the stored one is assumed and a person should look."""
    found = set()
    for i, (quantity, unit) in enumerate(guessed_columns(dialect)):
        if quantity in ("", TIME, DAY, PART):
            continue
        if quantity != SPEED and not (dialect.units and dialect.units[i]) and not unit_in(dialect.header[i], (unit,)):
            found.add(i)
    return found
