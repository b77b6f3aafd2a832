"""Unmatched columns in an export hold what the original file holds: both are read with pandas, not with our own import."""

import io

import pandas as pd
import pyarrow.parquet as pq
import pytest
from django.urls import reverse

from measurements.logs.actions import receive_log
from measurements.logs.reading import read_log
from tests.measurements.builders import planned_job
from tests.measurements.logs.parsing.log_dialects import BOOSTS, ROWS, SPEEDS, TIMES, table

# Text, figures with a comma, what stands for no reading, blanks, formulas, an umlaut: nothing of it may change.
ODDITIES = ["", "n/a", "-", "07.50", " 3 ", "ön", "1,5", "NaN", "-0.0", "a;b"]
HEADER = ("time_s", "state", "rpm", "note [x]", "boost_kPa")


def original(rows=ROWS) -> str:
    cells = [(t, ODDITIES[i % 10], n, f"row {i}", b) for i, (t, n, b) in enumerate(rows)]
    frame = pd.DataFrame([[str(c) for c in row] for row in cells], columns=list(HEADER))
    return frame.to_csv(index=False)


def as_text(data: bytes | str, **how) -> pd.DataFrame:
    return pd.read_csv(
        io.BytesIO(data.encode() if isinstance(data, str) else data), dtype=str, keep_default_na=False, **how
    )


def kept(data: str, by):
    return read_log(receive_log(planned_job(by), "before", "run.csv", data.encode(), by), None, by)


def csv_of(client, log, raw="?raw=1") -> pd.DataFrame:
    response = client.get(reverse("measurements:log_csv", args=[log.pk]) + raw)
    return as_text(b"".join(response.streaming_content))


def parquet_of(client, log) -> bytes:
    return b"".join(client.get(reverse("measurements:log_parquet", args=[log.pk]) + "?raw=1").streaming_content)


def test_raw_columns_are_those_of_the_file_cell_by_cell(technician, technician_client):
    data = original()
    log = kept(data, technician)
    wanted, found = as_text(data), csv_of(technician_client, log)
    assert list(found) == ["Time [s]", "Engine speed [rpm]", "Boost, gauge [kPa]", "raw: state", "raw: note [x]"]
    assert found["raw: state"].tolist() == wanted["state"].tolist()
    assert found["raw: note [x]"].tolist() == wanted["note [x]"].tolist()
    assert found["Boost, gauge [kPa]"].astype(float).tolist() == BOOSTS
    packed = parquet_of(technician_client, log)
    frame = pd.read_parquet(io.BytesIO(packed))
    assert frame["raw: state"].tolist() == wanted["state"].tolist()
    assert frame["speed_rpm"].tolist() == SPEEDS
    schema = pq.read_schema(io.BytesIO(packed))
    assert b"not matched" in schema.field("raw: state").metadata[b"raw"]
    assert schema.metadata[b"sha256"].decode() == log.sha256


def test_without_being_asked_only_matched_columns_go_out(technician, technician_client):
    log = kept(original(), technician)
    assert list(csv_of(technician_client, log, "")) == ["Time [s]", "Engine speed [rpm]", "Boost, gauge [kPa]"]
    page = technician_client.get(reverse("measurements:log", args=[log.pk])).content.decode()
    assert "With the 2 columns not used" in page


def test_rows_stay_together_where_the_log_was_put_in_order_and_rows_left_out(technician, technician_client):
    """Rows out of time order, one without any value and one cut off: each raw cell stays beside its own time."""
    lines = original().splitlines()
    lines[5], lines[6] = lines[6], lines[5]
    lines[10] = f"{TIMES[9]},lost,,no value,"
    data = "\n".join([*lines, "20.0,cut"]) + "\n"
    log = kept(data, technician)
    found, wanted = csv_of(technician_client, log), as_text("\n".join([*lines]) + "\n")
    notes = dict(zip(wanted["time_s"].astype(float), wanted["note [x]"], strict=True))
    assert len(found) == 39
    assert found["raw: note [x]"].tolist() == [notes[t] for t in found["Time [s]"].astype(float)]


