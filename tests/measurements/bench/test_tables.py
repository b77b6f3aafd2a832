"""One reader for five uses: catalogue, compressor map, full-load curve, run, lines of a pump bench.

The same figures, written in every way that people send them, come out the same; what can be read two ways, or is no
figure, is refused by line, column, value and what is allowed. The figures are of our own making.
"""

import io

import numpy as np
import pytest
from openpyxl import Workbook

from measurements.bench.curves.curve_csv import read_curve
from measurements.bench.dyno.run_csv import read_run
from sizing.catalogue.actions import preview_import
from sizing.catalogue.kinds import SHEETS
from sizing.catalogue.map_actions import read_map
from sizing.catalogue.map_units import MapUnits
from sizing.plans.bench.lines_table import read_bench_lines
from sizing.tables.refused import CellRefused, FileRefused
from sizing.tables.text import HEAD_BYTES, encoding_of

pytestmark = pytest.mark.django_db
SAID = MapUnits("", "", 298.0, 100.0)


def catalogue(data):
    preview = preview_import(SHEETS["turbo"], data)
    for refusal in preview.refused:
        raise FileRefused("table.cell", line=refusal.line, column=refusal.column, why=refusal.why)
    return [(row.thing.make, row.thing.name, row.thing.weight_kg) for row in preview.added]


def compressor_map(data):
    preview = read_map(data, SAID)
    for refusal in preview.refused:
        raise FileRefused("table.cell", line=refusal.line, column=refusal.column, why=refusal.why)
    return [(p.speed_rpm, p.flow_kg_s, p.pressure_ratio, p.efficiency_ratio) for p in preview.points]


def run(data):
    return [tuple(row) for row in np.column_stack(read_run(data, "drum")).tolist()]


def bench(data):
    return sorted((at, line, value) for at, lines in read_bench_lines(data).items() for line, value in lines.items())


# use -> (reader, header, rows, what comes out, a column of figures and its place)
USES = {
    "catalogue": (
        catalogue,
        ("make", "name", "weight_kg"),
        [("Ostrél", "Größe 2", 6.25), ("Bérard", "T1", 7.5)],
        [("Ostrél", "Größe 2", 6.25), ("Bérard", "T1", 7.5)],
        2,
    ),
    "map": (
        compressor_map,
        ("speed [rpm]", "flow [kg/s]", "pressure_ratio", "efficiency [ratio]"),
        [(s, f, r, 0.7) for s, r in ((80000, 1.4), (120000, 2.1)) for f in (0.05, 0.06, 0.07)],
        [(s, f, r, 0.7) for s, r in ((80000, 1.4), (120000, 2.1)) for f in (0.05, 0.06, 0.07)],
        1,
    ),
    "curve": (
        read_curve,
        ("engine_speed_rpm", "torque_Nm", "Öl °C"),
        [(1000, 95.71, 80.5), (1500, 118.5, 81)],
        [(1000.0, 95.71), (1500.0, 118.5)],
        1,
    ),
    "run": (
        run,
        ("time_s", "drum_speed_rpm", "Öl °C"),
        [(0, 300, 80.5), (0.5, 320.25, 81)],
        [(0.0, 300.0), (0.5, 320.25)],
        1,
    ),
    "bench": (
        bench,
        ("line", "rated [mm³/stroke]", "torque [mm³/stroke]"),
        [(1, 48.5, 52), (2, 50, 53.25)],
        [("rated", 1, 48.5), ("rated", 2, 50.0), ("torque", 1, 52.0), ("torque", 2, 53.25)],
        1,
    ),
}
EVERY_USE = pytest.mark.parametrize("use", USES)


def text(header, rows, mark=",", decimal=".", end="\n", quote=""):
    write = lambda cell: f"{quote}{str(cell).replace('.', decimal) if isinstance(cell, float) else cell}{quote}"  # noqa: E731
    return end.join(mark.join(map(write, row)) for row in (header, *rows)) + end


def sheets(*tables):
    book, out = Workbook(), io.BytesIO()
    book.remove(book.active)
    for number, table in enumerate(tables, 1):
        sheet = book.create_sheet(f"Sheet {number}")
        for row in table:
            sheet.append(list(row))
    book.save(out)
    return out.getvalue()


