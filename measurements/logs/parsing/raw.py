"""The columns of a log that nobody matched, as they stand in the file, beside the rows that were read. Pure."""

import pyarrow as pa

from measurements.logs.parsing.cells import as_utf8, read_cells
from measurements.logs.parsing.dialect import Dialect
from measurements.logs.parsing.file import Log, Mapping, row_key
from measurements.logs.parsing.names import TIME

RAW = "raw: "


def _names(header: tuple[str, ...], positions: list[int]) -> dict[int, str]:
    """As in the file, marked; where a name is missing or stands twice, with the place of its column."""
    names = {}
    for i in positions:
        twice = sum(header[k] == header[i] for k in positions) > 1
        names[i] = f"{RAW}{header[i] or 'no name'}" + (f" (column {i + 1})" if twice or not header[i] else "")
    return names


def _clock_of(position: int, clocks: list[int], log: Log) -> int:
    """The clock that a column follows: the nearest to its left that any matched column follows, else the first such."""
    led = [n for n in range(len(clocks)) if row_key(n) in log.file_rows]
    return next((n for n in reversed(led) if clocks[n] < position), led[0])


def raw_columns(data: bytes, dialect: Dialect, mapping: Mapping, log: Log) -> dict[str, pa.Array]:
    """Text by name, one cell a row of `log` (read with its rows); null where a row belongs to another clock.

    Rows that were left out of the log are left out here, too. FileRefused where there are too many cells.
    """
    positions = [i for i in range(len(dialect.header)) if not mapping.get(i, ("", ""))[0]]
    if not positions:
        return {}
    cells = read_cells(as_utf8(data, dialect), dialect, positions, set(positions), raw=True)
    clocks = [i for i, (quantity, _) in sorted(mapping.items()) if quantity == TIME]
    rows = {key: pa.array(found, from_pandas=True).cast(pa.int64()) for key, found in log.file_rows.items()}
    return {
        name: cells.texts[i].take(rows[row_key(_clock_of(i, clocks, log))])
        for i, name in _names(dialect.header, positions).items()
    }