def test_each_stretch_has_its_own(technician, technician_client):
    data = original([*ROWS, *ROWS[:20]])
    log = kept(data, technician)
    [other] = log.siblings()
    wanted = as_text(data)["note [x]"].tolist()
    assert csv_of(technician_client, log)["raw: note [x]"].tolist() == wanted[:40]
    assert csv_of(technician_client, other)["raw: note [x]"].tolist() == wanted[40:]


def test_a_column_beside_several_clocks_follows_the_one_to_its_left(technician, technician_client):
    rows = [(t, n, f"s{i}", round(t + 0.1, 1), b, f"b{i}") for i, (t, n, b) in enumerate(ROWS)]
    data = table(rows, ("time rpm [s]", "rpm", "state", "time boost [s]", "boost_kPa", "mark"))
    found = csv_of(technician_client, kept(data, technician))
    assert len(found) == 80
    of_speed = found[found["Engine speed [rpm]"] != ""]
    of_boost = found[found["Boost, gauge [kPa]"] != ""]
    assert of_speed["raw: state"].tolist() == [f"s{i}" for i in range(40)]
    assert of_boost["raw: mark"].tolist() == [f"b{i}" for i in range(40)]
    assert set(of_speed["raw: mark"]) == {""}


def test_names_that_stand_twice_or_not_at_all_are_kept_apart(technician, technician_client):
    rows = [(t, "1", n, "2", b, "3") for t, n, b in ROWS]
    found = csv_of(technician_client, kept(table(rows, ("time_s", "flag", "rpm", "flag", "boost_kPa", "")), technician))
    assert list(found)[3:] == ["raw: flag (column 2)", "raw: flag (column 4)", "raw: no name (column 6)"]
    assert [set(found[name]) for name in list(found)[3:]] == [{"1"}, {"2"}, {"3"}]


def test_other_marks_and_letters_come_out_as_they_are(technician, technician_client):
    """Semicolons, decimal commas, single-byte letters: the cell '12,50' stays '12,50'."""
    rows = [(str(t).replace(".", ","), int(n), "12,50 °", str(b).replace(".", ",")) for t, n, b in ROWS]
    data = table(rows, ("time_s", "rpm", "Öl", "boost_kPa"), ";").encode("cp1252")
    log = read_log(receive_log(planned_job(technician), "before", "run.csv", data, technician), None, technician)
    wanted = as_text(data, sep=";", encoding="cp1252")
    assert csv_of(technician_client, log)["raw: Öl"].tolist() == wanted["Öl"].tolist() == ["12,50 °"] * 40


def test_a_formula_goes_out_harmless_in_csv_and_as_it_is_in_parquet(technician, technician_client):
    rows = [(t, "=1+1" if i % 2 else "-5", n, b) for i, (t, n, b) in enumerate(ROWS)]
    log = kept(table(rows, ("time_s", "@cell", "rpm", "boost_kPa")), technician)
    assert csv_of(technician_client, log)["raw: @cell"].tolist() == ["-5", "'=1+1"] * 20
    assert pd.read_parquet(io.BytesIO(parquet_of(technician_client, log)))["raw: @cell"].tolist() == ["-5", "=1+1"] * 20


def test_columns_of_an_earlier_reading_are_not_put_beside_other_rows(technician, technician_client):
    log = kept(original(), technician)
    log.columns.filter(quantity="time_s").update(unit="ms")
    response = technician_client.get(reverse("measurements:log_csv", args=[log.pk]) + "?raw=1", follow=True)
    assert "earlier reading" in response.content.decode()


@pytest.mark.parametrize("raw", ["", "?raw=1"])
def test_a_file_with_nothing_unmatched_is_the_same_with_and_without(technician, technician_client, raw):
    assert list(csv_of(technician_client, kept(table(), technician), raw)) == [
        "Time [s]",
        "Engine speed [rpm]",
        "Boost, gauge [kPa]",
    ]
