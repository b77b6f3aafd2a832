from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from sizing.physics.air import standard_pressure_kpa
from sizing.physics.compressor import work as compressor
from sizing.physics.compressor.estimate import Wheel, estimate_map
from sizing.physics.errors import NoSolution, OutOfRange
from sizing.physics.limits.checks import check_limits
from sizing.physics.limits.match_checks import check_match
from sizing.physics.limits.values import TurboLimits, usual_limits
from sizing.physics.match.boost_readings import turbine_capacity_from_boost_kg_s
from sizing.physics.match.solve import TurboFacts, solve_match
from sizing.physics.plan.solve import solve_plan
from sizing.physics.turbine import flow as turbine
from tests.sizing.physics.match.point_by_point import manifold_kpa
from tests.sizing.physics.plan.test_plan import COOLED

SPEEDS = np.arange(1200.0, 4001.0, 400.0)
CHART = estimate_map(Wheel(38.0, 52.0, 12))
SMALL = TurboFacts(0.08, True, compressor=CHART, compressor_wheel_mm=52.0, turbine_wheel_mm=46.0)


@pytest.fixture(scope="module")
def gated():
    return solve_match(COOLED, SMALL, SPEEDS)


def test_flow_is_continuous_and_power_balances(gated):
    plan = gated.plan
    assert gated.turbine_power_kw == pytest.approx(gated.compressor_power_kw, rel=0.01, abs=0.02)
    # compressor: independent of the solver, from its pressures and efficiency
    outlet = compressor.outlet_temperature_c(25.0, plan.pressure_ratio, gated.compressor_efficiency_ratio)
    assert plan.compressor_outlet_temperature_c == pytest.approx(outlet, abs=0.5)
    asked = compressor.compression_power_kw(plan.air_flow_kg_s, 25.0, outlet)
    # turbine: what its capacity takes at its own pressures and temperature is what the gate leaves
    through = (plan.air_flow_kg_s + plan.fuel_flow_kg_s) * (1 - gated.wastegate_share)
    behind = plan.exhaust_pressure_kpa / gated.expansion_ratio
    before = turbine.inlet_pressure_kpa(through, plan.exhaust_temperature_c, behind, 0.08)
    assert before == pytest.approx(plan.exhaust_pressure_kpa, rel=0.015)
    given = turbine.turbine_power_kw(through, plan.exhaust_temperature_c, gated.expansion_ratio, plan.lambda_ratio,
                             gated.turbine_efficiency_ratio)  # fmt: skip
    assert given == pytest.approx(asked, rel=0.02, abs=0.05)
    assert np.all(gated.solved)


def test_one_point_against_scipys_root_finder():
    """The same balance, closed by brentq on the whole engine instead of carried temperatures."""
    free = TurboFacts(0.10, False, turbine_efficiency_ratio=0.60)
    speed = 2400.0
    found = solve_match(COOLED, free, [speed])

    def gap(boost):
        # a plan holds any boost asked for; the turbine that would make it must be the one fitted
        held = solve_plan(replace(COOLED, boost_kpa=boost, boost_onset_rpm=400.0, boost_full_rpm=500.0,
                                  turbine_efficiency_ratio=0.60), [speed])  # fmt: skip
        behind = 101.325 + 6.0 * 0.6**2
        capacity = turbine.capacity_from_flow_kg_s(
            held.air_flow_kg_s[0] + held.fuel_flow_kg_s[0], held.exhaust_temperature_c[0],
            held.exhaust_pressure_kpa[0], behind,
        )  # fmt: skip
        return float(capacity - 0.10)

    place = float(standard_pressure_kpa(0.0))
    assert place == pytest.approx(101.325)
    assert found.plan.boost_kpa[0] == pytest.approx(brentq(gap, 20.0, 250.0, xtol=0.1), rel=0.02)


GRID = [
    (replace(COOLED, altitude_m=height, cooler_effectiveness_ratio=cooler), replace(SMALL, has_wastegate=gate, turbine_capacity_kg_s=size))
    for height in (0.0, 2600.0) for cooler in (0.0, 0.65) for gate in (True, False) for size in (0.08, 0.12)
]  # fmt: skip
OTHERS = [
    (replace(COOLED, compensator_lambda_ratio=None), replace(SMALL, compressor=None, turbine_wheel_mm=None)),
    (replace(COOLED, altitude_m=2600.0, begin_of_injection_deg=8.0), replace(SMALL, turbine_wheel_mm=None)),
    (replace(COOLED, injection="direct", compression_ratio=17.5, rated_speed_rpm=2800.0, governed_speed_rpm=3100.0), SMALL),
    (replace(COOLED, displacement_l=5.9, cylinder_count=6, injection="direct", compression_ratio=17.0, rated_power_kw=85.0,
             rated_speed_rpm=2600.0), replace(SMALL, turbine_capacity_kg_s=0.2, compressor=estimate_map(Wheel(52.0, 72.0, 14)))),
]  # fmt: skip


