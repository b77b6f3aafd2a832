"""Files made to hurt, through the same door as real ones: never a crash, never a page that cannot be shown, nothing left behind.

Forty come with every run, up to a thousand with `HOSTILE_SECONDS=60`, and `HOSTILE_WORST=1` adds the largest that are taken.
"""

import gzip
import io
import itertools
import os
import re
import time
import uuid
import zipfile
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from hypothesis import HealthCheck, given, seed, settings
from hypothesis import strategies as st

from measurements.logs.models import LogFile
from measurements.logs.parsing.names import CHANNELS
from tests.budget import SAID, Budget
from tests.measurements.builders import planned_job
from tests.measurements.logs.parsing.hostile_files import WORST, run
from tests.measurements.logs.parsing.log_dialects import SAME

MOST_SECONDS, MOST_MB = 10.0, 1024

NASTY = st.sampled_from([
    "", " ", "0", "-0.0", "1", "1.5", "1,5", "-1e308", "1e400", "nan", "inf", "-inf", "NaN", "0x1F", "1_000", "٣", "½", "−5", "+7", "1e", ".", ",", "--",
    '"', '""', '"a', "'", "=1+1", "@x", "time_s", "rpm", "boost_kPa", "Time [s]", "value", "channel", "unit", "kPa", "s", "°C", "[]", "min", "max",
    "10:00:01", "25:61:99", "10:00", "1:2:3:4", "2026-03-05 10:00:00", "31.02.2026 10:00", "99/99/9999 00:00:00", "5 Mar 2026 10:00:00", "0.5 s", "7 ms", "1e9 h",
    "\x00", "\x1a", "\u2028", "\x85", "\x0b", "\ufeff", "\U0001f600", "ß" * 50, "x" * 5000, "9" * 400, "-125", "65535", "999",
])  # fmt: skip
MARKS = st.sampled_from([",", ";", "\t", "|", " ", "  "])
ENDS = st.sampled_from(["\n", "\r\n", "\r", "\n\n"])
CODES = st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252", "cp850", "utf-7"])


@st.composite
def tables(draw) -> bytes:
    mark, end, width = draw(MARKS), draw(ENDS), draw(st.integers(1, 8))
    row = st.lists(
        NASTY | st.integers(-9, 9999).map(str) | st.floats(width=32).map(str), min_size=0, max_size=width + 1
    )
    rows = draw(st.lists(row, max_size=30))
    if draw(st.booleans()):
        rows.insert(
            draw(st.integers(0, min(3, len(rows)))), ["time_s", "rpm", "boost_kPa", *["x"] * width][: max(3, width)]
        )
    if draw(st.booleans()):
        rows += [[str(i / 10), str(800 + i), str(i % 50)] for i in range(draw(st.integers(1, 60)))]
    return end.join(mark.join(cells) for cells in rows).encode(draw(CODES), errors="replace")


@st.composite
def spoiled(draw) -> bytes:
    """A sound file with bytes changed, lost, doubled or cut off."""
    data = bytearray(SAME[draw(st.sampled_from(sorted(SAME)))])
    for _ in range(draw(st.integers(1, 6))):
        at, long = draw(st.integers(0, len(data))), draw(st.integers(0, 40))
        how = draw(st.sampled_from(["cut", "put", "drop", "twice", "turn"]))
        if how == "cut":
            del data[at:]
        elif how == "put":
            data[at:at] = draw(st.binary(max_size=20) | NASTY.map(lambda text: text.encode()))
        elif how == "drop":
            del data[at : at + long]
        elif how == "twice":
            data[at:at] = data[max(0, at - 10 * long) : at]
        else:
            data[at : at + long] = bytes(reversed(data[at : at + long]))
    return bytes(data)


