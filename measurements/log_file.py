"""Reading a log as it was matched: columns in stored units, what was left out and counted, what looks odd. Pure.

Nothing is repaired: a value that is not possible is left out and counted, a lonely spike stays and is pointed out.
"""

import io
from dataclasses import dataclass, field

import numpy as np
import pandas as pd
import pyarrow as pa
from pyarrow import csv as arrow_csv

from sizing.units import convert

from .log_dialect import Dialect, LogRefused
from .log_names import CHANNELS, CLOCK, SPEED, TIME

EMPTY = ["", "NaN", "nan", "NAN", "N/A", "n/a", "NA", "-", "--", "---", "null", "None", "#N/A", "inf", "-inf"]
Mapping = dict[int, tuple[str, str]]  # position of the column: quantity, unit


@dataclass
class Column:
    """One matched column, with what was found in it."""

    position: int
    header: str
    quantity: str
    unit: str
    value_count: int = 0
    left_out: int = 0  # not possible: sentinels of a bus, broken frames
    left_out_low: float | None = None
    left_out_high: float | None = None
    unreadable: int = 0  # text where a figure should stand
    lowest: float | None = None
    highest: float | None = None
    highest_at_s: float | None = None
    spikes: list[tuple[float, float]] = field(default_factory=list)  # time, value


@dataclass
class Log:
    """A log in stored units, over one clock in seconds from its first row. A row holds what was logged in it."""

    table: pd.DataFrame
    columns: list[Column]
    row_count: int
    short_rows: int = 0
    clock_back: int = 0  # how often the time runs backwards
    clock_repeats: int = 0
    boost_from: str = ""  # how boost was made, when the log holds only the absolute pressure

    def series(self, quantity: str) -> tuple[np.ndarray, np.ndarray]:
        """Times and values of a quantity where it was logged; both empty when it was not."""
        if quantity not in self.table:
            return np.array([]), np.array([])
        seen = self.table[[TIME, quantity]].dropna()
        return seen[TIME].to_numpy(), seen[quantity].to_numpy()

    def column(self, quantity: str) -> Column | None:
        return next((c for c in self.columns if c.quantity == quantity), None)


def check_mapping(mapping: Mapping) -> None:
    taken = [quantity for quantity, _ in mapping.values() if quantity]
    for quantity in taken:
        if quantity not in CHANNELS:
            raise LogRefused(f"'{quantity}' is not a quantity of a log.")
        if taken.count(quantity) > 1:
            raise LogRefused(f"{CHANNELS[quantity].label} stands for two columns. Keep one of them.")
    if TIME not in taken:
        raise LogRefused("No column is taken for the time. Say which one is the clock; without it nothing can be read.")
    if SPEED not in taken:
        raise LogRefused("No column is taken for the engine speed. Without it boost and power mean nothing.")
    if len(taken) < 3:
        raise LogRefused("Only time and engine speed are matched. Match at least one more column, such as boost.")
    for quantity, unit in mapping.values():
        if quantity and unit not in CHANNELS[quantity].units:
            raise LogRefused(f"{CHANNELS[quantity].label}: '{unit}' is not a unit of it. Allowed: {', '.join(CHANNELS[quantity].units)}.")


def _refuse_unclosed_quote(data: bytes) -> None:
    """A quote that never closes would swallow the rest of the file into one cell without an error."""
    if data.count(b'"') % 2:
        line = data[: data.rfind(b'"')].count(b"\n") + 1
        raise LogRefused(f"A quotation mark is opened and never closed (last one in line {line}). Correct the file and send it again.")


def _as_utf8(data: bytes, dialect: Dialect) -> bytes:
    return data if dialect.encoding == "utf-8-sig" else data.decode(dialect.encoding, errors="replace").encode()


def _parse(data: bytes, dialect: Dialect, used: list[str], names: list[str], kinds: dict) -> tuple[pa.Table, int]:
    short = 0

    def count_short(_row) -> str:
        nonlocal short
        short += 1
        return "skip"

    table = arrow_csv.read_csv(
        io.BytesIO(data),
        read_options=arrow_csv.ReadOptions(column_names=names, skip_rows=dialect.skip_rows, encoding="utf8"),
        parse_options=arrow_csv.ParseOptions(delimiter=dialect.delimiter, invalid_row_handler=count_short),
        convert_options=arrow_csv.ConvertOptions(
            include_columns=used, column_types=kinds, null_values=EMPTY, strings_can_be_null=True, decimal_point=dialect.decimal
        ),
    )
    return table, short


def _read_table(data: bytes, dialect: Dialect, mapping: Mapping) -> tuple[pd.DataFrame, int]:
    """Fast where every cell is a figure; where one is not, that file is read as text and converted cell by cell."""
    names = [str(i) for i in range(len(dialect.header))]
    used = [str(i) for i, (quantity, _) in sorted(mapping.items()) if quantity]
    clocks = {str(i) for i, (_, unit) in mapping.items() if unit == CLOCK}
    kinds = {n: pa.string() if n in clocks else pa.float64() for n in used}
    try:
        table, short = _parse(data, dialect, used, names, kinds)
    except pa.ArrowInvalid:
        try:
            table, short = _parse(data, dialect, used, names, {n: pa.string() for n in used})
        except pa.ArrowInvalid as error:
            raise LogRefused(f"The file cannot be read as a table: {str(error).split(':', 1)[-1].strip()[:200]}") from error
    if table.num_rows == 0:
        raise LogRefused("There is not one row of figures below the header.")
    return table.to_pandas(), short


