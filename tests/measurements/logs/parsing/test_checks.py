"""What looks odd in a log is found and told; each sample is made so that what stands in it is known."""

import itertools

import numpy as np
import pytest

from measurements.logs.parsing.checks import (
    gaps,
    is_counter,
    logged_together,
    restarts,
    rows_of_ends,
    sentinel_in,
    stuck_stretches,
)
from measurements.logs.pulls.pulls import find_pulls
from measurements.logs.words import boost_over_speed_refusal, findings, refusals
from tests.measurements.logs.log_files import run_up_log
from tests.measurements.logs.parsing.log_dialects import ROWS, table
from tests.measurements.logs.parsing.test_dialects import read_all, read_one

DRAW = np.random.default_rng(3)


def told(data: bytes) -> str:
    log = read_one(data)
    return "\n".join(map(str, findings(log, find_pulls(log))))


def test_a_channel_that_stands_still_for_a_stretch_is_stuck():
    times = np.arange(400) * 0.1
    values = 50 + DRAW.normal(0, 3, 400)
    values[100:200] = 51.5
    [stuck] = stuck_stretches(times, values)
    assert (stuck.start_s, stuck.end_s, stuck.value, stuck.count) == pytest.approx((10.0, 19.9, 51.5, 100))


@pytest.mark.parametrize(
    "values",
    [
        50 + DRAW.normal(0, 3, 400),  # lively
        np.repeat(np.arange(20.0), 20),  # a slow channel in steps
        np.concatenate([np.zeros(200), np.linspace(0, 80, 200)]),  # boost at rest, then none at rest
        np.full(400, 7.0),  # told in other words
        np.array([1.0, 2.0]),
    ],
)
def test_what_merely_rests_is_not_stuck(values):
    assert stuck_stretches(np.arange(len(values)) * 0.1, values) == []


def test_a_counter_ramps_through_the_range_of_its_bits():
    assert is_counter(np.arange(1000.0) % 256)
    assert is_counter((3 * np.arange(1000.0)) % 256)
    assert is_counter(np.arange(100.0) % 16)
    assert not is_counter(np.linspace(800, 4000, 500))
    assert not is_counter(DRAW.integers(0, 256, 500).astype(float))
    assert not is_counter(np.arange(10.0))
    assert "a counter of the logger" in told(
        table([(t, n, (i * 40) % 256) for i, (t, n, _) in enumerate(ROWS)], ("time_s", "rpm", "boost_kPa")).encode()
    )


def test_a_stand_in_for_no_reading_is_left_out_only_where_it_stands_alone():
    assert sentinel_in(np.array([20.0, 30, 999, 25, 22, 21])) == 999.0
    assert sentinel_in(np.array([20.0, 30, -999, 25, 22, 21])) == -999.0
    assert sentinel_in(np.linspace(0, 255, 256)) is None, "a channel that really goes there"
    assert sentinel_in(np.array([20.0, 30, 998, 25, 22, 21])) is None
    heat = [(*row, 999 if i in (3, 9) else 300 + i) for i, row in enumerate(ROWS)]
    log = read_one(table(heat, ("time_s", "rpm", "boost_kPa", "egt_C")).encode())
    assert (log.column("exhaust_temperature_c").sentinel_count, log.column("exhaust_temperature_c").highest) == (
        2,
        339.0,
    )
    assert "2 cells of 999 left out" in told(table(heat, ("time_s", "rpm", "boost_kPa", "egt_C")).encode())


def test_pauses_are_found_with_where_and_how_long():
    assert gaps(np.array([0, 1, 2, 3, 184, 185, 186.0])) == [(3.0, 181.0)]
    assert gaps(np.arange(100.0)) == []
    late = [(t if i < 20 else t + 300, n, b) for i, (t, n, b) in enumerate(ROWS)]
    assert "1 pause in the log, the longest of 5.0 min from 9.5 s" in told(table(late).encode())


