"""Packed files and spreadsheets: opened under caps, each with a message of its own."""

import gzip
import io
import struct
import zipfile

import pytest

from measurements.logs.parsing import cells as log_cells
from measurements.logs.parsing.parts import understand
from sizing.tables import packed
from sizing.tables import spreadsheet as log_sheet
from sizing.tables.refused import FileRefused
from tests.measurements.logs.parsing.log_dialects import ROWS, sheet, table, zipped


def refused(data: bytes) -> str:
    with pytest.raises(FileRefused) as caught:
        understand(data)
    return str(caught.value)


def with_part(data: bytes, name: str, change) -> bytes:
    """The same packed file with one member changed."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for member in old.namelist():
            content = old.read(member)
            new.writestr(member, change(content) if member == name else content)
    return out.getvalue()


def locked() -> bytes:
    """A zip whose member says that it is locked: the bit of the standard's general purpose flag (APPNOTE 4.4.4)."""
    data = bytearray(zipped(run__csv=table()))
    for mark, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = data.find(mark) + offset
        data[at : at + 2] = struct.pack("<H", struct.unpack("<H", data[at : at + 2])[0] | 1)
    return bytes(data)


LAUGHS = b'<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>'


CAPS = [
    (gzip.compress(b"0" * 5_000_000), "more than 500 times its size"),
    (zipped(zeros__csv="0" * 5_000_000), "more than 500 times its size"),
    (gzip.compress(table().encode())[:60], "damaged"),
    (b"\x1f\x8b" + b"x" * 50, "damaged"),
    (zipped(run__csv=table())[:200], "damaged"),
    (b"PK\x03\x04" + b"y" * 100, "damaged"),
    (zipped(**{f"m{i}__csv": f"{i}" for i in range(51)}), "holds 51 files. Allowed: up to 50"),
    (zipped(), "holds no file"),
    (locked(), "password"),
    (zipped(inner__zip="PK\x03\x04 and so on"), "packed once more"),
    (zipped(readme__txt="no log in here\n"), "No rows of figures"),
    (gzip.compress(gzip.compress(table().encode())), "packed once more"),
    (
        with_part(
            sheet(), "xl/workbook.xml", lambda c: c.replace(b"?>", b"?>" + LAUGHS, 1) if b"?>" in c else LAUGHS + c
        ),
        "parts that no plain sheet has",
    ),
    (with_part(sheet(), "xl/worksheets/sheet1.xml", lambda c: c[: len(c) // 2]), "damaged"),
    (
        with_part(sheet(), "xl/worksheets/sheet1.xml", lambda c: c.decode().encode("utf-16")),
        "parts that no plain sheet has",
    ),
    (sheet([], ()), "holds nothing"),
    (sheet([range(400)] * 5, range(400)), "has 400 columns. Allowed: up to 300"),
    (b"1,2\n" + b"1," + b"2" * 5000 + b"\n", "cell of 5,0"),
    (b"1,2\n" + b"1," * 40_000 + b"\n", "characters long. Allowed: up to 65,536"),
    (b"1\n" * 10 + b"\n" * 4_000_001, "more than 4,000,000 rows"),
    (table().encode() + b"\x00\x01" * 2000, "is not text, so"),
    (table(ROWS * 500).encode() + b"\x00\x01" * 2000, "not text all through"),
    (
        "".join(table(ROWS[:3], ("time_s", f"rpm {i}", "boost_kPa")) for i in range(70)).encode(),
        "more than 60 recordings",
    ),
]


@pytest.mark.parametrize(("data", "words"), CAPS, ids=range(len(CAPS)))
def test_each_cap_has_its_message(data, words):
    assert words in refused(data)


def test_unpacked_size_is_capped(monkeypatch):
    monkeypatch.setattr(packed, "MAX_UNPACKED_BYTES", 2 * 1024 * 1024)
    noise = "\n".join(f"{i},{i * 7919 % 8000},{i * 104729 % 400}" for i in range(200_000))
    assert "more than 2 MB" in refused(gzip.compress(noise.encode()))
    assert "more than 2 MB" in refused(zipped(a__csv=noise[:1_500_000], b__csv=noise[1_500_000:]))


def test_cells_of_a_sheet_are_capped(monkeypatch):
    monkeypatch.setattr(log_sheet, "MAX_CELLS", 100)
    assert "more than 100 cells" in refused(sheet())


def test_a_sheet_that_takes_too_long_is_given_up(monkeypatch):
    monkeypatch.setattr(log_sheet, "MOST_SECONDS", -1.0)
    assert "takes too long" in refused(sheet())


def test_figures_are_capped(monkeypatch):
    from tests.measurements.logs.parsing.test_dialects import read_one

    monkeypatch.setattr(log_cells, "MAX_FIGURES", 50)
    with pytest.raises(FileRefused, match="more than 50 figures"):
        read_one(table().encode())


def test_a_sheet_of_charts_and_office_documents_of_other_kinds_are_refused_in_words():
    assert "no .xlsx spreadsheet" in refused(
        zipped(**{"[Content_Types]__xml": "<Types/>", "word/document__xml": "<d/>"})
    )


def test_a_name_in_a_packed_file_cannot_lead_outside():
    data = zipped(**{"../../etc/run__csv": table(), "C:\\x\\other__csv": table(ROWS[:20])})
    assert [part.label for part in understand(data).recordings] == ["run.csv", "other.csv"]


def test_two_sheets_are_two_recordings():
    from openpyxl import Workbook

    book, out = Workbook(), io.BytesIO()
    for name, rows in (("cold", ROWS), ("warm", ROWS[:15])):
        page = book.create_sheet(name)
        for row in [("time_s", "rpm", "boost_kPa"), *rows]:
            page.append(row)
    book.save(out)
    found = understand(out.getvalue())
    assert [part.label for part in found.recordings] == ["sheet cold", "sheet warm"]
    assert found.packed == "spreadsheet"
