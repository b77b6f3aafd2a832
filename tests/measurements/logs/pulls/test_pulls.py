"""Pulls are found where the log of our own making has them."""

import numpy as np
import pytest

from measurements.logs.pulls.pulls import at_times, find_pulls
from measurements.logs.words import verdict_on_load
from tests.measurements.logs.log_files import pull_log, run_up_log
from tests.measurements.logs.parsing.test_file import read


def test_one_pull_with_its_speeds_and_peaks():
    search = find_pulls(read(pull_log()))
    [pull] = search.pulls
    assert search.judged_by == "pedal_pct"
    assert pull.start_s == pytest.approx(10.0, abs=0.11)
    assert pull.end_s == pytest.approx(18.0, abs=0.11)
    assert (pull.speed_from_rpm, pull.speed_to_rpm) == (1400.0, 3800.0)
    assert pull.boost_highest_kpa == 82.0
    assert pull.boost_highest_at_rpm == pytest.approx(
        2600.0
    )  # half of the way up, where the boost was made to level off
    assert pull.exhaust_temperature_highest_c == 640.0


def test_a_run_up_without_load_is_no_boost_test():
    log = read(run_up_log())
    search = find_pulls(log)
    assert (search.pulls, search.short_run_ups) == ([], 1)
    text = str(verdict_on_load(log, search))
    assert text.startswith("No load, not a boost test")
    assert "never rose above 2" in text


def test_a_pull_without_boost_says_nothing_of_boost():
    log = read(pull_log(boost_top_kpa=3.0))
    assert "nothing can be said of boost" in str(verdict_on_load(log, find_pulls(log)))


def test_without_pedal_and_load_boost_itself_tells():
    data = pull_log().replace(b"pedal_pct", b"gear")
    [pull] = find_pulls(read(data)).pulls
    assert pull.boost_highest_kpa == 82.0
    assert find_pulls(read(data)).judged_by == "boost_kpa"


def test_without_any_of_them_nothing_is_claimed():
    data = pull_log().replace(b"pedal_pct", b"gear").replace(b"boost_kPa", b"other")
    log = read(data)
    search = find_pulls(log)
    assert (search.pulls, search.judged_by) == ([], "")
    assert "no pedal or load column" in str(verdict_on_load(log, search))


def test_a_channel_that_was_silent_is_not_carried_on():
    held = at_times(np.array([0.0, 0.5, 5.0]), np.array([0.0]), np.array([7.0]))
    assert held[:2].tolist() == [7.0, 7.0]
    assert np.isnan(held[2])
