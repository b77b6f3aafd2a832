"""Reading a log as it was matched: columns in stored units, what was left out and counted, what looks odd. Pure.

Nothing is repaired: a value that is not possible is left out and counted, a lonely spike stays and is pointed out.
"""

import itertools
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from measurements.logs.parsing.cells import Cells, as_utf8, read_cells
from measurements.logs.parsing.checks import (
    Stuck,
    gaps,
    is_counter,
    lonely_spikes,
    restarts,
    rows_of_ends,
    sentinel_in,
    stuck_stretches,
)
from measurements.logs.parsing.clock import FACTORS, days, over_midnight, seconds
from measurements.logs.parsing.dialect import Dialect
from measurements.logs.parsing.names import CHANNELS, CLOCK, DATED, DAY, IN_CELL, PART, SPEED, TIME, channel_name
from sizing.said import Said
from sizing.tables.refused import FileRefused
from sizing.units.conversion import convert

__all__ = ["Log", "Mapping", "ReadColumn", "check_mapping", "lonely_spikes", "read_columns", "read_logs"]

Mapping = dict[int, tuple[str, str]]  # position of the column: quantity, unit
CLOCKS = (TIME, DAY, PART)
LONG_ROWS = 1_000_000
TEXT_UNITS = (CLOCK, DATED, IN_CELL, "date")


@dataclass
class ReadColumn:
    """One matched column, with what was found in it."""

    position: int
    header: str
    quantity: str
    unit: str
    value_count: int = 0
    left_out: int = 0  # not possible: sentinels of a bus, broken frames
    left_out_low: float | None = None
    left_out_high: float | None = None
    sentinel: float | None = None  # a stand-in for "no reading", in the unit of the file
    sentinel_count: int = 0
    unreadable: int = 0  # text where a figure should stand
    lowest: float | None = None
    highest: float | None = None
    highest_at_s: float | None = None
    spikes: list[tuple[float, float]] = field(default_factory=list)  # time, value
    stuck: list[Stuck] = field(default_factory=list)
    never_moves: bool = False
    counter: bool = False


@dataclass
class Log:
    """A log in stored units, over one clock in seconds from its first row. A row holds what was logged in it."""

    table: pd.DataFrame
    columns: list[ReadColumn]
    row_count: int
    short_rows: int = 0
    clock_back: int = 0  # how often the time runs backwards
    clock_repeats: int = 0
    boost_from: Said | None = None  # how boost was made, when the log holds only the absolute pressure
    blank_rows: int = 0  # no value in any matched column
    timeless_rows: int = 0  # values without a time that can be read
    end_rows: int = 0  # rows of minima and maxima
    padded_rows: int = 0  # shorter than the header, as the logger writes
    cut_off_end: bool = False
    midnights: int = 0
    began_at_s: float = 0.0  # what the clock showed at the earliest row
    clock_unit: str = "s"
    clocks: int = 1  # how many columns of time
    pauses: list[tuple[float, float]] = field(default_factory=list)  # when, how long
    file_rows: dict[int, np.ndarray] = field(
        default_factory=dict
    )  # which row of the file each is, by clock (`row_key`), when wanted
    stretch: int = 1  # which of the stretches between restarts of the clock this is
    stretches: int = 1

    def series(self, quantity: str) -> tuple[np.ndarray, np.ndarray]:
        """Times and values of a quantity where it was logged; both empty when it was not."""
        if quantity not in self.table:
            return np.array([]), np.array([])
        seen = self.table[[TIME, quantity]].dropna()
        return seen[TIME].to_numpy(), seen[quantity].to_numpy()

    def column(self, quantity: str) -> ReadColumn | None:
        return next((c for c in self.columns if c.quantity == quantity), None)


