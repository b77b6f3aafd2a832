"""Judging one value: the four words and the sentence. The expected words follow from the figures in each test."""

import math

import pytest

from measurements.verdict.checks import (
    NEAR,
    OFF,
    ON,
    STOP,
    Limit,
    Measured,
    Wording,
    judge_point,
    judge_reading,
    sentence,
    worst,
)

HEAT = Limit("exhaust_temperature_c", 700.0, "the owner", edge=30.0, stop_beyond=50.0)
PLAIN = Wording(lambda v, s: f"{v:g} {s}", lambda a, b, s: f"{a:g} to {b:g} {s}", lambda v, s: f"{v:g}")


@pytest.mark.parametrize(
    ("value", "word"),
    [(78.0, ON), (70.0, ON), (85.0, ON), (86.0, ON), (90.0, NEAR), (64.5, NEAR), (60.0, OFF), (95.0, OFF)],
)
def test_boost_against_the_plan(value, word):
    assert judge_reading(Measured("boost_kpa", value), (70.0, 85.0), []).word == word


def test_a_coarse_gauge_cannot_prove_that_a_value_is_off():
    assert judge_reading(Measured("boost_kpa", 58.0), (70.0, 85.0), []).word == OFF
    assert judge_reading(Measured("boost_kpa", 58.0, uncertainty=15.0), (70.0, 85.0), []).word == NEAR


@pytest.mark.parametrize(
    ("value", "word"), [(600.0, ON), (680.0, NEAR), (701.0, OFF), (749.9, OFF), (750.0, STOP), (900.0, STOP)]
)
def test_heat_against_its_limit(value, word):
    finding = judge_reading(Measured("exhaust_temperature_c", value, "before_turbine"), None, [HEAT])
    assert finding.word == word
    assert finding.beyond == (value > 700.0)


def test_stop_holds_however_bad_the_gauge_is():
    assert judge_reading(Measured("exhaust_temperature_c", 760.0, uncertainty=100.0), None, [HEAT]).word == STOP


def test_a_lowest_limit_works_the_other_way_round():
    oil = Limit("oil_pressure_kpa", 200.0, "x", "min", edge=20.0, stop_beyond=130.0)
    words = [judge_reading(Measured("oil_pressure_kpa", v), None, [oil]).word for v in (300.0, 210.0, 150.0, 60.0)]
    assert words == [ON, NEAR, OFF, STOP]


def test_part_load_is_not_held_against_a_plan_for_full_load():
    finding = judge_reading(Measured("boost_kpa", 20.0), (70.0, 85.0), [], load_pct=50.0)
    assert (finding.word, finding.band) == ("", None)
    assert "part load" in finding.note.lower()


def test_more_boost_at_part_load_than_planned_at_full_load_is_off():
    assert judge_reading(Measured("boost_kpa", 120.0), (70.0, 85.0), [], load_pct=50.0).word == OFF


def test_behind_the_turbine_the_limit_is_nearer_than_it_looks():
    def word(value):
        return judge_reading(Measured("exhaust_temperature_c", value, "after_turbine"), (560.0, 630.0), [HEAT]).word

    assert [word(v) for v in (500.0, 560.0, 720.0, 760.0)] == ["", NEAR, OFF, STOP]


def test_a_place_of_which_the_plan_does_not_speak_is_not_compared():
    finding = judge_reading(Measured("charge_temperature_c", 150.0, "outside"), (60.0, 80.0), [])
    assert (finding.word, finding.band) == ("", None)


def test_nothing_to_compare_with_gives_no_word():
    assert judge_reading(Measured("fuel_flow_l_h", 12.0), None, []).word == ""


def test_the_worst_comes_first_and_names_the_point():
    found = judge_point(
        [Measured("boost_kpa", 78.0), Measured("exhaust_temperature_c", 760.0)], {"boost_kpa": (70.0, 85.0)}, [HEAT]
    )
    assert [f.quantity for f in found] == ["exhaust_temperature_c", "boost_kpa"]
    assert worst(f.word for f in found) == STOP
    assert worst([]) == ""


def test_the_sentence_names_plan_measured_difference_limit_and_source():
    finding = judge_reading(Measured("exhaust_temperature_c", 720.0, uncertainty=6.0), (560.0, 630.0), [HEAT])
    text = sentence(finding, "Exhaust temperature", PLAIN)
    for part in ("720", "560 to 630", "90 above it", "700", "the owner", "passed by 20", "plus or minus 6"):
        assert part in text, part


def test_the_sentence_of_a_stop_names_the_stop_limit():
    text = sentence(judge_reading(Measured("exhaust_temperature_c", 765.0), None, [HEAT]), "Heat", PLAIN)
    assert "stop limit 750" in text
    assert "passed by 15" in text


def test_stop_value_of_a_limit():
    assert HEAT.stop_value == 750.0
    assert Limit("x", 1.0, "").stop_value is None
    assert math.isclose(HEAT.past(690.0), -10.0)