WAYS = {
    "comma and point": lambda h, r: text(h, r).encode(),
    "semicolon and decimal comma": lambda h, r: text(h, r, ";", ",").encode(),
    "semicolon and decimal point": lambda h, r: text(h, r, ";").encode(),
    "tab and decimal comma": lambda h, r: text(h, r, "\t", ",").encode(),
    "bar": lambda h, r: text(h, r, "|").encode(),
    "all in quotes, decimal comma between commas": lambda h, r: text(h, r, ",", ",", quote='"').encode(),
    "mark of UTF-8": lambda h, r: text(h, r).encode("utf-8-sig"),
    "cp1252": lambda h, r: text(h, r, ";", ",").encode("cp1252"),
    "UTF-16 with its mark": lambda h, r: text(h, r, "\t").encode("utf-16"),
    "UTF-16 without": lambda h, r: text(h, r, "\t").encode("utf-16-le"),
    "lines of another machine": lambda h, r: text(h, r, end="\r\n").encode(),
    "lines of an old machine": lambda h, r: text(h, r, end="\r").encode(),
    "blank lines": lambda h, r: text(h, r, end="\n\n").encode(),
    "notes above, empty cells behind": lambda h, r: ("Bench 3; cold\n\n" + text(h, r, ";", end=";;\n")).encode(),
    "names in capitals": lambda h, r: text([name.upper().replace("MM³", "mm³") for name in h], r).encode(),
    "spreadsheet": lambda h, r: sheets([h, *r]),
    "spreadsheet with an empty sheet": lambda h, r: sheets([h, *r], []),
}


@EVERY_USE
@pytest.mark.parametrize("way", WAYS)
def test_the_same_table_comes_out_the_same(use, way):
    reader, header, rows, wanted, _ = USES[use]
    assert reader(WAYS[way](header, rows)) == wanted


@pytest.mark.parametrize("rows", ["engine speed;torque\n1/min;Nm\n", "[1/min];[Nm]\nengine speed;torque\n"])
def test_units_may_stand_in_a_row_of_their_own(rows):
    assert read_curve(f"{rows}1000;95,5\n".encode()) == [(1000.0, 95.5)]


def with_cell(use, value, mark=";", decimal=".", row=1, lone=True):
    """The table with one cell of figures changed; `lone`: no other figure has a mark."""
    _, header, rows, _, column = USES[use]
    rows = [[round(c) or 1 if lone and isinstance(c, float) else c for c in r] for r in rows]
    rows[row][column] = value
    return text(header, rows, mark, decimal).encode()


@EVERY_USE
@pytest.mark.parametrize("value", ["1,234", "1.234", "-12,345"])
def test_what_can_be_read_two_ways_is_refused(use, value):
    reader, header, *_, column = USES[use]
    with pytest.raises(CellRefused) as refused:
        reader(with_cell(use, value))
    assert (refused.value.line, refused.value.column, refused.value.value) == (3, header[column], value)
    plain = value.replace(",", ".")
    assert f"'{value}' can be read as {plain}0 or as {plain.replace('.', '')}" in str(refused.value)


@pytest.mark.parametrize(
    ("data", "torque"),
    [
        (b"rpm;torque_Nm\n1000;1,234\n1500;118,5\n", 1.234),  # another figure tells
        (b"rpm;torque_Nm\n1000;0,234\n1500;1,234\n", 0.234),  # no thousands begin with 0
        (b"rpm,torque_Nm\n1000,1.234\n1500,118\n", 1.234),  # a comma stands between the cells
        (b"rpm;torque_Nm\n1000;1234,567\n1500;118\n", 1234.567),
        (b"rpm;torque_Nm\n1000;1 234,5\n1500;118\n", 1234.5),
    ],
)
def test_a_mark_that_another_figure_tells_is_taken(data, torque):
    assert read_curve(data)[0][1] == torque


@EVERY_USE
@pytest.mark.parametrize(
    ("value", "says"),
    [
        ("six", "'six' is not a number. Allowed: digits, with a decimal point"),
        ("1_0", "'1_0' is not a number"),
        ("nan", "'nan' is not a number"),
        ("1e999", "'1e999' is not a number"),
        ("1.234,5", "'1.234,5' cannot be read: the decimal mark of this table is a point"),
        ("1,234", "'1,234' cannot be read: the decimal mark of this table is a point"),
    ],
)
def test_a_cell_is_refused_by_line_column_value_and_what_is_allowed(use, value, says):
    reader, header, *_, column = USES[use]
    with pytest.raises(FileRefused) as refused:
        reader(with_cell(use, value, lone=False))
    names = {header[column], header[column].split(" ")[0]}
    assert any(str(refused.value).startswith(f"Line 3, {name}: {says}") for name in names), str(refused.value)


@EVERY_USE
def test_two_decimal_marks_in_one_table_are_refused(use):
    with pytest.raises(FileRefused, match=r"Line 3.*'7,25' has a decimal comma.*decimal point"):
        USES[use][0](with_cell(use, "7,25", lone=False))