def test_rows_of_ends_need_every_column_to_agree():
    body = DRAW.uniform(0, 1, (3, 50))
    with_ends = [np.concatenate([[c.min(), c.max()], c]) for c in body]
    assert rows_of_ends(with_ends) == 2
    assert rows_of_ends([np.concatenate([[c.max(), c.min()], c]) for c in body]) == 2
    assert rows_of_ends([*with_ends[:2], np.concatenate([[0.0, 0.5], body[2]])]) == 0
    assert rows_of_ends([np.arange(50.0), np.arange(50.0), np.arange(50.0)]) == 0


def test_a_clock_out_of_order_is_no_restart():
    assert restarts(np.array([0, 1, 2, 3, 4, 5, 0, 1, 2, 3, 4, 5.0])) == [6]
    assert restarts(np.array([0, 1, 2, 3, 5, 4, 6, 7, 8, 9, 10, 11.0])) == []


def test_channels_in_separate_stretches_give_no_curve_of_one_over_the_other():
    apart = [(t, n, "") for t, n, _ in ROWS] + [(t + 60, "", b) for t, _, b in ROWS]
    assert "never logged together" in told(table(apart).encode())
    half = [(t, n, b if i < 20 else "") for i, (t, n, b) in enumerate(ROWS)] + [(t + 60, "", b) for t, _, b in ROWS]
    assert "Only 33 % of the boost was logged together" in told(table(half).encode())
    assert boost_over_speed_refusal(read_one(table().encode())) is None


def test_share_together_against_a_plain_loop():
    one, other = np.sort(DRAW.uniform(0, 50, 60)), np.sort(DRAW.uniform(0, 50, 20))
    near = sum(any(abs(a - b) <= 0.7 for b in other) for a in one) / len(one)
    assert logged_together(one, other, 0.7) == pytest.approx(near)
    assert logged_together(one, np.array([]), 1.0) == 0.0


def test_claims_that_a_log_cannot_carry_are_refused_in_words():
    log = read_one(run_up_log())
    said = refusals(log, find_pulls(log))
    assert [s.code for s in said] == ["log.no_load", "log.no_power"]
    assert str(said[0]).startswith("No load, not a boost test")
    assert "nothing is said about power" in str(said[1])


def test_nothing_is_repaired():
    """A spike, a stuck stretch and a coarse clock stay in the columns as they were logged."""
    rows = [(float(int(t)), n, 70.0 if i == 12 else b) for i, (t, n, b) in enumerate(ROWS)]
    log = read_one(table(rows).encode())
    assert log.table["boost_kpa"].tolist() == [b for _, _, b in rows]
    assert log.table["time_s"].tolist() == [t for t, _, _ in rows]
    assert log.clock_repeats == sum(a[0] == b[0] for a, b in itertools.pairwise(rows))
    assert "a lonely sample of 70 kPa gauge at 6.00 s" in told(table(rows).encode())


def test_a_boost_that_never_moves_is_said():
    assert "at rest, stuck, or not connected" in told(table([(t, n, 3.0) for t, n, _ in ROWS]).encode())


def test_every_row_is_kept_or_counted():
    rows = [*ROWS, ("", 900, 1), ("x", 900, 1), ("", "", "")]
    [log] = read_all((table(rows) + "5,6\n7,8,9,10\n").encode())
    assert log.row_count + log.timeless_rows + log.blank_rows + log.short_rows == len(rows) + 2


def test_samples_in_bursts_a_nanosecond_apart_ask_for_no_endless_memory():
    """Even steps as short as those in a burst would be 17,000 million over the pull."""
    rows = [(f"{0.15 * i + 1e-9 * k:.10f}", 1500 + 10 * i, 100, min(80, i)) for i in range(120) for k in range(3)]
    log = read_one(table(rows, ("time_s", "rpm", "pedal_pct", "boost_kPa")).encode())
    [pull] = find_pulls(log).pulls
    assert pull.boost_highest_kpa == 80
