"""The cells of a text as arrays, block by block: fast where every cell is a figure, cell by cell where one is not. Pure."""

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pyarrow as pa
from pyarrow import csv as arrow_csv

from measurements.logs.parsing.clock import numbers
from measurements.logs.parsing.dialect import NOTHING, Dialect, offset_of_line
from sizing.tables.refused import FileRefused

# pyarrow knows no case, so that each word stands there in every usual one.
EMPTY = sorted({form for word in NOTHING for form in (word, word.upper(), word.capitalize())} | {"NaN"})
MAX_FIGURES = 25_000_000
BLOCK = 1 << 20
CHUNK = 16 * BLOCK  # parsed on all cores at once; larger ones take memory and save nothing
RAGGED_SHARE = 0.05  # more short rows than this are the logger's habit, fewer are damage


@dataclass
class Cells:
    columns: dict[int, np.ndarray]
    texts: dict[int, pa.Array]  # columns wanted as text, such as clocks
    unreadable: dict[int, int]
    row_count: int
    odd_rows: int  # rows with another number of cells, left out
    padded_rows: int = 0
    last_is_odd: bool = False


def as_utf8(data: bytes, dialect: Dialect) -> bytes:
    return data if dialect.encoding == "utf-8-sig" else data.decode(dialect.encoding, errors="replace").encode()


def refuse_unclosed_quote(data: bytes) -> None:
    """A quote that never closes would swallow the rest of the file into one cell without an error."""
    last = data.rfind(b'"')  # often they stand round the names alone
    if count_of(memoryview(data)[: last + 1], b'"') % 2:
        line = data.count(b"\n", 0, last) + 1
        raise FileRefused("log.unclosed_quote", line=line)


def _too_many(raw: bool) -> FileRefused:
    return FileRefused("log.too_many_raw_cells" if raw else "log.too_many_figures", most=MAX_FIGURES)


class _Reader:
    def __init__(self, data: memoryview, dialect: Dialect, used: list[int], texts: set[int], raw: bool):
        self.data, self.dialect, self.used, self.texts, self.raw = data, dialect, used, texts, raw

    def _batches(self, as_text: bool, odd: list[int]) -> Iterator[pa.RecordBatch]:
        """A chunk of whole lines at a time. A row of another width is left out and noted in `odd`."""
        dialect = self.dialect
        kinds = {str(i): pa.string() if as_text or i in self.texts else pa.float64() for i in self.used}

        def skip(_row: object) -> str:
            odd.append(1)
            return "skip"

        for chunk in _chunks(self.data):
            table = arrow_csv.read_csv(
                pa.BufferReader(pa.py_buffer(chunk)),
                read_options=arrow_csv.ReadOptions(column_names=[str(i) for i in range(len(dialect.header))]),
                parse_options=arrow_csv.ParseOptions(delimiter=dialect.delimiter, invalid_row_handler=skip),
                convert_options=arrow_csv.ConvertOptions(
                    include_columns=[str(i) for i in self.used], column_types=kinds, null_values=EMPTY, strings_can_be_null=not self.raw,
                    decimal_point=dialect.decimal,
                ),
            )  # fmt: skip
            yield from table.to_batches()

    def read(self, as_text: bool) -> Cells:
        dialect = self.dialect
        # Room for as many rows as there are lines: what is not filled costs nothing, and no column is held twice.
        room = count_of(self.data, b"\n") + count_of(self.data, b"\r") + 1
        columns = {i: np.empty(room) for i in self.used if i not in self.texts}
        texts: dict[int, list[pa.Array]] = {i: [] for i in self.texts}
        unreadable, rows = dict.fromkeys(self.used, 0), 0
        odd: list[int] = []
        for batch in self._batches(as_text, odd):
            end = rows + batch.num_rows
            if end * len(self.used) > MAX_FIGURES:
                raise _too_many(self.raw)
            for i, column in zip(self.used, batch.columns, strict=True):
                if i in self.texts:
                    texts[i].append(column)
                elif as_text:
                    figures = numbers(column, dialect.decimal, dialect.decimal_told)
                    unreadable[i] += int(np.isnan(figures).sum()) - column.null_count
                    columns[i][rows:end] = figures
                else:
                    columns[i][rows:end] = column.to_numpy(zero_copy_only=False)
            rows = end
        joined = {i: pa.concat_arrays(parts) if parts else pa.array([], pa.string()) for i, parts in texts.items()}
        return Cells({i: values[:rows] for i, values in columns.items()}, joined, unreadable, rows, len(odd))


