from dataclasses import fields, replace

import numpy as np
import pytest

from sizing.physics import air, fuel
from sizing.physics.around import cooler
from sizing.physics.compressor import work as compressor
from sizing.physics.engine import breathing
from sizing.physics.errors import NoSolution, OutOfRange
from sizing.physics.limits.checks import check_limits
from sizing.physics.limits.values import Limits, usual_limits
from sizing.physics.plan.data import PlanInputs, Range
from sizing.physics.plan.solve import delivery_as_built_mm3, solve_plan, without_turbo
from sizing.physics.pump import plunger as pump

SPEEDS = np.arange(1200.0, 4001.0, 200.0)
ENGINE = PlanInputs(
    displacement_l=2.5, cylinder_count=4, compression_ratio=21.0, injection="indirect", rated_power_kw=52.0,
    rated_speed_rpm=4000.0, plunger_diameter_as_built_mm=5.75, plunger_diameter_mm=7.25,
    compensator_lambda_ratio=1.2,
)  # fmt: skip
COOLED = replace(ENGINE, boost_kpa=140.0, cooler_effectiveness_ratio=0.65, cooler_pressure_loss_kpa=5.0)
PLAIN = replace(ENGINE, boost_kpa=125.0)


def test_the_right_values_reach_the_right_formula():
    found = solve_plan(replace(COOLED, altitude_m=2600.0, air_temperature_c=12.0, delivery_mm3=60.0), [3000.0])
    place = float(air.standard_pressure_kpa(2600.0))
    assert found.manifold_pressure_kpa[0] == pytest.approx(place + 140.0)
    assert found.boost_kpa[0] == pytest.approx(140.0)
    square = 0.75**2
    ratio = (place + 140.0 + 5.0 * square) / (place - 2.5 * square)
    assert found.pressure_ratio[0] == pytest.approx(ratio)
    outlet = compressor.outlet_temperature_c(12.0, ratio, 0.68)
    assert found.charge_temperature_c[0] == pytest.approx(float(cooler.cooled_temperature_c(outlet, 12.0, 0.65)))
    filling = breathing.volumetric_efficiency_ratio(3000.0, 4000.0, "indirect", found.charge_temperature_c[0])
    flow = breathing.air_flow_kg_s(2.5, 3000.0, filling, place + 140.0, found.charge_temperature_c[0])
    dry = air.dry_pressure_kpa(place, 12.0, 50.0) / place
    assert found.air_flow_kg_s[0] == pytest.approx(float(flow * dry))
    density = fuel.fuel_density_kg_m3(835.0, 40.0)
    assert found.fuel_flow_kg_s[0] == pytest.approx(float(pump.fuel_flow_kg_s(60.0, density, 3000.0, 4)))
    assert found.power_kw[0] == pytest.approx(found.torque_nm[0] * 3000 / 9549.297)
    assert found.mean_pressure_kpa[0] == pytest.approx(4 * np.pi * found.torque_nm[0] / 2.5)


def test_without_turbo_meets_the_rated_power_at_rating_conditions():
    before = replace(without_turbo(COOLED), air_pressure_kpa=100.0, air_temperature_c=25.0, relative_humidity_pct=30.0)
    assert solve_plan(before, [4000.0]).power_kw[0] == pytest.approx(52.0, rel=1e-3)


def test_thin_and_warm_air_costs_power_as_iso_3046_has_it():
    """Mathur & Sharma example 27.1 (p. 483, ISO 3046 style, naturally aspirated): 500 kW at 100 kPa, 25 °C and 30 % humidity
    are 366.8 kW at 87 kPa, 45 °C and 80 %, with a mechanical efficiency of 0.85.

    The rule is site power / 500 = k - 0.7 (1 - k) (1/0.85 - 1) with k the share of indicated power, which goes with the air at
    equal lambda. k is the engine's own here (the book: dry pressure times temperature to the 0.75), hence 2 %.
    """
    at_rating = replace(
        without_turbo(ENGINE), air_pressure_kpa=100.0, air_temperature_c=25.0, relative_humidity_pct=30.0
    )
    at_site = replace(at_rating, air_pressure_kpa=87.0, air_temperature_c=45.0, relative_humidity_pct=80.0)
    rating, site = (solve_plan(inputs, [2000.0, 3000.0, 4000.0]) for inputs in (at_rating, at_site))
    k = site.air_flow_kg_s / rating.air_flow_kg_s
    assert 500 * (k - 0.7 * (1 - k) * (1 / 0.85 - 1)) == pytest.approx(np.full(3, 366.8), rel=0.02)
    # With the pump left alone the fuel stays, the engine smokes and keeps more of its power than with the fuel turned down.
    assert np.all(site.power_kw / rating.power_kw > 366.8 / 500)
    assert site.lambda_ratio == pytest.approx(k * rating.lambda_ratio, rel=0.01)
    held = replace(at_site, delivery_mm3=float(rating.delivery_mm3[1] * k[1]))
    assert solve_plan(held, [3000.0]).power_kw[0] / rating.power_kw[1] < 366.8 / 500