@EVERY_USE
@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda h, r: b"", "The file is empty"),
        (lambda h, r: b" \n\n", "The file is empty"),
        (lambda h, r: b'""\n', "The file is empty"),
        (lambda h, r: b"\x89PNG\r\n\x1a\n" + bytes(40), "a picture .PNG., not a table"),
        (lambda h, r: b"%PDF-1.7 ...", "a PDF document, not a table"),
        (lambda h, r: b"\x1f\x8b" + bytes(40), "a packed file .gzip., not a table"),
        (lambda h, r: b"abc\x00\x01\x02" * 40, "not text"),
        (lambda h, r: b"PK\x03\x04" + bytes(40), "damaged"),
        (lambda h, r: sheets([h, *r], [h, *r]), "Several sheets hold something: Sheet 1, Sheet 2"),
        (lambda h, r: sheets([]), "holds nothing"),
        (lambda h, r: text(h, []).encode(), "no rows under it"),
        (lambda h, r: text(h[1:], [row[1:] for row in r]).encode(), "No column named"),
        (lambda h, r: text((*h, h[0]), [(*row, row[0]) for row in r]).encode(), "stands there twice"),
        (lambda h, r: text(h, [(*row, 5) for row in r], ";").encode(), r"Line 2 has \d cells, the header has \d"),
        (lambda h, r: text(h, r).encode() + b'"open,1\n', "cannot be read as CSV"),
    ],
)
def test_a_file_that_is_no_such_table_says_what_it_is(use, change, says):
    reader, header, rows, *_ = USES[use]
    with pytest.raises(FileRefused, match=says):
        reader(change(header, rows))


@pytest.mark.parametrize("use", ["catalogue", "map", "bench"])
def test_a_column_that_nobody_knows_would_lose_its_figures_and_is_refused(use):
    reader, header, rows, *_ = USES[use]
    with pytest.raises(FileRefused, match=r"The column 'colour' is not known.*may stand there"):
        reader(text((*header, "colour"), [(*row, "red") for row in rows]).encode())


@pytest.mark.parametrize("use", ["curve", "run"])
def test_a_record_may_hold_more_than_is_asked_for(use):
    reader, header, rows, wanted, _ = USES[use]
    assert reader(text((*header, "colour"), [(*row, "red") for row in rows]).encode()) == wanted


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"line,rated\n13,50\n", "Line 2, line: '13' is no line of a pump. Allowed: 1 to 12"),
        (b"line,rated\n1.5,50\n", "'1.5' is no line of a pump"),
        (b"line,rated\n1,50\n1,51\n", "Line 3, line: Line 1 of the pump stands there twice"),
        (b"line,rated [g]\n1,50\n", "'rated .g.' names the unit 'g', which is not known for it. Allowed: mm³/stroke"),
        (b"line\n1\n", "No column named rated / torque"),
    ],
)
def test_lines_of_a_pump_are_held_to_what_a_pump_has(data, says):
    with pytest.raises(FileRefused, match=says):
        read_bench_lines(data)


@pytest.mark.parametrize("heading", ["rated", "Rated [cm³/1000]", "rated_mm3_stroke", "rated (cc/1000 strokes)"])
def test_deliveries_of_a_bench_are_the_same_number_in_both_units(heading):
    """1 cm³ in 1000 strokes is 1 mm³ a stroke: 1 cm³ = 1000 mm³."""
    assert read_bench_lines(f"line,{heading}\n1,48.5\n2,\n".encode()) == {"rated": {1: 48.5}}


@EVERY_USE
def test_a_spreadsheet_that_unpacks_to_more_than_a_table_is_refused(use, monkeypatch):
    reader, header, rows, *_ = USES[use]
    data = sheets([header, *rows, *([["9" * 4000] * 300] * 5)])
    monkeypatch.setattr("measurements.bench.curves.curve_csv.MOST_BYTES", 1 << 20)
    monkeypatch.setattr("measurements.bench.dyno.run_csv.MOST_BYTES", 1 << 20)
    assert len(data) < 1 << 20
    with pytest.raises(FileRefused, match=r"The file has [\d,]+ bytes. Allowed: up to [\d,]+"):
        reader(data)


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("Zeit;Drehzahl;Öldruck", "cp1252"),
        ("régime;pression;température d'échappement", "cp1252"),
        ("tiempo;presión;señal", "cp1252"),
        ("rotação;emissão;óleo", "cp1252"),
        ("t [µs];n [1/min];20 °C ±1", "cp1252"),
        ("time;rpm;oil temp °C", "cp850"),  # the degree sign tells; letters alone may be taken for the other one
        ("time;rpm;Öldruck", "utf-8-sig"),
        ("time;rpm;Öldruck", "utf-16-be"),
    ],
)
@pytest.mark.parametrize("many", [3, 3000])
def test_the_encoding_is_found_from_few_letters_among_many_figures(words, code, many):
    data = (words + "\n" + "0,5;900;2,5\n" * many).encode(code)
    assert encoding_of(data) == code


def test_a_letter_far_behind_the_first_part_decides_too():
    body = b"time,rpm\n" + b"0.5,900\n" * (HEAD_BYTES // 8)
    assert encoding_of(body) == encoding_of(body + "Öl".encode()) == "utf-8-sig"
    assert encoding_of(body + "Öl".encode("cp1252")) == "cp1252"
