"""Survival curves against published tables. Each figure is copied from the source named beside it."""

import pytest

from measurements.review.survival import METHOD, Comparison, Curve, TooFew, compare_survival, survival
from tests.reference import rows_of
from tests.reference.lifetimes import CARS, CONTROL, SUBJECTS, TREATED

# Printed by Rodriguez (Princeton), survival/gehan.html: week, at risk, survival, 95 % interval (log-log)
PUBLISHED = [
    *((TREATED, *row) for row in (
        (6, 21, 0.8571, 0.6197, 0.9516), (7, 17, 0.8067, 0.5631, 0.9228), (9, 16, 0.8067, 0.5631, 0.9228),
        (10, 15, 0.7529, 0.5032, 0.8894), (13, 12, 0.6902, 0.4316, 0.8491), (16, 11, 0.6275, 0.3675, 0.8049),
        (22, 7, 0.5378, 0.2678, 0.7468), (23, 6, 0.4482, 0.1881, 0.6801), (35, 1, 0.4482, 0.1881, 0.6801),
    )),
    *((CONTROL, *row) for row in (  # with many ties
        (1, 21, 0.9048, 0.6700, 0.9753), (2, 19, 0.8095, 0.5689, 0.9239), (8, 12, 0.3810, 0.1831, 0.5778),
        (15, 4, 0.1429, 0.0357, 0.3212), (22, 2, 0.0476, 0.0033, 0.1970),
    )),
]  # fmt: skip


@pytest.mark.parametrize(("group", "week", "at_risk", "share", "low", "high"), PUBLISHED)
def test_a_group_agrees_with_the_published_table(group, week, at_risk, share, low, high):
    reading = survival(*group).at(week)
    assert reading.at_risk == at_risk
    assert (reading.survival, reading.low, reading.high) == pytest.approx((share, low, high), abs=5e-5)


def test_the_log_method_would_differ_and_the_method_is_named():
    # SV-CI2: the log method gives 0.720 to 1.000 for the same data, so the method must be said.
    assert survival(*TREATED).at(6).low != pytest.approx(0.720, abs=0.05)
    assert "log-log" in METHOD


def test_no_interval_where_all_have_failed():
    # The published table leaves the interval at week 23 empty for the control group.
    reading = survival(*CONTROL).at(23)
    assert (reading.survival, reading.low, reading.high) == (0.0, None, None)


def test_median_of_thirteen_subjects():
    # SV-C1: Boston University manual, section 5.1: median 25 days, survival 0.692 at 18 and 0.154 at 91 days.
    curve = survival(*SUBJECTS)
    assert curve.median() == 25
    assert curve.at(18).survival == pytest.approx(0.692, abs=5e-4)
    assert curve.at(91).survival == pytest.approx(0.154, abs=5e-4)


def test_thirty_one_cars_agree():
    # SV-K131900: documentation of the Python package reliability, Kaplan-Meier example 1.
    curve = survival(*CARS)
    assert curve.at(131900).survival == pytest.approx(0.269858, abs=1e-6)
    assert (curve.vehicles, curve.failures) == (31, 10)


def test_log_rank_agrees():
    # SV-LR: chi-square 16.79 (Rodriguez), 16.793 (lifelines).
    result = compare_survival(*TREATED, *CONTROL)
    assert isinstance(result, Comparison)
    assert result.chi_square == pytest.approx(16.793, abs=5e-4)
    assert result.p_value == pytest.approx(4e-5, abs=5e-6)


def test_beyond_the_last_one_followed_it_is_not_known():
    curve = survival(*TREATED)
    assert curve.at(36).survival is None
    assert curve.at(36).at_risk == 0
    assert not curve.at(36).is_known


def test_before_the_first_failure_no_interval_is_claimed():
    reading = survival(*TREATED).at(3)
    assert (reading.survival, reading.low, reading.high, reading.at_risk) == (1.0, None, None, 21)


def test_one_last_heard_of_when_another_fails_still_counts_as_at_risk():
    curve = survival([5, 5, 5, 5, 5], [1, 1, 1, 0, 0])
    assert curve.at(5).at_risk == 5
    assert curve.at(5).survival == pytest.approx(2 / 5)


def test_no_failures_at_all_is_too_few_in_words():
    result = survival([1.0, 20.0, 30.0, 40.0, 50.0, 60.0], [False] * 6)
    assert isinstance(result, TooFew)
    assert result.words == (
        "Too few to say: no failures that count among 6 vehicles followed. A curve needs at least 3."
    )


@pytest.mark.parametrize(
    ("months", "failed", "words"),
    [
        ([], [], "no vehicles followed"),
        ([12.0], [True], "1 vehicle followed"),
        ([1, 2, 3, 4], [1, 1, 1, 1], "4 vehicles followed"),
        ([1, 2, 3, 4, 5], [1, 0, 0, 0, 0], "1 failure that counts among 5 vehicles"),
        ([1, 2, 3, 4, 5], [1, 1, 0, 0, 0], "2 failures that count among 5 vehicles"),
    ],
)
def test_too_few_says_what_is_missing(months, failed, words):
    assert words in survival(months, failed).words


def test_five_vehicles_and_three_failures_are_enough():
    assert isinstance(survival([1, 2, 3, 4, 5], [1, 1, 1, 0, 0]), Curve)


def test_comparison_refuses_a_group_that_is_too_small():
    assert isinstance(compare_survival(*TREATED, [1, 2], [1, 1]), TooFew)


@pytest.mark.parametrize(
    ("months", "failed"), [([1, 2], [True]), ([-1.0], [True]), ([float("nan")], [False]), ([[1.0]], [[True]])]
)
def test_impossible_input_is_refused(months, failed):
    with pytest.raises(ValueError, match="months"):
        survival(months, failed)


def test_generator_fans_at_risk_agree_with_the_published_table():
    """70 diesel generator fans, 12 failed (Nelson 1969).

    Reverse ranks as printed in a textbook's table 8.1 of the same data: 70, then 68 and 67 for the tie, 65,
    ... 34; each failure multiplies survival by 1 - 1/rank.
    """
    rows = rows_of("diesel-generator-fans.csv")
    curve = survival([r["hours"] for r in rows], [r["status"] == 1 for r in rows])
    assert (curve.vehicles, curve.failures) == (70, 12)
    for hours, rank in [(450, 70), (1150, 68), (1600, 65), (4600, 34)]:
        assert curve.at(hours).at_risk == rank
    by_hand = 69 / 70 * 67 / 68 * 66 / 67 * 64 / 65
    assert curve.at(1600).survival == pytest.approx(by_hand, abs=1e-9)
    last = curve.at(8750)
    assert last.high - last.low > 0.2  # heavy censoring must show a wide interval