def _figures(values: pd.Series, unit: str, decimal: str) -> tuple[np.ndarray, int]:
    """Cells as floats, and how many held text that is no figure."""
    if values.dtype.kind == "f":
        return values.to_numpy(), 0
    filled = values.notna()
    if unit == CLOCK:
        figures = pd.to_timedelta(values.str.strip(), errors="coerce").dt.total_seconds()
        if figures.notna().sum() < filled.sum() / 2:  # a date before the time of day
            moments = pd.to_datetime(values.str.strip(), errors="coerce", utc=True)
            figures = (moments - moments.dropna().iloc[0]).dt.total_seconds() if moments.notna().any() else figures
    else:
        text = values.str.strip().str.replace("−", "-")
        figures = pd.to_numeric(text.str.replace(",", ".") if decimal == "," else text, errors="coerce")
    return figures.to_numpy(dtype=float), int((filled & figures.isna()).sum())


def _fill_column(column: Column, values: np.ndarray, times: np.ndarray) -> np.ndarray:
    """Leave out what is not possible, count it, and note the extremes of the rest."""
    channel = CHANNELS[column.quantity]
    with np.errstate(invalid="ignore"):
        bad = (values < channel.low) | (values > channel.high) | np.isinf(values)
    if bad.any():
        column.left_out = int(bad.sum())
        column.left_out_low, column.left_out_high = float(values[bad].min()), float(values[bad].max())
        values = np.where(bad, np.nan, values)
    seen = ~np.isnan(values)
    column.value_count = int(seen.sum())
    if column.value_count:
        top = int(np.nanargmax(values))
        column.lowest, column.highest = float(np.nanmin(values)), float(values[top])
        column.highest_at_s = float(times[top])
        column.spikes = lonely_spikes(times[seen], values[seen], 0.02 * (channel.high - channel.low))
    return values


def lonely_spikes(times: np.ndarray, values: np.ndarray, least: float, most: int = 20) -> list[tuple[float, float]]:
    """Single samples that stand far off both neighbours on the same side, while the neighbours agree.

    Far is ten times the usual step from sample to sample and at least `least` in the stored unit.
    """
    if len(values) < 5:
        return []
    before, here, after = values[:-2], values[1:-1], values[2:]
    steps = np.abs(np.diff(values))
    usual = np.median(steps) + 1.4826 * np.median(np.abs(steps - np.median(steps)))
    off = np.minimum(np.abs(here - before), np.abs(here - after))
    same_side = np.sign(here - before) == np.sign(here - after)
    lonely = same_side & (off > max(10 * usual, least)) & (np.abs(before - after) < 0.2 * off)
    return [(float(times[i + 1]), float(values[i + 1])) for i in np.flatnonzero(lonely)[:most]]


def _boost_from_manifold(log: Log, air_pressure_kpa: float | None) -> None:
    """Boost is gauge: absolute pressure less that of the air, as logged in the same file, else as handed in."""
    if "manifold_pressure_kpa" not in log.table or "boost_kpa" in log.table:
        return
    logged = log.table.get("air_pressure_kpa")
    if logged is not None and logged.notna().any():
        air, where = float(logged.median()), "as logged"
    elif air_pressure_kpa is not None:
        air, where = air_pressure_kpa, "standard air at the altitude of the workshop"
    else:
        return
    log.table["boost_kpa"] = log.table["manifold_pressure_kpa"] - air
    log.boost_from = f"Boost is the absolute manifold pressure less {air:.1f} kPa of air ({where})."


def read_log(data: bytes, dialect: Dialect, mapping: Mapping, air_pressure_kpa: float | None = None) -> Log:
    """Read a log as a person matched it, or refuse it with the reason.

    `air_pressure_kpa` is the pressure of the air where the log was taken, for logs that hold only absolute pressure.
    """
    check_mapping(mapping)
    data = _as_utf8(data, dialect)
    _refuse_unclosed_quote(data)
    raw, short = _read_table(data, dialect, mapping)
    by_quantity = {quantity: i for i, (quantity, _) in mapping.items() if quantity}
    unit = mapping[by_quantity[TIME]][1]
    clock, unreadable = _figures(raw[str(by_quantity[TIME])], unit, dialect.decimal)
    if np.isnan(clock).all():
        raise LogRefused("The column taken for the time holds no times that can be read. Choose another one, or another unit.")
    seconds = clock if unit == CLOCK else convert(clock, unit, "s")
    times = seconds - seconds[~np.isnan(seconds)][0]
    columns, frame = [], {TIME: times}
    for position, (quantity, column_unit) in sorted(mapping.items()):
        if not quantity:
            continue
        column = Column(position, dialect.header[position], quantity, column_unit)
        if quantity == TIME:
            column.unreadable, column.value_count = unreadable, int((~np.isnan(times)).sum())
            column.lowest, column.highest = float(np.nanmin(times)), float(np.nanmax(times))
        else:
            values, column.unreadable = _figures(raw[str(position)], column_unit, dialect.decimal)
            frame[quantity] = _fill_column(column, convert(values, column_unit, CHANNELS[quantity].unit), times)
        columns.append(column)
    log = _with_clock_checked(Log(pd.DataFrame(frame), columns, len(raw), short))
    _boost_from_manifold(log, air_pressure_kpa)
    return log


def _with_clock_checked(log: Log) -> Log:
    steps = np.diff(log.table[TIME].dropna().to_numpy())
    log.clock_back, log.clock_repeats = int((steps < 0).sum()), int((steps == 0).sum())
    for quantity in (SPEED,):
        column = log.column(quantity)
        if column and column.value_count == 0:
            raise LogRefused(f"The column taken for {CHANNELS[quantity].label.lower()} ('{column.header}') holds no possible value.")
    return log
