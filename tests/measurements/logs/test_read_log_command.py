"""`manage.py read_log`: what is understood of a file, for people and for programs."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from tests.measurements.logs.log_files import PHOTO, pull_log
from tests.measurements.logs.parsing.log_dialects import BOOSTS, SAME, SPEEDS, TIMES, table, zipped


def told(tmp_path, data: bytes, *args: str) -> str:
    path, out = tmp_path / "run.csv", StringIO()
    path.write_bytes(data)
    call_command("read_log", str(path), *args, stdout=out)
    return out.getvalue()


def test_recordings_channels_ranges_and_refusals(tmp_path):
    found = json.loads(told(tmp_path, SAME["a block of notes before the header"] + b"3,4\n", "--json"))
    [recording] = found["recordings"]
    assert recording["dialect"]["notes"] == ["Logger 7", "Test of 3 March; cold, 600 m", "Driver: N. N."]
    assert (recording["rows"], recording["seconds"]) == (len(TIMES), TIMES[-1])
    speed, boost = recording["channels"]
    assert (speed["quantity"], speed["unit"], speed["lowest"], speed["highest"]) == (
        "speed_rpm",
        "rpm",
        min(SPEEDS),
        max(SPEEDS),
    )
    assert (boost["header"], boost["logged_in"], boost["values"], boost["highest"]) == (
        "boost_kPa",
        "kPa",
        40,
        max(BOOSTS),
    )
    assert recording["dropped"] == [
        {"rows": 1, "why": "with another number of cells than the header, the cut-off last one among them"}
    ]
    assert any("nothing is said about power" in line for line in recording["refusals"])


def test_pulls(tmp_path):
    [recording] = json.loads(told(tmp_path, pull_log(), "--json"))["recordings"]
    [pull] = recording["pulls"]
    assert (pull["start_s"], pull["end_s"], pull["boost_highest_kpa"]) == (10.0, 18.0, 82.0)


def test_parts_that_are_no_log_are_named(tmp_path):
    found = json.loads(told(tmp_path, zipped(a__csv=table(), b__txt="a note\n"), "--json"))
    assert found["packed"] == "zip"
    assert [part["part"] for part in found["not_a_log"]] == ["b.txt"]


def test_text_for_people(tmp_path):
    text = told(tmp_path, SAME["semicolon with decimal comma"])
    for part in (
        "semicolon between columns, decimal comma",
        "40 rows over 19.5 s",
        "boost_kPa: Boost, gauge, logged in kPa: 40 values",
        "nothing is said about power",
    ):
        assert part in text, part


def test_what_cannot_be_matched_is_said(tmp_path):
    text = told(tmp_path, table(header=("time_s", "gear", "colour")).encode())
    assert "Not read: Only the time is matched" in text


def test_a_log_without_engine_speed_is_read_and_carries_no_claim(tmp_path):
    text = told(tmp_path, table(header=("time_s", "gear", "boost_kPa")).encode())
    assert "boost_kPa: Boost, gauge, logged in kPa: 40 values" in text
    assert "no engine speed was logged, so no pull can be found" in text
    assert "nothing is said about power" in text


def test_what_is_no_log_ends_with_the_reason(tmp_path):
    with pytest.raises(CommandError, match="photo"):
        told(tmp_path, PHOTO)
    with pytest.raises(CommandError, match="No such file"):
        call_command("read_log", str(tmp_path / "nothing.csv"))
    with pytest.raises(CommandError, match="50 to 110"):
        told(tmp_path, table().encode(), "--air-pressure-kpa", "7")


def test_absolute_pressure_needs_the_air_of_the_place(tmp_path):
    """Gauge is absolute less the air: 150 - 75 kPa."""
    data = table([(t, n, 150) for t, n in zip(TIMES, SPEEDS, strict=True)], ("time_s", "rpm", "MAP abs [kPa]")).encode()
    assert "boost" not in told(tmp_path, data).split("\n  - ")[0].lower()
    assert "75.0 kPa of air" in told(tmp_path, data, "--air-pressure-kpa", "75")


@pytest.mark.parametrize(
    ("code", "said"), [("utf-8", "utf-8"), ("utf-8-sig", "utf-8"), ("cp1252", "cp1252"), ("utf-16", "utf-16")]
)
def test_the_encoding_that_the_file_came_in_is_told(tmp_path, code, said):
    data = table(header=("time_s", "rpm", "Öldruck [kPa]")).encode(code)
    [recording] = json.loads(told(tmp_path, data, "--json"))["recordings"]
    assert recording["dialect"]["encoding"] == said
    assert recording["columns"][2]["header"] == "Öldruck [kPa]"
