"""Long form, one row a reading (time, channel, value, unit), brought into columns. Nothing is filled in between. Pure."""

import io

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from pyarrow import csv as arrow_csv

from measurements.logs.parsing.cells import EMPTY
from measurements.logs.parsing.clock import numbers
from measurements.logs.parsing.dialect import Dialect
from sizing.said import Said
from sizing.tables.marks import MAX_COLUMNS
from sizing.tables.refused import FileRefused

MAX_WIDE_CELLS = 20_000_000


def _read(data: bytes, start: int, dialect: Dialect, as_text: bool) -> tuple[pa.Table, int]:
    width, short = len(dialect.header), 0

    def count_short(_row: object) -> str:
        nonlocal short
        short += 1
        return "skip"

    time, channel, value, unit = (str(i) for i in dialect.long or ())
    names = pa.dictionary(pa.int32(), pa.string())
    kinds = {time: pa.string(), channel: names, value: pa.string() if as_text else pa.float64()} | (
        {unit: names} if unit != "-1" else {}
    )
    stream = arrow_csv.open_csv(
        pa.BufferReader(pa.py_buffer(memoryview(data)[start:])),
        read_options=arrow_csv.ReadOptions(column_names=[str(i) for i in range(width)]),
        parse_options=arrow_csv.ParseOptions(delimiter=dialect.delimiter, invalid_row_handler=count_short),
        convert_options=arrow_csv.ConvertOptions(
            include_columns=list(kinds),
            column_types=kinds,
            null_values=EMPTY,
            strings_can_be_null=True,
            decimal_point=dialect.decimal,
        ),
    )
    return pa.Table.from_batches(list(stream), schema=stream.schema).unify_dictionaries(), short


def _codes(column: pa.ChunkedArray) -> tuple[np.ndarray, list[str]]:
    """Position of each name among the trimmed distinct ones, -1 where there is none."""
    whole = column.combine_chunks()
    whole = whole.chunk(0) if isinstance(whole, pa.ChunkedArray) else whole
    names = [(name or "").strip() for name in whole.dictionary.to_pylist()]
    distinct = list(dict.fromkeys(names))
    places = np.array(
        [distinct.index(name) if name else -1 for name in names]
        if len(names) <= 10 * MAX_COLUMNS
        else np.arange(len(names)),
        dtype=np.int32,
    )
    codes = pc.fill_null(whole.indices, -1).to_numpy(zero_copy_only=False)
    return np.where(codes >= 0, places[codes] if len(places) else -1, -1).astype(np.int32), distinct


def _breaks(time: pa.Array, codes: np.ndarray, many: int) -> np.ndarray:
    """True where another row begins: the time is another one, or a channel comes twice at one time."""
    first = np.ones(len(codes), dtype=bool)
    first[1:] = pc.not_equal(time.slice(1), time.slice(0, len(time) - 1)).to_numpy(zero_copy_only=False)
    keys = np.cumsum(first, dtype=np.int64) * many + codes
    keys.sort()
    twice = np.unique(keys[1:][keys[1:] == keys[:-1]] // many)
    if len(twice):
        inside = np.isin(np.cumsum(first), twice)
        first[1:] |= inside[1:] & (codes[1:] <= codes[:-1])
    return first


def _table(data: bytes, start: int, dialect: Dialect) -> tuple[pa.Table, int]:
    """The readings, values as figures where all are, as text where one is not; and how many rows were short."""
    try:
        return _read(data, start, dialect, as_text=False)
    except pa.ArrowInvalid:
        try:
            return _read(data, start, dialect, as_text=True)
        except pa.ArrowInvalid as error:
            raise FileRefused("log.unreadable_table", why=str(error).split(":", 1)[-1].strip()[:200]) from error


def _channels(channel: pa.ChunkedArray, unit: pa.ChunkedArray | None) -> tuple[np.ndarray, list[str]]:
    """Which channel each reading is of, -1: none; and their names, the unit in them where it has a column of its own."""
    codes, names = _codes(channel)
    if unit is not None:
        of_unit, units = _codes(unit)
        many = len(units) + 1
        pairs = np.where(codes >= 0, codes.astype(np.int64) * many + of_unit + 1, -1)
        distinct, codes = np.unique(pairs, return_inverse=True)
        codes = codes - bool(len(distinct) and distinct[0] < 0)
        names = [f"{names[p // many]} [{(['', *units])[p % many]}]" for p in distinct.tolist() if p >= 0]
    if len(names) + 1 > MAX_COLUMNS:
        raise FileRefused("log.too_many_channels", channels=len(names), most=MAX_COLUMNS - 1)
    return codes, names


def _columns(
    row: np.ndarray, many: int, codes: np.ndarray, names: list[str], figures: np.ndarray
) -> dict[str, pa.Array]:
    """A column a channel, empty where a row holds no reading of it."""
    wide: dict[str, pa.Array] = {}
    for code, name in enumerate(names):
        cells, mine = np.full(many, np.nan), codes == code
        cells[row[mine]] = figures[mine]
        label = name.replace("[]", "").strip() or "(no name)"
        while label in wide or label == "time":
            label += "'"
        wide[label] = pa.array(cells, from_pandas=True)
    return wide


def left_out(rows: int, why: str) -> Said:
    """Rows that were left out: how many, and why, by the code of the reason."""
    return Said("log.rows_left_out", {"count": rows, "why": Said(f"row.{why}")})


def widen(data: bytes, start: int, dialect: Dialect) -> tuple[bytes, list[Said]]:
    """The same readings as CSV with a column a channel, its unit in the name; and what was left out.

    Readings of one time stand in one row; a channel that comes twice at one time begins another row.
    """
    assert dialect.long is not None
    table, short = _table(data, start, dialect)
    told = [left_out(short, "another_width")] if short else []
    time_at, channel_at, value_at, unit_at = dialect.long
    codes, names = _channels(table[str(channel_at)], table[str(unit_at)] if unit_at >= 0 else None)
    time, value = pc.utf8_trim_whitespace(table[str(time_at)].combine_chunks()), table[str(value_at)].combine_chunks()
    del table
    keep = (codes >= 0) & time.is_valid().to_numpy(zero_copy_only=False)
    if not keep.all():
        told.append(left_out(int((~keep).sum()), "no_time_or_channel"))
        time, value, codes = time.filter(pa.array(keep)), value.filter(pa.array(keep)), codes[keep]
    if not len(time):
        raise FileRefused("log.no_row")
    if pa.types.is_string(value.type):
        figures = numbers(value, dialect.decimal, dialect.decimal_told)
        told += [Said("log.readings_without_figure", {"count": int(np.isnan(figures).sum()) - value.null_count})]
    else:
        figures = value.to_numpy(zero_copy_only=False)
    first = _breaks(time, codes, len(names))
    row, starts = np.cumsum(first) - 1, np.flatnonzero(first)
    if len(starts) * len(names) > MAX_WIDE_CELLS:
        raise FileRefused("log.too_many_wide_cells", cells=len(starts) * len(names), most=MAX_WIDE_CELLS)
    moments = time.take(pa.array(starts))
    wide = {"time": pc.replace_substring(moments, ",", ".") if dialect.decimal == "," else moments}
    out = io.BytesIO()
    arrow_csv.write_csv(pa.table(wide | _columns(row, len(starts), codes, names, figures)), out)
    told.append(Said("log.long_form", {"readings": len(time), "channels": len(names), "rows": len(starts)}))
    return out.getvalue(), told
