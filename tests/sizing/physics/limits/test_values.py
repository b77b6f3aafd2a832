import numpy as np
import pytest

from sizing.physics.errors import OutOfRange
from sizing.physics.limits.values import DEFAULTS, Limits, judge, usual_limits


@pytest.mark.parametrize(
    ("value", "uncertainty", "expected"),
    [
        (650, 0, "on_plan"), (670, 0, "on_plan"), (671, 0, "near_edge"), (700, 0, "near_edge"),
        (660, 15, "near_edge"), (700.1, 0, "off_plan"), (705, 10, "near_edge"), (711, 10, "off_plan"),
        (749, 0, "off_plan"), (750, 0, "stop"), (750, 200, "stop"),
    ],
)  # fmt: skip
def test_verdicts_around_a_highest_value(value, uncertainty, expected):
    assert judge(value, 700, uncertainty, "max", 30, 50) == expected


@pytest.mark.parametrize(
    ("value", "expected"), [(1.5, "on_plan"), (1.33, "near_edge"), (1.3, "near_edge"), (1.2, "off_plan")]
)
def test_verdicts_around_a_lowest_value(value, expected):
    assert judge(value, 1.30, 0.0, "min", 0.08) == expected
    assert judge(0.5, 1.30, 0.0, "min", 0.08) == "off_plan"  # smoke is no reason to stop at once


def test_a_value_held_exactly_to_its_limit_meets_it():
    assert judge(1.2 - 1e-15, 1.2, 0.0, "min", 0.08) == "near_edge"


@pytest.mark.parametrize("arguments", [(np.nan, 1), (1, np.inf), (1, 1, -1), (1, 1, 0, "max", -1)])
def test_out_of_range(arguments):
    with pytest.raises(OutOfRange):
        judge(*arguments)


def test_a_direction_that_does_not_exist_is_named():
    with pytest.raises(ValueError, match=r"'up'; allowed is 'max' or 'min'"):
        judge(1, 1, 0, "up")


@pytest.mark.parametrize("usual", DEFAULTS.values(), ids=DEFAULTS)
def test_every_limit_has_source_and_reason(usual):
    assert usual.source
    assert usual.why.endswith(".")
    assert usual.low < usual.value < usual.high


def test_usual_limits_lie_in_the_ranges_of_practice():
    # common practice: 1.4 bar runs well with a cooler, 1.2 to 1.3 bar without one; both pass, and no more than with a cooler
    # passes without one (lambda and exhaust temperature: reference/checks.csv)
    assert usual_limits("indirect", True).boost_max_kpa >= 140
    assert 130 <= usual_limits("indirect", False).boost_max_kpa < 140
    assert (
        usual_limits("indirect", False).charge_temperature_max_c
        > usual_limits("indirect", True).charge_temperature_max_c
    )


def test_a_limit_nobody_can_mean_is_refused():
    with pytest.raises(OutOfRange, match=r"boost max kpa is 1.4 kPa"):
        Limits(boost_max_kpa=1.4)  # bar where kPa is meant
    with pytest.raises(OutOfRange, match="lambda min ratio"):
        Limits(lambda_min_ratio=14.5)
