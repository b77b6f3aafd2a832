"""Where limits count: lambda before and after boost is in, and what an estimated map leaves open."""

from dataclasses import replace

import numpy as np
import pytest

from sizing.physics import fuel
from sizing.physics.compressor.estimate import Wheel, estimate_map
from sizing.physics.errors import OutOfRange
from sizing.physics.limits.checks import check_limits
from sizing.physics.limits.curves import boost_is_in, plan_curves, turbo_curves
from sizing.physics.limits.match_checks import check_match
from sizing.physics.limits.values import TurboLimits, judge, places, usual_limits
from sizing.physics.match.solve import TurboFacts, solve_match
from sizing.physics.plan.data import PlanInputs
from sizing.physics.plan.solve import delivery_without_boost_mm3, lambda_as_built, solve_plan, without_turbo

SPEEDS = np.arange(1000.0, 4001.0, 250.0)
HIGH = PlanInputs(2.5, 4, 21.0, "indirect", 52.0, 4000.0, altitude_m=2600.0, boost_kpa=100.0, cooler_effectiveness_ratio=0.65,
                  cooler_pressure_loss_kpa=5.0, plunger_diameter_mm=7.0, plunger_diameter_as_built_mm=5.75)  # fmt: skip
LIMITS = usual_limits("indirect", True)


def by_name(checks):
    return {check.name: check for check in checks}


def test_boost_is_in_from_half_of_its_highest_and_stays_in():
    rising = np.array([[0.0, 20.0, 49.0, 50.0, 100.0, 30.0], [1.0, 2.0, 9.0, 4.0, 3.0, 2.0]])
    assert boost_is_in(rising).tolist() == [[False, False, False, True, True, True], [True] * 6]


def test_without_boost_the_lambda_limit_holds_at_every_speed():
    plain = replace(HIGH, boost_kpa=0.0, plunger_diameter_mm=5.75)
    names = by_name(check_limits(solve_plan(plain, SPEEDS), plain, LIMITS))
    assert "lambda_before_boost_ratio" not in names
    assert names["lambda_min_ratio"].value == pytest.approx(np.min(solve_plan(plain, SPEEDS).lambda_ratio))


def test_smoke_before_boost_is_held_against_the_engine_as_built_and_never_hidden():
    """Common practice: full delivery for a boosted engine without a boost compensator smokes black until the boost is there."""
    result = solve_plan(HIGH, SPEEDS)
    checks = by_name(check_limits(result, HIGH, LIMITS))
    low, high = checks["lambda_before_boost_ratio"], checks["lambda_min_ratio"]
    is_in = boost_is_in(result.boost_kpa)
    own = solve_plan(without_turbo(HIGH), SPEEDS).lambda_ratio
    assert low.verdict == "off_plan"
    worst = np.argmin((result.lambda_ratio - np.minimum(own, 1.2))[~is_in])
    assert low.value == pytest.approx(result.lambda_ratio[~is_in][worst])
    assert low.limit == pytest.approx(np.minimum(own, 1.2)[~is_in][worst], rel=1e-6)
    assert high.value == pytest.approx(result.lambda_ratio[is_in].min())
    # half of the boost cannot burn all of the fuel either, and a boost compensator cures both
    assert high.verdict == "off_plan"
    assert high.remedy_delivery_mm3 is not None
    rich = replace(HIGH, plunger_diameter_mm=8.5)  # smokes under full boost: no compensator cures that
    smoky = replace(rich, boost_onset_rpm=500.0, boost_full_rpm=900.0)
    assert (
        by_name(check_limits(solve_plan(smoky, SPEEDS), smoky, LIMITS))["lambda_min_ratio"].remedy_delivery_mm3 is None
    )


def test_lambda_as_built_is_that_of_the_whole_engine_solved():
    assert lambda_as_built(HIGH, SPEEDS) == pytest.approx(
        solve_plan(without_turbo(HIGH), SPEEDS).lambda_ratio, rel=1e-9
    )