def check_mapping(mapping: Mapping) -> None:
    taken = [quantity for quantity, _ in mapping.values() if quantity]
    for quantity in taken:
        if quantity not in CHANNELS:
            raise FileRefused("match.no_such_quantity", name=quantity)
        if taken.count(quantity) > 1 and quantity != TIME:
            raise FileRefused("match.twice", channel=channel_name(quantity))
    if TIME not in taken:
        raise FileRefused("match.no_time")
    channels = [q for q in taken if q not in CLOCKS]
    if channels in ([], [SPEED]):
        raise FileRefused("match.only_speed" if channels else "match.only_time")
    if taken.count(TIME) > 1 and (DAY in taken or PART in taken):
        raise FileRefused("match.one_clock")
    for quantity, unit in mapping.values():
        if quantity and unit not in CHANNELS[quantity].units:
            allowed = CHANNELS[quantity].units
            raise FileRefused("match.no_unit_of_it", channel=channel_name(quantity), unit=unit, allowed=allowed)


def row_key(clock: int) -> int:
    """Where the rows of the file that follow a clock (0: the first) are kept; no column has such a position."""
    return -1 - clock


@dataclass
class _Group:
    """One clock with the channels that follow it."""

    times: np.ndarray
    channels: list[int]
    rows_at: int = 0  # under which key the rows of the file are kept; 0: not wanted


def _clock(cells: Cells, position: int, mapping: Mapping, decimal: str) -> np.ndarray:
    unit = mapping[position][1]
    if position not in cells.texts:
        return cells.columns[position] * FACTORS[unit]
    times = seconds(cells.texts[position], unit, decimal)
    cells.unreadable[position] = int(np.isnan(times).sum()) - cells.texts[position].null_count
    return times


def _groups(cells: Cells, mapping: Mapping, decimal: str) -> tuple[list[_Group], int]:
    """The clock of each channel: the only one, or the nearest to its left; and how often it passed midnight."""
    clocks = [i for i, (quantity, _) in sorted(mapping.items()) if quantity == TIME]
    channels = [i for i, (quantity, _) in sorted(mapping.items()) if quantity and quantity not in CLOCKS]
    groups, midnights = [], 0
    for n, position in enumerate(clocks):
        times = _clock(cells, position, mapping, decimal)
        for other, (quantity, unit) in mapping.items():
            if quantity == DAY:
                times = times + days(cells.texts[other]) * 86400.0
            if quantity == PART:
                times = times + cells.columns[other] * FACTORS[unit]
        times, passed = over_midnight(times, mapping[position][1])
        midnights += passed
        until = clocks[n + 1] if n + 1 < len(clocks) else 10**9
        groups.append(
            _Group(
                times, channels if len(clocks) == 1 else [c for c in channels if (n == 0 or c > position) and c < until]
            )
        )
    return groups, midnights


def _rows(group: _Group, cells: Cells, counts: Log) -> tuple[np.ndarray, dict[int, np.ndarray]]:
    """The rows of one clock that hold a time and a value; the others are counted."""
    timed, filled = np.isfinite(group.times), np.zeros(cells.row_count, dtype=bool)
    for position in group.channels:
        filled |= ~np.isnan(cells.columns[position])
    keep = timed & filled
    counts.timeless_rows += int((filled & ~timed).sum())
    if counts.clocks == 1:
        counts.blank_rows += int((~filled).sum())
    columns = {}
    for position in group.channels:
        values = cells.columns.pop(position)
        columns[position] = values if keep.all() else values[keep]
    if group.rows_at:
        columns[group.rows_at] = np.flatnonzero(keep).astype(np.float64)
    return group.times if keep.all() else group.times[keep], columns


def _joined(groups: list[_Group], cells: Cells, counts: Log) -> tuple[np.ndarray, dict[int, np.ndarray]]:
    pieces = [_rows(group, cells, counts) for group in groups if group.channels]
    if len(pieces) == 1:
        return pieces[0]
    times = np.concatenate([t for t, _ in pieces])
    columns, at = {}, 0
    for some, values in pieces:
        for position, figures in values.items():
            columns[position] = np.full(len(times), np.nan)
            columns[position][at : at + len(some)] = figures
        at += len(some)
    order = np.argsort(times, kind="stable")
    return times[order], {p: v[order] for p, v in columns.items()}


