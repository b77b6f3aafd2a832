"""Every way in which real logs are written comes out as the same forty rows, which stand in log_dialects.py as plain numbers."""

import numpy as np
import pytest

from measurements.logs.parsing.file import read_logs
from measurements.logs.parsing.match import matched_columns
from measurements.logs.parsing.parts import understand
from tests.measurements.logs.parsing.log_dialects import (
    BOOSTS,
    ROWS,
    SAME,
    SPEEDS,
    TIMES,
    long_form,
    one_clock_a_channel,
    sheet,
    table,
    zipped,
)


def read_all(data: bytes, air_pressure_kpa=None):
    return [
        log
        for part in understand(data).recordings
        for log in read_logs(part.data, part.dialect, matched_columns(part.dialect), air_pressure_kpa)
    ]


def read_one(data: bytes):
    [log] = read_all(data)
    return log


@pytest.mark.parametrize("name", SAME)
def test_every_dialect_holds_the_same_rows(name):
    log = read_one(SAME[name])
    assert log.row_count == len(ROWS)
    np.testing.assert_allclose(log.table["time_s"], TIMES, atol=1e-6)
    np.testing.assert_allclose(log.table["speed_rpm"], SPEEDS)
    np.testing.assert_allclose(log.table["boost_kpa"], BOOSTS)


def test_what_was_left_out_is_counted():
    """The samples say how many there are: two blank rows inside and two at the end, one cut-off record, two rows of ends."""
    assert read_one(SAME["rows made of delimiters"]).blank_rows == 4
    assert read_one(SAME["a cut-off last record"]).short_rows == 1
    assert read_one(SAME["a cut-off last record"]).cut_off_end
    assert read_one(SAME["a cut-off first record"]).short_rows == 1
    assert read_one(SAME["rows of minima and maxima"]).end_rows == 2
    assert read_one(SAME["rows of minima and maxima with a word"]).timeless_rows == 2
    assert read_one(SAME["rows shorter than the header"]).padded_rows == 34
    assert read_one(SAME["rows out of time order"]).clock_back == 1
    assert read_one(SAME["clock past midnight"]).midnights == 1
    assert read_one(SAME["a header repeated on every page"]).blank_rows == 3
    assert read_one(SAME["times before a trigger"]).began_at_s == -5.0


def test_several_recordings_each_with_its_own_header_and_clock():
    other = table([(t, n + 100, b) for t, n, b in ROWS[:20]], ("Time [s]", "Engine speed [rpm]", "Boost [kPa]"))
    found = understand(("Run 1, cold\n" + table() + "\nRun 2, warm\n\n" + other + table(ROWS[:10])).encode())
    assert [part.dialect.notes for part in found.recordings] == [("Run 1, cold",), ("Run 2, warm",), ()]
    logs = read_all(("Run 1, cold\n" + table() + "\nRun 2, warm\n\n" + other + table(ROWS[:10])).encode())
    assert [log.row_count for log in logs] == [40, 20, 10]
    assert [log.table["time_s"].iloc[0] for log in logs] == [0.0, 0.0, 0.0]
    assert logs[1].table["speed_rpm"].tolist() == [n + 100 for n in SPEEDS[:20]]


def test_a_clock_that_starts_again_without_a_header_begins_another_recording():
    logs = read_all(table([*ROWS, *ROWS[:20], *ROWS[:30]]).encode())
    assert [log.row_count for log in logs] == [40, 20, 30]
    assert [(log.stretch, log.stretches) for log in logs] == [(1, 3), (2, 3), (3, 3)]
    assert all(log.clock_back == 0 for log in logs)


def test_members_of_a_packed_file_are_recordings():
    found = understand(
        zipped(a__csv=table(), b__csv=table(ROWS[:12]), photo__jpg="\xff\xd8\xff not text \x00", c__csv=table())
    )
    assert [part.label for part in found.recordings] == ["a.csv", "b.csv"]
    assert [str(part) for part, _ in found.refused] == ["photo.jpg", "c.csv"]
    assert "same bytes as a.csv" in str(found.refused[1][1])


def test_one_clock_a_channel_keeps_each_value_at_its_own_time():
    log = read_one(one_clock_a_channel().encode())
    assert log.series("speed_rpm")[0].tolist() == TIMES
    np.testing.assert_allclose(log.series("boost_kpa")[0], np.array(TIMES) + 0.1)
    assert log.series("boost_kpa")[1].tolist() == BOOSTS
    assert (log.clocks, log.row_count) == (2, 80)


def test_long_form_keeps_two_units_of_one_channel_apart():
    text = long_form() + "20.0,Boost,0.25,bar\n"
    [part] = understand(text.encode()).recordings
    assert part.dialect.header == ("time", "Engine speed [1/min]", "Boost [kPa]", "Boost [bar]")
    assert [q for q, _ in matched_columns(part.dialect).values()] == ["time_s", "speed_rpm", "boost_kpa", ""]
    assert "81 readings of 3 channels" in str(part.told[0])


def test_without_a_header_only_the_clock_is_guessed():
    [part] = understand(table(header=()).encode()).recordings
    assert matched_columns(part.dialect) == {0: ("time_s", "s"), 1: ("", ""), 2: ("", "")}
    [log] = read_logs(part.data, part.dialect, {0: ("time_s", "s"), 1: ("speed_rpm", "rpm"), 2: ("boost_kpa", "kPa")})
    assert log.table["boost_kpa"].tolist() == BOOSTS


def test_the_same_day_in_three_orders_is_the_same_clock():
    """The order is told by what is possible: there is no 25th month."""
    for name in ("date and time, month first", "date and time, day first"):
        assert read_one(SAME[name]).table["time_s"].iloc[-1] == 19.5


def test_a_sheet_with_a_formula_is_taken_by_its_value_and_never_run():
    rows = [[*row] for row in ROWS]
    rows[3][2] = "=1+1"
    log = read_one(sheet(rows))
    assert log.row_count == 40
    assert np.isnan(log.table["boost_kpa"].iloc[3]), "nobody has worked it out yet, so it is empty"