def test_the_remedy_keeps_lambda_at_its_limit():
    """Held on the bench to the delivery that is offered, the engine burns it at the limit by air over fuel (stoichiometric 14.5)."""
    before = SPEEDS[:3]
    delivery = by_name(check_limits(solve_plan(HIGH, SPEEDS), HIGH, LIMITS))[
        "lambda_before_boost_ratio"
    ].remedy_delivery_mm3
    held = solve_plan(replace(HIGH, boost_kpa=0.0, delivery_mm3=delivery), before)
    assert held.lambda_ratio.min() == pytest.approx(1.2, rel=0.01)
    # by hand: mass of one shot, 835 kg/m3 at 15 °C, 2 % thinner at 40 °C (about -0.085 % per K, F of the fuel formulas)
    shot_kg = delivery * 1e-9 * 835 * 0.979
    air_kg = (held.air_flow_kg_s / (before / 120.0 * 4)).min()
    assert air_kg / shot_kg / fuel.STOICHIOMETRIC_AIR_FUEL == pytest.approx(1.2, rel=0.01)
    with pytest.raises(OutOfRange):
        delivery_without_boost_mm3(HIGH, 0.9, before)


def test_a_boost_compensator_is_the_remedy():
    held = replace(HIGH, compensator_lambda_ratio=1.3)
    checks = by_name(check_limits(solve_plan(held, SPEEDS), held, LIMITS))
    assert checks["lambda_before_boost_ratio"].verdict == "on_plan"
    assert checks["lambda_before_boost_ratio"].remedy_delivery_mm3 is None


def test_surge_on_an_estimated_map_is_not_sure_where_its_error_reaches_the_limit():
    chart = estimate_map(Wheel(38.0, 52.0, 12))
    turbo = TurboFacts(0.085, True, compressor=chart, compressor_wheel_mm=52.0, turbine_wheel_mm=46.0)
    match = solve_match(HIGH, turbo, SPEEDS)
    check = by_name(check_match(match, TurboLimits()))["surge_margin_min_ratio"]
    assert check.uncertainty == pytest.approx(0.2 * (1.0 - check.value))  # the map says ±20 % of surge flow
    assert check.margin < 0 < check.margin + check.uncertainty
    assert check.verdict == "near_edge"
    measured = solve_match(HIGH, replace(turbo, compressor=replace(chart, origin="measured")), SPEEDS)
    sure = by_name(check_match(measured, TurboLimits()))["surge_margin_min_ratio"]
    assert (sure.uncertainty, sure.verdict) == (0.0, "off_plan")


def test_turbo_limits_count_from_a_quarter_of_the_boost():
    match = solve_match(HIGH, TurboFacts(0.12, True, compressor=estimate_map(Wheel(38.0, 52.0, 12))), SPEEDS)
    curves = turbo_curves(match, TurboLimits())
    assert len(curves) > 1
    for curve in curves:
        assert np.array_equal(curve.counts, match.plan.boost_kpa >= np.maximum(10.0, 0.25 * match.plan.boost_kpa.max()))


def test_many_verdicts_are_the_same_as_one_by_one():
    margins = np.linspace(-60.0, 60.0, 49)
    many = places(margins, np.asarray(700.0), np.asarray(5.0), 30.0, 50.0)
    words = ("stop", "off_plan", "near_edge", "on_plan")
    assert [words[k] for k in many] == [judge(700.0 - m, 700.0, 5.0, "max", 30.0, 50.0) for m in margins]


def test_draws_are_held_as_single_plans_are():
    plungers = np.array([6.0, 7.0, 7.5])
    many = replace(HIGH, plunger_diameter_mm=plungers)
    curves = {c.name: c.worst() for c in plan_curves(solve_plan(many, SPEEDS), many, LIMITS)}
    assert curves
    for k, diameter in enumerate(plungers):
        one = replace(HIGH, plunger_diameter_mm=diameter)
        checks = check_limits(solve_plan(one, SPEEDS), one, LIMITS)
        assert {check.name for check in checks} == set(curves)
        for check in checks:
            assert curves[check.name].margin[k] == pytest.approx(check.margin, abs=1e-6)
