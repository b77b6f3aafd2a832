"""One short run written in every way that loggers write: all of our own making, all hold the same forty rows.

Each sample says which word of the list of what real logs do it stands for.
"""

# ruff: noqa: DTZ001  (clocks of logs know no zone)

import csv
import gzip
import io
import math
import zipfile
from datetime import datetime, timedelta

TIMES = [round(0.5 * i, 1) for i in range(40)]
SPEEDS = [900.0 + 25 * i + (i % 3) for i in range(40)]
BOOSTS = [round(0.5 * i + 0.25 * math.sin(i), 2) for i in range(40)]  # kPa
ROWS = list(zip(TIMES, SPEEDS, BOOSTS, strict=True))
START = datetime(2026, 3, 5, 10, 0, 1)


def table(rows=ROWS, header=("time_s", "rpm", "boost_kPa"), mark=",", end="\n", write=str) -> str:
    lines = [mark.join(header)] if header else []
    return end.join([*lines, *(mark.join(write(c) for c in row) for row in rows)]) + end


def comma(value) -> str:
    return str(value).replace(".", ",")


def with_clock(clock, name="time") -> str:
    return table([(clock(t), n, b) for t, n, b in ROWS], (name, "rpm", "boost_kPa"))


def quoted(mark=",", write=str) -> str:
    out = io.StringIO()
    csv.writer(out, delimiter=mark, quoting=csv.QUOTE_ALL).writerows(
        [("time_s", "rpm", "boost_kPa"), *([write(c) for c in row] for row in ROWS)]
    )
    return out.getvalue()


def long_form(mark=",", write=str, header=True, unit=True) -> str:
    rows = [("Time", "Channel", "Value", "Unit")[: 4 if unit else 3]] if header else []
    for t, n, b in ROWS:
        rows += [(t, "Engine speed", n, "1/min")[: 4 if unit else 3], (t, "Boost", b, "kPa")[: 4 if unit else 3]]
    return "".join(mark.join(write(c) for c in row) + "\n" for row in rows)


def one_clock_a_channel() -> str:
    rows = [(t, n, round(t + 0.1, 1), b) for t, n, b in ROWS]
    return table(rows, ("time rpm [s]", "rpm", "time boost [s]", "boost_kPa"))


def ends_rows(label: bool) -> str:
    low, high = (min(TIMES), min(SPEEDS), min(BOOSTS)), (max(TIMES), max(SPEEDS), max(BOOSTS))
    top = [("Min", *low[1:]), ("Max", *high[1:])] if label else [low, high]
    return table([("s", "1/min", "kPa"), *top, *ROWS], ("Time", "Speed", "Boost"), ";")


def zipped(**members: str) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in members.items():
            archive.writestr(name.replace("__", "."), text)
    return out.getvalue()


def sheet(rows=ROWS, header=("Time [s]", "Engine speed [rpm]", "Boost [kPa]"), notes=()) -> bytes:
    from openpyxl import Workbook

    book, out = Workbook(), io.BytesIO()
    for row in [*notes, header, *rows]:
        book.active.append(list(row))
    book.save(out)
    return out.getvalue()


def at(t: float) -> datetime:
    return START + timedelta(seconds=t)


def unit_in_cell(t: float) -> str:
    return f"{t * 1000:.0f} ms" if t < 5 else f"{t} s"


NOTES = "Logger 7\nTest of 3 March; cold, 600 m\nDriver: N. N.\n\n"
MS = lambda moment: f"{moment:%H:%M:%S}.{moment.microsecond // 1000:03d}"  # noqa: E731

