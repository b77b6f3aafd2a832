"""Long form, one row a reading (time, channel, value, unit), brought into columns. Nothing is filled in between. Pure."""

import io

import numpy as np
import pandas as pd
import pyarrow as pa
from pyarrow import csv as arrow_csv

from .log_dialect import MAX_COLUMNS, Dialect, LogRefused

MAX_WIDE_CELLS = 40_000_000


def _read(data: bytes, start: int, dialect: Dialect) -> tuple[pd.DataFrame, int]:
    width, short = len(dialect.header), 0

    def count_short(_row) -> str:
        nonlocal short
        short += 1
        return "skip"

    names = [str(i) for i in range(width)]
    assert dialect.long is not None
    used = [str(i) for i in dialect.long if i >= 0]
    try:
        table = arrow_csv.read_csv(
            pa.BufferReader(pa.py_buffer(memoryview(data)[start:])),
            read_options=arrow_csv.ReadOptions(column_names=names),
            parse_options=arrow_csv.ParseOptions(delimiter=dialect.delimiter, invalid_row_handler=count_short),
            convert_options=arrow_csv.ConvertOptions(include_columns=used, column_types={n: pa.string() for n in used}),
        )
    except pa.ArrowInvalid as error:
        raise LogRefused(f"The file cannot be read as a table: {str(error).split(':', 1)[-1].strip()[:200]}") from error
    return table.to_pandas(), short


def widen(data: bytes, start: int, dialect: Dialect) -> tuple[bytes, list[str]]:
    """The same readings as CSV with a column a channel, its unit in the name; and what was left out, in words.

    Readings of one time stand in one row; a channel that comes twice at one time begins another row.
    """
    assert dialect.long is not None
    table, short = _read(data, start, dialect)
    time, channel, value, unit = (table[str(i)].str.strip() if i >= 0 else None for i in dialect.long)
    names = channel if unit is None else channel + " [" + unit.fillna("") + "]"
    keep = channel.notna() & (channel != "") & time.notna() & (time != "")
    told = [f"{short} rows with another number of cells than the header left out."] if short else []
    if (~keep).any():
        told.append(f"{int((~keep).sum())} rows without a time or a channel left out.")
    time, names, value = time[keep], names[keep], value[keep]
    if not len(time):
        raise LogRefused("There is not one row of figures below the header.")
    if dialect.decimal == ",":
        time, value = time.str.replace(",", ".", regex=False), value.str.replace(",", ".", regex=False)
    codes, channels = pd.factorize(names)
    if len(channels) + 1 > MAX_COLUMNS:
        raise LogRefused(f"The file has {len(channels)} channels. Allowed: up to {MAX_COLUMNS - 1}.")
    block = (time != time.shift()).cumsum().to_numpy()
    again = pd.DataFrame({"block": block, "code": codes}).groupby(["block", "code"]).cumcount().to_numpy()
    depth = int(again.max()) + 1
    keys, row = np.unique(block.astype(np.int64) * depth + again, return_inverse=True)
    if len(keys) * len(channels) > MAX_WIDE_CELLS:
        raise LogRefused(f"In columns the log would have {len(keys) * len(channels):,} cells. Allowed: up to {MAX_WIDE_CELLS:,}.")
    times = np.empty(len(keys), dtype=object)
    times[row] = time.to_numpy(dtype=object)
    wide = {"time": pa.array(times, pa.string())}
    for code, name in enumerate(channels):
        cells, mine = np.full(len(keys), None, dtype=object), codes == code
        cells[row[mine]] = value[mine].to_numpy(dtype=object, na_value=None)
        label = str(name).replace("[]", "").strip()
        while label in wide:
            label += "'"
        wide[label] = pa.array(cells, pa.string(), from_pandas=True)
    out = io.BytesIO()
    arrow_csv.write_csv(pa.table(wide), out)
    told.append(f"Long form: {len(time):,} readings of {len(channels)} channels brought into {len(keys):,} rows.")
    return out.getvalue(), told