def _possible(column: ReadColumn, values: np.ndarray, low: float, high: float) -> np.ndarray:
    """What is not possible is left out and counted."""
    with np.errstate(invalid="ignore"):
        bad = (values < low) | (values > high)
    if not bad.any():
        return values
    column.left_out = int(bad.sum())
    column.left_out_low, column.left_out_high = float(values[bad].min()), float(values[bad].max())
    return np.where(bad, np.nan, values)


def _fill_column(column: ReadColumn, raw: np.ndarray, times: np.ndarray) -> np.ndarray:
    """To the stored unit; leave out what is not possible, count it, and note the extremes and oddities of the rest."""
    channel = CHANNELS[column.quantity]
    values = raw if column.unit == channel.unit else convert(raw, column.unit, channel.unit)
    # Mostly nothing is missing or impossible, which the ends tell without a mask: they are no number where one value is none.
    whole = bool(channel.low <= values.min() and values.max() <= channel.high)
    column.counter = is_counter((raw if whole else raw[~np.isnan(raw)])[:20_000])
    if not whole:
        values = _possible(column, values, channel.low, channel.high)
    possible = raw if whole else raw[~np.isnan(values)]
    column.sentinel = sentinel_in(possible) if len(possible) else None
    if column.sentinel is not None:
        here = ~np.isnan(values) & (raw == column.sentinel)
        column.sentinel_count = int(here.sum())
        values, whole = np.where(here, np.nan, values), False
    seen = slice(None) if whole else ~np.isnan(values)
    here, known = times[seen], values[seen]
    column.value_count = len(known)
    if column.value_count:
        top = int(known.argmax())
        column.lowest, column.highest, column.highest_at_s = float(known.min()), float(known[top]), float(here[top])
        column.spikes = lonely_spikes(here, known, 0.02 * (channel.high - channel.low))
        column.never_moves = bool(len(known) >= 20 and column.lowest == column.highest)
        column.stuck = stuck_stretches(here, known)
    return values


def _boost_from_manifold(log: Log, air_pressure_kpa: float | None) -> None:
    """Boost is gauge: absolute pressure less that of the air, as logged in the same file, else as handed in."""
    if "manifold_pressure_kpa" not in log.table or "boost_kpa" in log.table:
        return
    logged = log.table.get("air_pressure_kpa")
    if logged is not None and logged.notna().any():
        air, where = float(logged.median()), "air.as_logged"
    elif air_pressure_kpa is not None:
        air, where = air_pressure_kpa, "air.standard"
    else:
        return
    log.table["boost_kpa"] = log.table["manifold_pressure_kpa"] - air
    log.boost_from = Said("log.boost_from_manifold", {"air_kpa": air, "where": Said(where)})


def _log(times: np.ndarray, columns: dict[int, np.ndarray], dialect: Dialect, mapping: Mapping, cells: Cells) -> Log:
    log = Log(pd.DataFrame(), [], len(times))
    steps = np.diff(times)
    log.clock_back, log.clock_repeats = int((steps < 0).sum()), int((steps == 0).sum())
    log.began_at_s = float(times.min())
    times = times - log.began_at_s
    if log.clock_back:
        order = np.argsort(times, kind="stable")
        times = times[order]
        for position in columns:
            columns[position] = columns[position][order]
    log.pauses = gaps(times)
    for position, (quantity, unit) in sorted(mapping.items()):
        if not quantity:
            continue
        column = ReadColumn(
            position, dialect.header[position], quantity, unit, unreadable=cells.unreadable.get(position, 0)
        )
        if quantity == TIME:
            column.value_count, column.lowest, column.highest = len(times), float(times.min()), float(times.max())
        log.columns.append(column)
    channels = [c for c in log.columns if c.quantity not in CLOCKS]
    # NumPy works on two columns at once; a very long log has no room for that.
    with ThreadPoolExecutor(2 if len(times) <= LONG_ROWS else 1) as pool:
        filled = pool.map(lambda c: _fill_column(c, columns.pop(c.position), times), channels)
        frame = {TIME: times} | {c.quantity: values for c, values in zip(channels, filled, strict=True)}
    log.table = pd.DataFrame(frame, copy=False)
    log.file_rows = {p: rows for p, rows in columns.items() if p < 0}
    speed = log.column(SPEED)
    if speed and speed.value_count == 0:
        raise FileRefused("log.no_speed_in_column", channel=channel_name(SPEED, small=True), header=speed.header)
    return log


