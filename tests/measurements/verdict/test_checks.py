"""Judging values: what stands around the words, which `tests/cases/judging.json` holds. What is expected follows from the figures."""

import math

import pytest

from measurements.verdict.checks import Limit, Measured, judge_point, judge_reading, worst
from measurements.verdict.telling import tell
from sizing.physics.limits.values import STOP

HEAT = Limit("exhaust_temperature_c", 700.0, "the owner", edge=30.0, stop_beyond=50.0)


@pytest.mark.parametrize(("value", "beyond"), [(600.0, False), (700.0, False), (701.0, True), (750.0, True)])
def test_a_value_is_beyond_its_limit_only_past_it(value, beyond):
    finding = judge_reading(Measured("exhaust_temperature_c", value, "before_turbine"), None, [HEAT])
    assert finding.beyond == beyond


def test_the_worst_comes_first_and_names_the_point():
    found = judge_point(
        [Measured("boost_kpa", 78.0), Measured("exhaust_temperature_c", 760.0)], {"boost_kpa": (70.0, 85.0)}, [HEAT]
    )
    assert [f.quantity for f in found] == ["exhaust_temperature_c", "boost_kpa"]
    assert worst(f.word for f in found) == STOP
    assert worst([]) == ""


def test_the_sentence_names_plan_measured_difference_limit_and_source():
    finding = judge_reading(Measured("exhaust_temperature_c", 720.0, uncertainty=6.0), (560.0, 630.0), [HEAT])
    text = str(tell(finding))
    for part in ("720", "560 to 630", "90 °C above it", "700", "the owner", "passed by 20", "plus or minus 6"):
        assert part in text, part


def test_the_sentence_of_a_stop_names_the_stop_limit():
    text = str(tell(judge_reading(Measured("exhaust_temperature_c", 765.0), None, [HEAT])))
    assert "stop limit 750" in text
    assert "passed by 15" in text


def test_stop_value_of_a_limit():
    assert HEAT.stop_value == 750.0
    assert Limit("x", 1.0, "").stop_value is None
    assert math.isclose(HEAT.past(690.0), -10.0)