def _zip(data: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("a.csv", data)
        archive.writestr("../b.csv", data[: len(data) // 2])
    return out.getvalue()


FILES = st.one_of(
    tables(), spoiled(), st.binary(max_size=3000), tables().map(gzip.compress), tables().map(_zip), spoiled().map(_zip),
    st.tuples(tables(), tables()).map(lambda pair: pair[0] + b"\n" + pair[1]), tables().map(lambda data: data * 200), st.text(max_size=2000).map(str.encode),
)  # fmt: skip


def _peak_mb() -> float:
    return (
        next(
            int(line.split()[1])
            for line in Path("/proc/self/status").read_text().splitlines()
            if line.startswith("VmHWM")
        )
        / 1024
    )


def _forget_peak() -> bool:
    """Start the mark of the highest memory anew, where the system lets us."""
    try:
        Path("/proc/self/clear_refs").write_text("5")
    except OSError:
        return False
    return True


def _send(client, job, data: bytes) -> None:
    """Upload, look, match by chance, read, look at the pages and take what comes out; every answer must be a sound one."""
    response = client.post(
        reverse("measurements:logs", args=[job.pk]),
        {"phase": "before", "file": SimpleUploadedFile(f"{uuid.uuid4()}.csv", data)},
    )
    assert response.status_code in (302, 422)
    rows = list(LogFile.objects.of(job))
    assert len(rows) <= 60
    if response.status_code == 422:
        assert all(
            (row.state, row.columns.count(), row.pulls.count(), row.table.name) == ("refused", 0, 0, "") for row in rows
        )
        return
    assert client.get(response.url).status_code == 200
    for row in rows[:2]:
        address = reverse("measurements:log_match", args=[row.pk])
        assert client.get(address).status_code == 200
        columns = list(row.columns.all())
        mapping = {c.position: (c.quantity, c.unit) for c in columns}
        if len({q for q, _ in mapping.values() if q}) < 3:
            for column, slug in zip(columns, ["time_s", "speed_rpm", "boost_kpa"], strict=False):
                mapping[column.position] = (
                    slug,
                    CHANNELS[slug].units[(len(data) + column.position) % len(CHANNELS[slug].units)],
                )
        fields = {
            f"{what}_{at}": pair[n] for at, pair in mapping.items() for n, what in enumerate(("quantity", "unit"))
        }
        answer = client.post(address, fields)
        row.refresh_from_db()
        assert (answer.status_code, row.state) in ((302, "read"), (422, "received"))
        if row.state == "received":
            assert (row.table.name, row.row_count, row.pulls.count()) == ("", None, 0)
            continue
        page = client.get(reverse("measurements:log", args=[row.pk]))
        assert page.status_code == 200
        assert not re.search(r'class="num"[^>]*>\s*-?(nan|inf)| d="[^"]*nan', page.content.decode(), re.IGNORECASE)
        for kind in ("log_csv", "log_parquet"):
            assert b"".join(client.get(reverse(f"measurements:{kind}", args=[row.pk])).streaming_content)


@pytest.mark.django_db
def test_no_hostile_file_breaks_anything(technician, technician_client, caplog, record_property):
    budget = Budget("HOSTILE", "hostile files", record_property, least=40, most=1000)
    job, slowest, highest = planned_job(technician), [0.0], [0.0]
    measured = _forget_peak()

    def one(data):
        LogFile.objects.of(job).delete()
        started = time.process_time()
        _send(technician_client, job, data)
        assert not [r for r in caplog.records if r.levelname == "ERROR"], "a refusal that only the last net caught"
        slowest[0] = max(slowest[0], time.process_time() - started)
        if measured:
            highest[0] = max(highest[0], _peak_mb())

    for share in budget.shares(itertools.repeat(20)):
        many = settings(max_examples=len(share), deadline=None, suppress_health_check=list(HealthCheck), database=None)
        seed(budget.seed + share.start)(many(given(FILES)(one)))()
    record_property(SAID, f"slowest {slowest[0]:.2f} s, highest memory {highest[0]:.0f} MB")
    assert slowest[0] < MOST_SECONDS
    assert highest[0] < MOST_MB


@pytest.mark.skipif(not os.environ.get("HOSTILE_WORST"), reason="takes minutes: HOSTILE_WORST=1 runs it")
@pytest.mark.parametrize("name", WORST)
def test_the_largest_files_stay_within_time_and_memory(name, tmp_path):
    seconds, megabytes, said = run(name, tmp_path)
    assert "BROKEN" not in said
    assert seconds < MOST_SECONDS
    assert megabytes < MOST_MB