def _chunks(data: memoryview) -> Iterator[memoryview]:
    """Pieces that end with a line; no cell spans lines, since pyarrow parts its own blocks there too."""
    start = 0
    while start < len(data):
        end = min(start + CHUNK, len(data))
        while end < len(data):  # to the end of the line that the chunk breaks off in
            ahead = bytes(data[end : end + BLOCK]).find(b"\n")
            end = end + ahead + 1 if ahead >= 0 else min(end + BLOCK, len(data))
            if ahead >= 0:
                break
        yield data[start:end]
        start = end


def count_of(data: bytes | memoryview, mark: bytes) -> int:
    """How often a mark of one byte stands in a text: as `bytes.count`, several times as fast where it stands often."""
    whole, code = np.frombuffer(data, dtype=np.uint8), mark[0]
    return sum(int(np.count_nonzero(whole[start : start + BLOCK] == code)) for start in range(0, len(whole), BLOCK))


def read_cells(data: bytes, dialect: Dialect, used: list[int], texts: set[int], raw: bool = False) -> Cells:
    """Columns by position. `data` is UTF-8; a row with another number of cells is left out and counted.

    `raw` leaves texts as they stand; otherwise what stands for no reading is null.
    """
    refuse_unclosed_quote(data)
    start = offset_of_line(data, dialect.skip_rows)
    body = memoryview(data)[start:]
    padded = 0
    if dialect.ragged:
        body, padded = _padded(body, dialect)
    try:
        cells = _read_either(body, dialect, used, texts, raw)
        if cells.odd_rows > max(3, RAGGED_SHARE * (cells.row_count + cells.odd_rows)) and not padded:
            body, padded = _padded(body, dialect)
            cells = _read_either(body, dialect, used, texts, raw)
    except pa.ArrowInvalid as error:
        if "Empty CSV" in str(error):
            raise FileRefused("log.no_row") from error
        raise FileRefused("log.unreadable_table", why=str(error).split(":", 1)[-1].strip()[:200]) from error
    cells.padded_rows = padded
    cells.odd_rows += dialect.early_rows
    if cells.row_count == 0:
        raise FileRefused("log.no_row")
    if cells.odd_rows:
        tail = bytes(body[-4096:]).rstrip(b"\r\n").split(b"\n")[-1].decode("utf-8", errors="replace")
        cells.last_is_odd = len(next(csv.reader([tail], delimiter=dialect.delimiter), [])) != len(dialect.header)
    return cells


def _read_either(body: memoryview, dialect: Dialect, used: list[int], texts: set[int], raw: bool) -> Cells:
    reader = _Reader(body, dialect, used, texts, raw)
    try:
        return reader.read(as_text=False)
    except pa.ArrowInvalid:
        return reader.read(as_text=True)


def _padded(body: memoryview, dialect: Dialect) -> tuple[memoryview, int]:
    """Rows that end early filled up with empty cells, where that is how the logger writes; how many there were."""
    width, count, mark = len(dialect.header), 0, dialect.delimiter.encode()
    whole = bytes(body)
    if b'"' not in whole:
        lines = whole.replace(b"\r", b"").split(b"\n")
        del whole
        for i, line in enumerate(lines):
            marks = line.count(mark)
            if 0 < marks < width - 1:
                lines[i] = line + mark * (width - 1 - marks)
                count += 1
        return memoryview(b"\n".join(lines)), count
    out = io.StringIO()
    writer = csv.writer(out, delimiter=dialect.delimiter, lineterminator="\n")
    for row in csv.reader(whole.decode("utf-8", errors="replace").split("\n"), delimiter=dialect.delimiter):
        if 1 < len(row) < width:
            count += 1
            row = [*row, *[""] * (width - len(row))]
        if row:
            writer.writerow(row)
    return memoryview(out.getvalue().encode()), count
