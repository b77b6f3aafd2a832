"""A spreadsheet (.xlsx) as CSV text, one text a sheet. Only values are taken: no formula is run, no link is followed. Pure."""

import csv
import datetime
import io
import time
import zipfile
from collections.abc import Iterable, Iterator

from sizing.tables.marks import MAX_COLUMNS
from sizing.tables.packed import drained
from sizing.tables.refused import FileRefused

MAX_CELLS = 1_000_000
MAX_SHEETS = 30
MOST_SECONDS = 7.0


def _refuse_unsafe_xml(data: bytes, archive: zipfile.ZipFile) -> None:
    """A document type could name outside files or unfold without end; a spreadsheet has none."""
    size = 0
    for member in archive.infolist():
        if not member.filename.endswith((".xml", ".rels")):
            continue
        with archive.open(member) as stream:
            content = drained(stream, len(data), size)
        size += len(content)
        head = content[:4096]
        if (
            b"<!DOCTYPE" in content
            or b"<!ENTITY" in content
            or head[:2] in (b"\xff\xfe", b"\xfe\xff")
            or b"\x00" in head
        ):
            raise FileRefused("spreadsheet.odd_parts")
        if max(content.count(b"<c>") + content.count(b"<c "), content.count(b"<row")) > MAX_CELLS:
            raise FileRefused("spreadsheet.too_many_cells", most=MAX_CELLS)


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(int(value))
    if isinstance(value, datetime.datetime):
        return value.isoformat(sep=" ")
    if isinstance(value, datetime.timedelta):
        return repr(value.total_seconds())
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, float):
        return repr(value)
    return str(value).replace("\r", " ").replace("\n", " ").replace("\x00", "")


def _text(name: str, rows: Iterable[Iterable[object]], budget: list[int], started: float) -> bytes:
    out = io.StringIO()
    writer, blank = csv.writer(out, lineterminator="\n"), 0
    for row in rows:
        cells = [_cell(v) for v in row]
        while cells and not cells[-1]:
            cells.pop()
        if len(cells) > MAX_COLUMNS:
            raise FileRefused("spreadsheet.too_many_columns", name=name, columns=len(cells), most=MAX_COLUMNS)
        budget[0] -= max(1, len(cells))
        if budget[0] < 0:
            raise FileRefused("spreadsheet.too_many_cells", most=MAX_CELLS)
        if time.monotonic() - started > MOST_SECONDS:
            raise FileRefused("spreadsheet.too_slow")
        blank = 0 if cells else blank + 1
        if blank > 10_000:
            break
        writer.writerow(cells)
    return _squared(out.getvalue())


def _squared(text: str) -> bytes:
    """A sheet has no trailing cells where nothing stands; the rows of a table are brought to one width again."""
    rows = list(csv.reader(io.StringIO(text)))
    widths = [len(row) for row in rows if len(row) > 1]
    if not widths:
        return text.encode()
    width = max(widths)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerows([*row, *[""] * (width - len(row))] if len(row) > 1 else row for row in rows)
    return out.getvalue().encode()


def sheets(data: bytes, archive: zipfile.ZipFile) -> Iterator[tuple[str, bytes]]:
    """Name and text of each sheet that holds anything."""
    if "xl/workbook.xml" not in archive.namelist():
        raise FileRefused("spreadsheet.none")
    started, budget, found = time.monotonic(), [MAX_CELLS], 0
    _refuse_unsafe_xml(data, archive)
    import openpyxl  # heavy, and wanted only here

    try:
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
        names = book.sheetnames
        if len(names) > MAX_SHEETS:
            raise FileRefused("spreadsheet.too_many_sheets", sheets=len(names), most=MAX_SHEETS)
        for name in names:
            sheet = book[name]
            if not hasattr(sheet, "iter_rows"):
                continue  # a sheet that is only a chart
            if hasattr(sheet, "reset_dimensions"):
                sheet.reset_dimensions()
            text = _text(name, sheet.iter_rows(values_only=True), budget, started)
            if text.strip(b" ,\n"):
                found += 1
                yield name[:94], text
    except FileRefused:
        raise
    except Exception as error:  # whatever a damaged sheet makes the reader stumble over
        raise FileRefused("spreadsheet.damaged") from error
    if not found:
        raise FileRefused("spreadsheet.empty")