@pytest.mark.parametrize(("inputs", "turbo"), GRID + OTHERS)
def test_a_grid_against_scipys_root_finder(inputs, turbo):
    """Balance of each point closed by scipy.optimize.brentq on the full engine (point_by_point)."""
    speeds = np.array([0.4, 0.65, 1.0]) * float(inputs.rated_speed_rpm)
    found = solve_match(inputs, turbo, speeds)
    assert found.solved.sum() >= 2
    for k in np.flatnonzero(found.solved):
        manifold, operation, before = manifold_kpa(inputs, turbo, speeds[k])
        assert found.plan.manifold_pressure_kpa[k] == pytest.approx(manifold, abs=0.4)
        if found.wastegate_share[k] == 0.0:
            assert found.plan.torque_nm[k] == pytest.approx(operation.torque_nm[0], rel=0.005)
            assert found.plan.exhaust_temperature_c[k] == pytest.approx(operation.exhaust_temperature_c[0], abs=3.0)
            assert found.plan.exhaust_pressure_kpa[k] == pytest.approx(before, rel=0.01)


def test_the_gate_holds_boost_and_opens_with_speed(gated):
    assert np.max(gated.plan.boost_kpa) == pytest.approx(140.0, abs=0.1)
    held = gated.plan.boost_kpa > 139.5
    assert np.all(np.diff(gated.wastegate_share[held]) > 0)
    assert np.all(gated.wastegate_share[~held] == 0.0)


def test_without_a_gate_boost_floats_past_it():
    free = solve_match(COOLED, replace(SMALL, has_wastegate=False), SPEEDS)
    assert free.plan.boost_kpa[-1] > 160.0
    checks = {c.name: c for c in check_limits(free.plan, COOLED, usual_limits("indirect", True))}
    assert checks["boost_max_kpa"].verdict in ("off_plan", "stop")
    assert np.all(free.wastegate_share == 0.0)


def test_a_larger_turbine_gives_boost_later_and_less_pressure_before_it():
    # common practice: a larger housing costs boost at low speed and pays back at high speed
    small, large = (solve_match(COOLED, replace(SMALL, turbine_capacity_kg_s=c), SPEEDS) for c in (0.08, 0.11))
    assert np.all(large.plan.boost_kpa[:4] < small.plan.boost_kpa[:4])
    assert large.plan.exhaust_pressure_kpa[-1] < small.plan.exhaust_pressure_kpa[-1]


def test_thin_air_lets_the_wheel_turn_faster():
    # common practice, and similarity: the same gauge boost is a higher pressure ratio at 2600 m
    high = solve_match(replace(COOLED, altitude_m=2600.0, boost_kpa=110.0), SMALL, SPEEDS)
    low = solve_match(replace(COOLED, boost_kpa=110.0), SMALL, SPEEDS)
    assert high.wheel_speed_rpm[-1] > low.wheel_speed_rpm[-1] * 1.05


def test_a_turbine_far_too_large_hardly_boosts():
    found = solve_match(COOLED, TurboFacts(1.0, True), SPEEDS)
    assert np.max(found.plan.boost_kpa) < 20.0
    assert np.all(found.solved)


def test_a_turbine_far_too_small_without_gate_is_named():
    with pytest.raises(NoSolution, match=r"turbine is far too small|compressor is too small"):
        solve_match(COOLED, TurboFacts(0.012, False), [3600.0, 4000.0])


def test_a_turbine_that_strangles_the_engine_is_named_and_never_clamped():
    """Every speed either balances or is named; the wastegate of a turbine far too small cannot help where it lacks the power."""
    tiny = TurboFacts(0.014, True, compressor_wheel_mm=52.0, turbine_efficiency_ratio=0.40)
    found = solve_match(replace(COOLED, boost_kpa=180.0, altitude_m=2600.0), tiny, SPEEDS)
    assert not found.solved.all()
    assert "turbine is far too small" in found.failures[-1].why
    kept = found.solved & (found.plan.boost_kpa > 5.0)
    assert found.turbine_power_kw[kept] == pytest.approx(found.compressor_power_kw[kept], rel=0.02)