# name -> bytes; each must come out as the forty rows
SAME: dict[str, bytes] = {
    "plain": table().encode(),
    "a block of notes before the header": (NOTES + table()).encode(),
    "names in one row and units in the next": table(
        [("s", "1/min", "kPa"), *ROWS], ("Time", "Speed", "Boost")
    ).encode(),
    "units in the row above the names": ("s;1/min;kPa\n" + table(ROWS, ("Time", "Speed", "Boost"), ";")).encode(),
    "the unit in the name": table(ROWS, ("Time (s)", "Engine Speed (1/min)", "Boost [kPa]")).encode(),
    "rows of minima and maxima": ends_rows(label=False).encode(),
    "rows of minima and maxima with a word": ends_rows(label=True).encode(),
    "single-byte encoding": table(
        [("s", "1/min", "kPa", "°C"), *((*row, "20.0") for row in ROWS)],
        ("Zeit", "Drehzahl", "Boost", "Öltemperatur"),
        ";",
    ).encode("cp1252"),
    "encoding of a command line": table(
        [(*row, "20.0") for row in ROWS], ("time_s", "rpm", "boost_kPa", "oil temp [°C]"), ";"
    ).encode("cp850"),
    "byte-order mark": b"\xef\xbb\xbf" + table().encode(),
    "sixteen bits a letter, with a mark": table().encode("utf-16"),
    "sixteen bits a letter, without a mark": table().encode("utf-16-le"),
    "rows made of delimiters": table().replace("\n5.0,", "\n,,\n,,\n5.0,").encode() + b",,\n,,\n",
    "blank rows": table(end="\n\n").encode(),
    "long form": long_form().encode(),
    "long form, semicolon and decimal comma": long_form(";", comma).encode(),
    "long form without units": long_form(unit=False).encode(),
    "every field quoted": quoted().encode(),
    "every field quoted, decimal comma between commas": quoted(write=comma).encode(),
    "semicolon with decimal point": table(mark=";").encode(),
    "semicolon with decimal comma": table(mark=";", write=comma).encode(),
    "tab with decimal comma": table(mark="\t", write=comma).encode(),
    "bars": table(mark="|").encode(),
    "columns parted by blanks": table(mark="   ").encode(),
    "columns parted by one blank": table(mark=" ").encode(),
    "delimiter at the end of rows but not of the header": table()
    .replace("\n", ",\n")
    .replace("boost_kPa,", "boost_kPa")
    .encode(),
    "delimiter at the end of the header but not of rows": table().replace("boost_kPa\n", "boost_kPa,\n").encode(),
    "rows shorter than the header": table(
        [(*row, "") if i % 7 == 0 else row for i, row in enumerate(ROWS)],
        ("time_s", "rpm", "boost_kPa", "oil temp [°C]"),
    ).encode(),
    "all rows shorter than the header": table(ROWS, ("time_s", "rpm", "boost_kPa", "spare 1", "spare 2")).encode(),
    "units written oddly": table(
        [(*row, 20) for row in ROWS], ("t<sec>", "Motor {U/min}", "Boost (KPA)", "oil temp [Grad C]")
    ).encode(),
    "the unit inside the time cell, changing": with_clock(unit_in_cell).encode(),
    "a cut-off first record": (table().replace("boost_kPa\n", "boost_kPa\n.5,3\n")).encode(),
    "a cut-off last record": (table() + "20.0,19").encode(),
    "old line ends": table(end="\r").encode(),
    "line ends of several machines": (table(ROWS[:20], end="\r") + table(ROWS[20:], None)).encode(),
    "line ends of desks": table(end="\r\n").encode(),
    "a packed file of one log": zipped(run__csv=table()),
    "a packed file of a log and a note": zipped(run__csv=table(), readme__txt="This is a note.\n"),
    "a packed file with the same log twice under two names": zipped(run__csv=table(), copy__csv=table()),
    "gzip": gzip.compress(table().encode()),
    "a spreadsheet": sheet(),
    "a spreadsheet with notes": sheet(notes=[("Logger 7",), ("cold",)]),
    "a spreadsheet with dates": sheet([(at(t), n, b) for t, n, b in ROWS]),
    "seconds since midnight": with_clock(lambda t: 36_001 + t, "time_s").encode(),
    "milliseconds": with_clock(lambda t: int(1000 * t), "Time [ms]").encode(),
    "milliseconds that nobody named": with_clock(lambda t: int(1000 * t)).encode(),
    "minutes": with_clock(lambda t: repr(t / 60), "Time [min]").encode(),
    "epoch seconds": with_clock(lambda t: f"{at(t).timestamp():.1f}", "timestamp").encode(),
    "epoch milliseconds": with_clock(lambda t: int(1000 * at(t).timestamp()), "timestamp").encode(),
    "epoch seconds and milliseconds in two columns": table(
        [(int(t), int(1000 * (t % 1)), n, b) for t, n, b in ROWS], ("time_s", "ms", "rpm", "boost_kPa")
    ).encode(),
    "clock of the day": with_clock(lambda t: MS(at(t))).encode(),
    "clock with a comma before the thousandths": table(
        [(MS(at(t)).replace(".", ","), n, b) for t, n, b in ROWS], ("time", "rpm", "boost_kPa"), ";"
    ).encode(),
    "clock past midnight": with_clock(lambda t: MS(datetime(2026, 3, 5, 23, 59, 55) + timedelta(seconds=t))).encode(),
    "minutes and seconds": with_clock(lambda t: f"{int(t // 60):02d}:{t % 60:04.1f}").encode(),
    "date and time, year first": with_clock(lambda t: f"{at(t):%Y-%m-%d} {MS(at(t))}").encode(),
    "date and time, day first": with_clock(lambda t: f"{at(t):%d.%m.%Y} {MS(at(t))}").encode(),
    "date and time, month first": with_clock(lambda t: f"{at(t) + timedelta(days=20):%m/%d/%Y} {MS(at(t))}").encode(),
    "date and time with a zone": with_clock(lambda t: f"{at(t):%Y-%m-%d}T{MS(at(t))}+02:00").encode(),
    "date and time, twelve hours": with_clock(
        lambda t: (
            f"{START + timedelta(hours=1, minutes=59, seconds=50 + t):%d/%m/%Y %I:%M:%S}.{'500' if t % 1 else '000'} {'PM' if t >= 9 else 'AM'}"
        )
    ).encode(),
    "date and clock in two columns, over midnight": table(
        [
            (f"{m:%Y-%m-%d}", MS(m), n, b)
            for m, n, b in ((datetime(2026, 3, 5, 23, 59, 55) + timedelta(seconds=t), n, b) for t, n, b in ROWS)
        ],
        ("Date", "Time", "rpm", "boost_kPa"),
    ).encode(),
    "rows out of time order": table([*ROWS[:10], ROWS[11], ROWS[10], *ROWS[12:]]).encode(),
    "blanks around names and numbers": table(mark=" ; ", header=(" time_s ", " rpm", "boost_kPa ")).encode(),
    "negative zero": table().replace("\n0.0,", "\n-0.0,").encode(),
    "times before a trigger": with_clock(lambda t: round(t - 5, 1), "time_s").encode(),
    "a line that names the delimiter": ("sep=;\n" + table(mark=";")).encode(),
    "a dated clock and a header repeated on every page": "".join(
        table([(f"{at(t):%d.%m.%Y} {MS(at(t))}", n, b) for t, n, b in ROWS[i : i + 10]], ("time", "rpm", "boost_kPa"))
        for i in range(0, 40, 10)
    ).encode(),
    "a header behind a mark": ("# " + table()).encode(),
    "a header repeated on every page": "".join(table(ROWS[i : i + 10]) for i in range(0, 40, 10)).encode(),
}
