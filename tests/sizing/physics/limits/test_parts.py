"""Limits of pump, air cleaner, pipes and oil: figures against arithmetic on textbook rows and CoolProp, verdicts at the ends."""

from dataclasses import fields, replace

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from sizing.physics.errors import OutOfRange
from sizing.physics.limits.parts import PART_DEFAULTS, PART_RANGES, PartFacts, PartLimits, check_parts
from sizing.physics.limits.values import DEFAULTS, TURBO_DEFAULTS
from sizing.physics.plan.data import PlanInputs
from sizing.physics.plan.solve import solve_plan

SPEEDS = [1500.0, 2500.0, 4000.0]
INPUTS = PlanInputs(
    2.5,
    4,
    21.0,
    "indirect",
    55.0,
    4000.0,
    boost_kpa=90.0,
    delivery_mm3=60.0,
    plunger_diameter_mm=8.0,
    injection_pressure_bar=150.0,
)
RESULT = solve_plan(INPUTS, SPEEDS)


def held(facts=PartFacts(), limits=PartLimits(), result=RESULT, inputs=INPUTS):  # noqa: B008 (frozen)
    checks, unknown = check_parts(result, inputs, facts, limits)
    return {check.name: check for check in checks}, unknown


def test_duration_is_the_stroke_over_the_lift_for_each_degree():
    # 60 mm³ with an 8 mm plunger take a stroke of 1.194 mm (plain arithmetic: 60 / 50.265); at 0.1 mm a pump degree that is
    # 11.94 degrees of the pump and, the pump of a four-stroke turning at half speed, 23.87 of the crank.
    check = held(PartFacts(plunger_speed_mm_deg=(0.1, 0.1)))[0]["injection_duration_max_deg"]
    assert check.value == pytest.approx(2 * 1.19366 / 0.1, rel=1e-4)
    assert check.verdict == "on_plan"
    slow = held(PartFacts(plunger_speed_mm_deg=(0.06, 0.06)))[0]["injection_duration_max_deg"]
    assert slow.verdict == "off_plan"


def test_a_larger_plunger_shortens_the_injection_with_its_square():
    facts = PartFacts(plunger_speed_mm_deg=(0.1, 0.1))
    small = held(facts, inputs=replace(INPUTS, plunger_diameter_mm=6.0))[0]["injection_duration_max_deg"].value
    large = held(facts, inputs=replace(INPUTS, plunger_diameter_mm=7.5))[0]["injection_duration_max_deg"].value
    assert small / large == pytest.approx((7.5 / 6.0) ** 2)


def test_share_of_the_pump_against_swept_volume_less_compression():
    # Swept by 8 mm and 2 mm: 100.53 mm³. Compression of 2000 mm³ by 150 bar at 78.5e-6 a bar (Gupta, example 10.5): 23.6 mm³.
    check = held(PartFacts(pump_stroke_max_mm=(2.0, 2.0)))[0]["pump_share_max_pct"]
    assert check.value == pytest.approx(100 * 60 / (100.53 - 2000 * 150 * 78.5e-6), rel=0.02)
    assert held(PartFacts(pump_stroke_max_mm=(1.6, 1.6)))[0]["pump_share_max_pct"].verdict == "off_plan"
    assert held(PartFacts(pump_stroke_max_mm=(3.0, 3.0)))[0]["pump_share_max_pct"].verdict == "on_plan"


@pytest.mark.parametrize("name", ["intake_speed_max_m_s", "charge_speed_max_m_s"])
def test_air_speed_against_coolprop(name):
    check = held(PartFacts(intake_bore_mm=(60.0, 60.0), charge_bore_mm=(50.0, 50.0)))[0][name]
    at = SPEEDS.index(check.at_speed_rpm)
    if name.startswith("intake"):
        pressure, celsius, bore = RESULT.manifold_pressure_kpa[at] - RESULT.boost_kpa[at], 25.0, 0.060
    else:
        pressure, celsius, bore = RESULT.manifold_pressure_kpa[at], RESULT.charge_temperature_c[at], 0.050
    density = PropsSI("D", "T", celsius + 273.15, "P", pressure * 1e3, "Air")
    assert check.value == pytest.approx(RESULT.air_flow_kg_s[at] / density / (np.pi / 4 * bore**2), rel=0.005)