def test_a_compressor_too_small_chokes_and_is_named():
    tiny = TurboFacts(0.08, True, compressor=estimate_map(Wheel(26.0, 36.0, 12)), compressor_wheel_mm=36.0)
    found = solve_match(COOLED, tiny, SPEEDS)
    assert found.plan.boost_kpa[-1] < 70.0  # far from the 140 asked for
    checks = {c.name: c for c in check_match(found, TurboLimits())}
    assert checks["choke_margin_min_ratio"].verdict == "off_plan"
    for failure in found.failures:
        assert failure.balance == "flow continuity"
        assert "compressor is too small" in failure.why


def test_draws_agree_with_single_plans():
    many = solve_match(replace(COOLED, boost_kpa=np.array([90.0, 140.0])), SMALL, SPEEDS)
    one = solve_match(replace(COOLED, boost_kpa=90.0), SMALL, SPEEDS)
    assert many.plan.torque_nm.shape == (2, len(SPEEDS))
    assert many.plan.boost_kpa[0] == pytest.approx(one.plan.boost_kpa, abs=1.0)
    assert many.plan.torque_nm[0] == pytest.approx(one.plan.torque_nm, rel=0.01)
    for name in ("wheel_speed_rpm", "surge_margin_ratio", "expansion_ratio", "wastegate_share"):
        assert np.all(np.isfinite(getattr(many, name)))


@pytest.mark.parametrize("true_capacity", [0.07, 0.10, 0.13])
def test_capacity_comes_back_from_boost_readings(true_capacity):
    """The inverse problem closes on the forward one: forward answers serve as readings."""
    speeds = np.array([1800.0, 2200.0, 2600.0])
    forward = solve_match(COOLED, TurboFacts(true_capacity, False, turbine_efficiency_ratio=0.60), speeds)
    found = turbine_capacity_from_boost_kg_s(COOLED, speeds, forward.plan.boost_kpa)
    assert found.capacity_kg_s == pytest.approx(true_capacity, rel=0.03)
    assert found.half_spread_kg_s < 0.05 * true_capacity
    assert found.each_kg_s.shape == (3,)


def test_readings_that_contradict_each_other_show_a_wide_spread():
    speeds = np.array([1800.0, 2200.0, 2600.0])
    found = turbine_capacity_from_boost_kg_s(COOLED, speeds, np.array([120.0, 30.0, 120.0]))
    assert found.half_spread_kg_s > 0.2 * found.capacity_kg_s


def test_turbo_limits_in_order(gated):
    checks = check_match(gated, TurboLimits())
    assert {c.name for c in checks} == {"surge_margin_min_ratio", "choke_margin_min_ratio", "tip_speed_max_m_s",
                                        "exhaust_over_boost_max_ratio"}  # fmt: skip
    own = {c.name: c for c in check_match(gated, TurboLimits(tip_speed_max_m_s=400.0))}
    assert own["tip_speed_max_m_s"].verdict == "stop"
    assert own["tip_speed_max_m_s"].source == "set by the owner"
    blind = solve_match(COOLED, TurboFacts(0.08, True), SPEEDS)
    assert [c.name for c in check_match(blind, TurboLimits())] == ["exhaust_over_boost_max_ratio"]


@pytest.mark.parametrize(
    "values",
    [
        {"turbine_capacity_kg_s": 0.001}, {"turbine_capacity_kg_s": 6.0}, {"turbine_efficiency_ratio": 60.0},
        {"compressor_wheel_mm": 19.0}, {"turbine_wheel_mm": 251.0},
    ],
)  # fmt: skip
def test_out_of_range(values):
    with pytest.raises(OutOfRange):
        replace(SMALL, **values)


def test_bad_readings_are_refused():
    with pytest.raises(OutOfRange, match="boost kpa"):
        turbine_capacity_from_boost_kg_s(COOLED, [1800.0, 2200.0], [1.4, 1.6])  # bar where kPa is meant
    with pytest.raises(ValueError, match="two speeds or more"):
        turbine_capacity_from_boost_kg_s(COOLED, [1800.0], [40.0])
    with pytest.raises(OutOfRange):
        TurboLimits(tip_speed_max_m_s=50.0)
