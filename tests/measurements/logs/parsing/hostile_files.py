"""Files of the largest size that is taken, each made to hurt: one a process, its time and its highest memory told.

`python -m tests.measurements.hostile_files` runs them all.
"""

import gzip
import io
import subprocess
import sys
import time
import zipfile
from pathlib import Path

SIZE = 100 * 1024 * 1024
MOST_ROWS = 3_900_000
NARROW = b"time_s,rpm,boost_kPa,egt_C,oil_pressure_kPa,pedal_pct,lambda,coolant_temp_C\n"
HEAD = b"time_s,rpm,boost_kPa\n"


def filled(row: bytes, head: bytes = HEAD, size: int = SIZE) -> bytes:
    return head + row * ((size - len(head)) // len(row))


def counted(row, head: bytes = HEAD, many: int = 400_000, size: int = SIZE) -> bytes:
    """Rows that differ, repeated to the full size."""
    block = "".join(row(i) for i in range(many)).encode()
    return head + block * max(1, min((size - len(head)) // len(block), MOST_ROWS // many))


def _sheet_of(cells: int) -> bytes:
    rows = "".join(
        f"<row>{''.join(f'<c><v>{i * 20 + k}</v></c>' for k in range(20))}</row>" for i in range(cells // 20)
    )
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(
            "[Content_Types].xml",
            '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>',
        )
        archive.writestr(
            "_rels/.rels",
            '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        )
        archive.writestr(
            "xl/workbook.xml",
            '<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="a" sheetId="1" r:id="r1"/></sheets></workbook>',
        )
        archive.writestr(
            "xl/_rels/workbook.xml.rels",
            '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/></Relationships>',
        )
        archive.writestr(
            "xl/worksheets/sheet1.xml",
            f'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{rows}</sheetData></worksheet>',
        )
    return out.getvalue()


def _clock(i: int) -> str:
    return f"{i // 360000 % 24:02d}:{i // 6000 % 60:02d}:{i // 100 % 60:02d}.{i % 100:02d}"


WORST = {
    "more rows than are taken": lambda: filled(b"1,2,3\n"),
    "as many rows as are taken": lambda: counted(
        lambda i: f"{i / 10},{800 + i % 3000},{i % 97}.5\n", many=3_990_000, size=1
    ),
    "as many rows as are taken, of many matched columns": lambda: counted(
        lambda i: f"{i},{800 + i % 9},{i % 9},{i % 7},{i % 8},{i % 3},{i % 5},1\n", NARROW, many=3_900_000, size=1
    ),
    "a word in every matched column": lambda: counted(
        lambda i: f"{i / 10}" + (",x" if i % 99 == 98 else ",12.25") * 7 + "\n", NARROW, size=SIZE
    ),
    "as many columns as are taken": lambda: filled(
        b",".join([b"12.5"] * 300) + b"\n", b",".join([b"time_s", b"rpm", b"boost_kPa", *[b"spare"] * 297]) + b"\n"
    ),
    "more columns than are taken": lambda: filled(b",".join([b"12.5"] * 5000) + b"\n"),
    "one line": lambda: b"1," * (SIZE // 2),
    "one cell": lambda: HEAD + b"1" * (SIZE - 100),
    "one cell between quotes": lambda: HEAD + b'0,900,"' + b"\n" * 10 + b"x" * 1000 + b"\n" * 4_000_000 + b'"\n',
    "nothing but quotes": lambda: b'"' * SIZE,
    "a quote that never closes": lambda: (
        filled(b"1.5,900,30\n", HEAD, SIZE // 2) + b'"' + filled(b"1.5,900,30,4\n", b"", SIZE // 4)
    ),
    "words where figures should stand": lambda: counted(lambda i: f"{i / 10},word{i},{i % 97} x\n"),
    "letters before every row": lambda: counted(
        lambda i: f"r{i},{i / 10},{800 + i % 3000},{i % 97}.5\n", b"mark,time_s,rpm,boost_kPa\n"
    ),
    "headers all the way": lambda: filled(HEAD + b"0.5,900,1\n", HEAD, 50_000_000),
    "headers that are nearly the same": lambda: counted(
        lambda i: f"time_s,rpm,boost {i}\n0.5,900,1\n", many=9000, size=1
    ),
    "clocks with dates": lambda: counted(
        lambda i: f"2026-03-05 {_clock(i)},{800 + i % 3000},{i % 97}.5\n", b"time,rpm,boost_kPa\n"
    ),
    "clocks with names of months": lambda: counted(
        lambda i: f"5 Mar 2026 {_clock(i)},{800 + i % 3000},{i % 97}.5\n", b"time,rpm,boost_kPa\n"
    ),
    "a unit in each cell": lambda: counted(lambda i: f"{i} ms,{800 + i % 3000},{i % 97}.5\n", b"time,rpm,boost_kPa\n"),
    "long form": lambda: counted(
        lambda i: f"{i // 2 / 10},{'rpm' if i % 2 else 'boost'},{800 + i % 3000},{'1/min' if i % 2 else 'kPa'}\n",
        b"time,channel,value,unit\n",
    ),
    "long form of many channels": lambda: counted(
        lambda i: f"{i / 10},channel {i % 290},{i % 97}\n", b"time,channel,value\n"
    ),
    "long form of too many channels": lambda: counted(
        lambda i: f"{i / 10},channel {i},{i % 97}\n", b"time,channel,value\n"
    ),
    "rows of every length": lambda: counted(
        lambda i: f"{i / 10},{800 + i % 3000}{',1' * (i % 9)}\n", b"time_s,rpm,boost_kPa,a,b,c,d,e,f\n"
    ),
    "columns parted by blanks": lambda: counted(
        lambda i: f"{i / 10}   {800 + i % 3000}   {i % 97}.5\n", b"time_s   rpm   boost_kPa\n"
    ),
    "single bytes beyond ASCII": lambda: counted(
        lambda i: f"{i / 10};{800 + i % 3000};{i % 97},5;1\n", "Zeit;Drehzahl;Boost;Öl\n".encode("cp1252")
    ),
    "sixteen bits a letter": lambda: (
        counted(lambda i: f"{i / 10},{800 + i % 3000},{i % 97}.5\n", size=SIZE // 2).decode().encode("utf-16")
    ),
    "a clock that starts again at every row": lambda: counted(lambda i: f"{i % 7 / 10},{800 + i % 3000},{i % 97}.5\n"),
    "spikes at every second row": lambda: counted(lambda i: f"{i / 10},{800 + 3000 * (i % 2)},{300 * (i % 2)}\n"),
    "random bytes": lambda: __import__("random").Random(1).randbytes(SIZE),
    "zeros": lambda: b"\x00" * SIZE,
    "blank lines": lambda: b"\n" * SIZE,
    "zeros packed": lambda: gzip.compress(b"0" * (SIZE * 10), 9),
    "a sheet of as many cells as are taken": lambda: _sheet_of(950_000),
    "a sheet of more cells than are taken": lambda: _sheet_of(3_000_000),
}
ALONE = """
import sys, time
from pathlib import Path
from sizing.tables.refused import FileRefused
from measurements.logs.report import report
data = Path(sys.argv[1]).read_bytes()
started = time.process_time()  # of this process alone, whatever else the machine does
try:
    found = report(data)
    said = "; ".join(str(row.get("rows", row.get("refused"))) for row in found["recordings"][:3])
except FileRefused as refused:
    said = str(refused)
high = next(line.split()[1] for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM"))
print(f"{time.process_time() - started:.2f}|{int(high) / 1024:.0f}|{said[:90]}")
"""


def run(name: str, folder: Path) -> tuple[float, float, str]:
    """Seconds, MB, and what was said."""
    path = folder / "hostile"
    path.write_bytes(WORST[name]())
    told = subprocess.run([sys.executable, "-c", ALONE, str(path)], capture_output=True, text=True)
    path.unlink()
    if told.returncode:
        return 0.0, 0.0, "BROKEN " + told.stderr[-600:]
    seconds, megabytes, said = told.stdout.strip().split("|", 2)
    return float(seconds), float(megabytes), said


if __name__ == "__main__":
    import tempfile

    with tempfile.TemporaryDirectory() as place:
        for each in sys.argv[1:] or WORST:
            began = time.perf_counter()
            print(
                f"{each:<45}", *run(each, Path(place)), f"({time.perf_counter() - began:.0f} s)", sep="  ", flush=True
            )