def test_common_practice_with_a_cooler():
    """About 2.5 L, built without a turbo, 1.4 bar, plunger from 5.5 or 6 to 7 or 7.5 mm: runs well."""
    before, after = solve_plan(without_turbo(COOLED), SPEEDS), solve_plan(COOLED, SPEEDS)
    checks = check_limits(after, COOLED, usual_limits("indirect", True))
    assert all(c.verdict in ("on_plan", "near_edge") for c in checks), checks
    full = after.boost_kpa > 139
    assert np.all(after.lambda_ratio[full] > before.lambda_ratio[full])  # the air keeps up with the fuel
    assert np.all(after.exhaust_temperature_c[full] < 700)
    gain = after.air_flow_kg_s[full] / before.air_flow_kg_s[full]
    assert np.all(gain > (7.25 / 5.75) ** 2)  # fuel goes with the square of the diameter, and so must the air


def test_common_practice_without_a_cooler():
    """1.2 to 1.3 bar need little more; the same plunger still meets its limits, but with less in hand."""
    for boost in (120.0, 130.0):
        inputs = replace(PLAIN, boost_kpa=boost)
        checks = check_limits(solve_plan(inputs, SPEEDS), inputs, usual_limits("indirect", False))
        assert all(c.verdict in ("on_plan", "near_edge") for c in checks), checks
    cooled, plain = solve_plan(COOLED, [3000.0]), solve_plan(PLAIN, [3000.0])
    assert plain.exhaust_temperature_c[0] > cooled.exhaust_temperature_c[0] + 40
    assert plain.lambda_ratio[0] < cooled.lambda_ratio[0]


@pytest.mark.parametrize("diameter", [5.5, 6.0])
@pytest.mark.parametrize("larger", [7.0, 7.5])
def test_the_usual_plunger_steps_give_half_as_much_fuel_again_or_more(diameter, larger):
    inputs = replace(COOLED, plunger_diameter_as_built_mm=diameter, plunger_diameter_mm=larger)
    found = solve_plan(inputs, [3000.0])
    assert found.delivery_mm3[0] / float(delivery_as_built_mm3(inputs)) == pytest.approx((larger / diameter) ** 2)
    assert found.lambda_ratio[0] >= 1.2


def test_draws_stand_along_the_first_axis():
    inputs = replace(COOLED, compression_ratio=np.array([20.0, 21.0, 22.0]), boost_kpa=np.array([100.0, 120.0, 140.0]))
    found = solve_plan(inputs, SPEEDS)
    for field in fields(found):
        values = getattr(found, field.name)
        assert values.shape == (3, len(SPEEDS)), field.name
        assert np.all(np.isfinite(values)), field.name
    alone = solve_plan(replace(COOLED, compression_ratio=22.0), SPEEDS)
    assert found.torque_nm[2] == pytest.approx(alone.torque_nm)
    single = solve_plan(replace(COOLED, compression_ratio=22.0), [SPEEDS[3]])
    assert alone.torque_nm[3] == pytest.approx(single.torque_nm[0])


def test_the_governor_runs_the_fuel_down():
    found = solve_plan(COOLED, [4000.0, 4200.0, 4400.0])
    assert found.torque_nm[0] > found.torque_nm[1] > abs(found.torque_nm[2])
    assert abs(found.torque_nm[2]) < 0.12 * found.torque_nm[0]  # nearly none left at governed speed
    assert not np.any(np.isnan(found.fuel_consumption_g_kwh))