def read_logs(
    data: bytes,
    dialect: Dialect,
    mapping: Mapping,
    air_pressure_kpa: float | None = None,
    split: bool = True,
    with_rows: bool = False,
) -> list[Log]:
    """Read a log as a person matched it: one log a stretch between restarts of its clock. FileRefused says the reason.

    `air_pressure_kpa` is the pressure of the air where the log was taken, for logs that hold only absolute pressure.
    `with_rows` keeps which row of the file each row of the log was.
    """
    check_mapping(mapping)
    used = [i for i, (quantity, _) in sorted(mapping.items()) if quantity]
    if used[-1] >= len(dialect.header):
        raise FileRefused("match.no_such_column")
    cells = read_cells(as_utf8(data, dialect), dialect, used, {i for i in used if mapping[i][1] in TEXT_UNITS})
    counts = Log(pd.DataFrame(), [], 0)
    times, columns = _in_time(cells, dialect, mapping, counts, with_rows)
    cuts = [0, *(restarts(times) if split and counts.clocks == 1 else []), len(times)]
    logs, last = [], None
    for number, (start, end) in enumerate(itertools.pairwise(cuts), start=1):
        part = columns if len(cuts) == 2 else {p: v[start:end] for p, v in columns.items()}
        try:
            log = _log(times[start:end], part, dialect, mapping, cells)
        except FileRefused as refused:
            last = refused
            continue
        log.stretch, log.stretches = number, len(cuts) - 1
        _of_the_whole(log, cells, counts)
        _boost_from_manifold(log, air_pressure_kpa)
        logs.append(log)
    if not logs:
        raise last or FileRefused("log.no_row")
    return logs


def _in_time(
    cells: Cells, dialect: Dialect, mapping: Mapping, counts: Log, with_rows: bool
) -> tuple[np.ndarray, dict[int, np.ndarray]]:
    """Times and columns of all rows that hold both, without rows of minima and maxima; what was left out is counted."""
    groups, counts.midnights = _groups(cells, mapping, dialect.decimal)
    counts.clocks, counts.clock_unit = (
        len(groups),
        next(unit for quantity, unit in mapping.values() if quantity == TIME),
    )
    if with_rows:
        for clock, group in enumerate(groups):
            group.rows_at = row_key(clock)
    if not any(np.isfinite(group.times).any() for group in groups):
        raise FileRefused("match.no_times")
    times, columns = _joined(groups, cells, counts)
    if not len(times):
        raise FileRefused("match.no_row_with_both")
    if len(groups) == 1:
        counts.end_rows = rows_of_ends([times, *(values for position, values in columns.items() if position >= 0)])
        times, columns = times[counts.end_rows :], {p: v[counts.end_rows :] for p, v in columns.items()}
    return times, columns


def _of_the_whole(log: Log, cells: Cells, counts: Log) -> None:
    """What was counted over the whole text is said of each of its stretches."""
    log.short_rows, log.padded_rows, log.cut_off_end = cells.odd_rows, cells.padded_rows, cells.last_is_odd
    log.blank_rows, log.timeless_rows, log.end_rows = counts.blank_rows, counts.timeless_rows, counts.end_rows
    log.midnights, log.clocks, log.clock_unit = counts.midnights, counts.clocks, counts.clock_unit


def read_columns(data: bytes, dialect: Dialect, mapping: Mapping, air_pressure_kpa: float | None = None) -> Log:
    """As `read_logs`, with everything in one log even where the clock starts again."""
    return read_logs(data, dialect, mapping, air_pressure_kpa, split=False)[0]
