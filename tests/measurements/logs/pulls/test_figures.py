"""Pulls of our own making, whose figures have closed forms.

First order: 90 % after tau ln 10. Second order, damped: overshoot exp(-zeta pi / sqrt(1 - zeta^2)), as in Ogata, Modern
Control Engineering, ch. 5 (from memory). Savitzky and Golay and the crests are held against scipy.
"""

import numpy as np
import pytest
from scipy.signal import find_peaks, savgol_filter

from measurements.logs.pulls.figures import _calm, pull_figures, settled_kpa, swing_of

STEP = 0.05
T = np.arange(0.0, 20.0, STEP)
SPEED = 1400.0 + 120.0 * T


def figures(boost, **more):
    return pull_figures(0.0, 20.0, (T, boost), (T, SPEED), **more)


@pytest.mark.parametrize("tau", [0.8, 1.5])
def test_a_first_order_rise(tau):
    found = figures(90.0 * (1 - np.exp(-T / tau)))
    assert found.settled_kpa == pytest.approx(90.0, rel=2e-3)
    assert found.rise_s == pytest.approx(tau * np.log(10), rel=0.02)
    assert found.rise_at_rpm == pytest.approx(1400 + 120 * tau * np.log(10), abs=15)
    assert found.overshoot_pct == pytest.approx(0.0, abs=0.2)
    assert found.swing is None


@pytest.mark.parametrize("zeta", [0.2, 0.3, 0.5])
def test_a_damped_step_overshoots_as_the_books_say(zeta):
    natural = 2.0  # rad/s
    damped = natural * np.sqrt(1 - zeta**2)
    boost = 80.0 * (
        1 - np.exp(-zeta * natural * T) * (np.cos(damped * T) + zeta / np.sqrt(1 - zeta**2) * np.sin(damped * T))
    )
    found = figures(boost)
    assert found.settled_kpa == pytest.approx(80.0, rel=0.01)
    assert found.overshoot_pct == pytest.approx(100 * np.exp(-zeta * np.pi / np.sqrt(1 - zeta**2)), abs=1.5)


def test_boost_that_never_stands_is_not_called_settled():
    found = figures(4.0 * T)
    assert found.settled_kpa is None
    assert found.rise_s is None
    assert found.overshoot_pct is None


def test_fall_off_at_the_top_is_what_is_missing_there():
    boost = np.where(SPEED < 3400, 80.0, 80.0 - 0.05 * (SPEED - 3400))
    # the top 5 % of 2,394 rpm is the last 119.7: their middle lies at 3,734.15 rpm, so 16.7 below
    assert figures(boost).fall_off_kpa == pytest.approx(0.05 * (3794 - 119.7 / 2 - 3400), abs=0.2)


def test_heat_that_rises_evenly_has_that_slope():
    found = figures(np.full_like(T, 80.0), heat=(T, 300.0 + 17.5 * T))
    assert found.heat_rise_c_s == pytest.approx(17.5, rel=1e-6)


def test_a_steady_swing_is_found_with_its_frequency_and_height():
    found = figures(90.0 + 5.0 * np.sin(2 * np.pi * 2.5 * T)).swing
    assert found.frequency_hz == pytest.approx(2.5, rel=0.02)
    assert found.height_kpa == pytest.approx(10.0, rel=0.1)  # crest to trough of a sine is twice its amplitude
    assert not found.dies_away


def test_a_swing_that_rings_out_is_told_apart():
    found = figures(90.0 + 25.0 * np.exp(-T / 3.0) * np.sin(2 * np.pi * 2.0 * T)).swing
    assert found is not None
    assert found.dies_away


def test_noise_is_no_swing():
    rng = np.random.default_rng(5)
    assert figures(90.0 + rng.normal(0, 0.5, T.size)).swing is None
    # even coarse noise is not evenly apart
    assert swing_of(T, 90.0 + rng.normal(0, 4.0, T.size)) is None


def test_the_trend_and_the_crests_are_those_of_scipy():
    boost = 90.0 + 5.0 * np.sin(2 * np.pi * 2.5 * T) + 0.3 * T
    ours = _calm(boost, STEP, 1.5)
    assert np.allclose(ours, savgol_filter(boost, 31, 2))
    crests, _ = find_peaks(boost - savgol_filter(boost, 31, 2), prominence=2.0)
    assert swing_of(T, boost).count == crests.size


def test_what_was_not_logged_stays_unknown():
    found = pull_figures(0.0, 20.0)
    assert found.settled_kpa is None
    assert found.heat_rise_c_s is None
    assert found.lambda_lowest is None
    assert found.curve == ()
    without_speed = pull_figures(0.0, 20.0, (T, np.full_like(T, 80.0)))
    assert without_speed.settled_kpa == pytest.approx(80.0)
    assert without_speed.fall_off_kpa is None


def test_a_coarse_or_torn_log_says_nothing_of_the_rise():
    slow = np.arange(0.0, 20.0, 0.8)
    assert pull_figures(0.0, 20.0, (slow, np.full_like(slow, 80.0))).settled_kpa is None
    torn = (T < 5) | (T > 9)
    assert pull_figures(0.0, 20.0, (T[torn], np.full(torn.sum(), 80.0))).settled_kpa is None


def test_settled_is_the_middle_of_the_last_half():
    assert settled_kpa(np.array([0.0] * 10 + [80.0, 81.0, 79.0, 80.0, 80.0] * 2)) == 80.0


def test_lambda_within_the_pull_only():
    found = pull_figures(5.0, 10.0, mixture=([0.0, 6.0, 8.0, 15.0], [0.9, 1.4, 1.3, 1.0]))
    assert found.lambda_lowest == 1.3