def test_the_compensator_holds_fuel_back_where_air_is_short():
    with_it, without = (
        solve_plan(COOLED, [1200.0]),
        solve_plan(replace(COOLED, compensator_lambda_ratio=None), [1200.0]),
    )
    assert with_it.lambda_ratio[0] == pytest.approx(1.2)
    assert without.lambda_ratio[0] < 1.0
    checks = {c.name: c for c in check_limits(without, COOLED, usual_limits("indirect", True))}
    assert checks["lambda_min_ratio"].verdict == "off_plan"


def test_checks_come_worst_first_and_say_who_set_them():
    limits = replace(usual_limits("indirect", True), exhaust_temperature_max_c=450.0)
    checks = check_limits(solve_plan(COOLED, SPEEDS), COOLED, limits)
    assert checks[0].name == "exhaust_temperature_max_c"
    assert checks[0].verdict == "stop"
    assert checks[0].source == "set by the owner"
    assert "common practice" in next(c for c in checks if c.name == "boost_max_kpa").source
    assert checks[0].margin == pytest.approx(450.0 - checks[0].value)


def test_a_fitted_begin_of_injection_moves_the_burning():
    early, late = (solve_plan(replace(COOLED, begin_of_injection_deg=b), [2000.0]) for b in (22.0, 6.0))
    assert early.peak_pressure_bar[0] > late.peak_pressure_bar[0]
    assert late.exhaust_temperature_c[0] > early.exhaust_temperature_c[0]


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("altitude_m", 6000.0), ("altitude_m", -431.0), ("air_pressure_kpa", 49.0), ("air_temperature_c", 56.0),
        ("relative_humidity_pct", 101.0), ("displacement_l", -2.5), ("displacement_l", 31.0), ("cylinder_count", 0),
        ("compression_ratio", 11.0), ("rated_power_kw", 0.0), ("rated_speed_rpm", 6000.0), ("boost_kpa", 30_000.0),
        ("boost_kpa", -1.0), ("compressor_efficiency_ratio", 68.0), ("cooler_effectiveness_ratio", 1.0),
        ("cooler_pressure_loss_kpa", 31.0), ("coolant_temperature_c", 101.0), ("air_cleaner_loss_kpa", 16.0),
        ("plunger_diameter_mm", 3.9), ("plunger_diameter_mm", 15.0), ("delivery_mm3", 0.0), ("delivery_mm3", np.nan),
        ("injection_pressure_bar", 59.0), ("fuel_density_15c_kg_m3", 0.835), ("displacement_l", None),
        ("boost_kpa", Range(100.0, 400.0)),
    ],
)  # fmt: skip
def test_out_of_range(name, value):
    with pytest.raises(OutOfRange, match=name.replace("_", " ")):
        replace(COOLED, **{name: value})


def test_a_range_with_swapped_ends_is_named():
    with pytest.raises(ValueError, match=r"starts at 7.5 and ends at 7"):
        Range(7.5, 7.0)


def test_a_range_must_be_drawn_from_first():
    with pytest.raises(ValueError, match="plunger diameter mm is a range"):
        solve_plan(replace(COOLED, plunger_diameter_mm=Range(7.0, 7.5)), [2000.0])


def test_a_rated_power_that_cannot_be_is_said():
    with pytest.raises(NoSolution, match="rated power of 150 kW does not fit"):
        solve_plan(replace(COOLED, rated_power_kw=150.0), [2000.0])


def test_speeds_beyond_the_governor_are_refused():
    with pytest.raises(OutOfRange):
        solve_plan(COOLED, [4500.0])
    with pytest.raises(OutOfRange, match="speed rpm is 300"):
        solve_plan(COOLED, [300.0])


def test_the_bound_from_the_plunger_is_used_when_only_that_is_known():
    inputs = replace(COOLED, effective_stroke_mm=2.4)
    expected = pump.delivery_bound_mm3(7.25, 2.4, 150.0, 2000.0)
    assert solve_plan(inputs, [3000.0]).delivery_mm3[0] == pytest.approx(float(expected))


def test_the_usual_limits_are_the_direct_cooled_ones():
    assert Limits() == usual_limits("direct", has_cooler=True)