def test_a_range_that_straddles_the_limit_is_near_the_edge_and_not_off_plan():
    check = held(PartFacts(oil_feed_kpa=(150.0, 240.0)))[0]["oil_feed_min_kpa"]
    assert (check.value, check.uncertainty, check.verdict) == (195.0, 45.0, "near_edge")
    assert held(PartFacts(oil_feed_kpa=(150.0, 160.0)))[0]["oil_feed_min_kpa"].verdict == "off_plan"


@pytest.mark.parametrize(
    ("fact", "value", "name", "verdict"),
    [
        ("oil_feed_kpa", 90.0, "oil_feed_min_kpa", "stop"),
        ("oil_feed_kpa", 300.0, "oil_feed_min_kpa", "on_plan"),
        ("oil_drain_deg", 10.0, "oil_drain_max_deg", "on_plan"),
        ("oil_drain_deg", 40.0, "oil_drain_max_deg", "off_plan"),
        ("oil_drain_deg", 90.0, "oil_drain_max_deg", "stop"),  # level: oil stands in the turbo
        ("oil_drain_bore_mm", 10.0, "oil_drain_bore_min_mm", "off_plan"),
        ("oil_drain_bore_mm", 16.0, "oil_drain_bore_min_mm", "on_plan"),
        ("service_loss_kpa", 6.1, "service_restriction_max_kpa", "on_plan"),
        ("service_loss_kpa", 7.5, "service_restriction_max_kpa", "off_plan"),
    ],
)
def test_verdicts_by_common_practice(fact, value, name, verdict):
    assert held(PartFacts(**{fact: (value, value)}))[0][name].verdict == verdict


def test_inches_of_water_of_common_practice_in_kpa():
    inch_of_water_kpa = 0.249089  # NIST SP 811, conventional inch of water
    assert PART_DEFAULTS["intake_restriction_max_kpa"].value == pytest.approx(15 * inch_of_water_kpa, abs=0.05)
    assert PART_DEFAULTS["service_restriction_max_kpa"].value == pytest.approx(25 * inch_of_water_kpa, abs=0.05)


def test_what_nobody_knows_is_not_held_and_is_named():
    checks, unknown = held()
    assert set(checks) == {"intake_restriction_max_kpa"}
    assert set(unknown) == set(PART_DEFAULTS) - set(checks)


def test_an_own_limit_holds_and_says_so():
    check = held(PartFacts(oil_feed_kpa=(150.0, 150.0)), PartLimits(oil_feed_min_kpa=100.0))[0]["oil_feed_min_kpa"]
    assert (check.verdict, check.source) == ("on_plan", "set by the owner")


def test_every_limit_has_a_default_and_no_name_stands_twice():
    assert {f.name for f in fields(PartLimits)} == set(PART_DEFAULTS)
    assert {f.name for f in fields(PartFacts)} == set(PART_RANGES)
    assert not set(PART_DEFAULTS) & (set(DEFAULTS) | set(TURBO_DEFAULTS))


@pytest.mark.parametrize("name", sorted(PART_RANGES))
def test_out_of_range_is_named(name):
    low, high, _ = PART_RANGES[name]
    for value in (low - 1, high + 1, float("nan")):
        with pytest.raises(OutOfRange, match=name.replace("_", " ")):
            PartFacts(**{name: (value, value)})


def test_draws_are_refused():
    many = solve_plan(replace(INPUTS, delivery_mm3=np.array([55.0, 60.0])), SPEEDS)
    with pytest.raises(ValueError, match="one plan at a time"):
        check_parts(many, INPUTS, PartFacts(), PartLimits())
