"""Limits that are not the plan's own, and those that follow from it, against sources outside the project."""

import math

import pytest

from measurements.verdict.plan_side import (
    OIL_KPA_PER_1000_RPM,
    RESTRICTION_HIGH_KPA,
    bands_at,
    engine_limits,
    plan_limits,
    steady_smoke_limits,
    stop_advice,
)
from measurements.verdict.smoke_limits import nominal_flow_l_s, steady_limit_per_m
from sizing.physics.engine.power import power_kw
from sizing.plans.actions import change_plan, make_plan
from tests.measurements.builders import INPUTS

PSI_KPA = 6.894757  # NIST SP 811, table B.8
INCH_OF_WATER_KPA = 0.2490889  # conventional, NIST SP 811, table B.8


def by_quantity(limits):
    return {limit.quantity: limit for limit in limits}


def test_the_oil_rule_is_ten_psi_for_each_thousand_revolutions():
    """Common practice."""
    assert pytest.approx(10 * PSI_KPA, abs=0.1) == OIL_KPA_PER_1000_RPM
    oil = by_quantity(engine_limits(3000.0))["oil_pressure_kpa"]
    assert oil.value == pytest.approx(30 * PSI_KPA, rel=0.002)
    assert oil.stop_value == pytest.approx(10 * PSI_KPA, abs=1.1)


def test_an_air_cleaner_is_serviced_at_25_inches_of_water():
    """Common practice."""
    assert pytest.approx(25 * INCH_OF_WATER_KPA, abs=0.05) == RESTRICTION_HIGH_KPA


def test_a_cranked_engine_is_not_judged_by_oil_pressure():
    assert "oil_pressure_kpa" not in by_quantity(engine_limits(200.0))


def test_smoke_table_at_its_ends():
    """UN Regulation 24, Annex 7, from memory: 2.26 at 42 L/s and below, 1.065 at 200 L/s and above."""
    assert steady_limit_per_m(2.0, 42 * 120 / 2.0) == 2.26
    assert steady_limit_per_m(1.0, 1000.0) == 2.26
    assert steady_limit_per_m(6.0, 200 * 120 / 6.0) == 1.065
    assert steady_limit_per_m(12.0, 3000.0) == 1.065


def test_smoke_table_between_rows_lies_between_them():
    """Rows from memory: 1.72 at 75 L/s, 1.665 at 80 L/s."""
    assert steady_limit_per_m(3.1, 3000.0) == pytest.approx(1.6925, abs=1e-9)  # 77.5 L/s, the middle


def test_nominal_flow_of_a_four_stroke():
    """2 L filled every second turn at 3000 rpm is 2 x 25 L/s."""
    assert nominal_flow_l_s(2.0, 3000.0) == 50.0


@pytest.fixture
def plan(db):
    return make_plan("x", "indirect", INPUTS)


def test_opacity_limit_is_the_same_smoke_on_the_usual_path(plan):
    """Beer-Lambert: k = -ln(1 - N/100) / 0.430 m."""
    limits = by_quantity(steady_smoke_limits(plan, 2800.0, 100.0))
    k, opacity = limits["smoke_k_per_m"].value, limits["smoke_opacity_pct"].value
    assert -math.log(1 - opacity / 100) / 0.430 == pytest.approx(k, rel=1e-6)


def test_smoke_is_judged_only_at_full_load(plan):
    assert steady_smoke_limits(plan, 2800.0, 50.0) == []


def test_torque_limit_follows_from_mean_pressure(plan):
    """6 bar in 25 L at 2000 rpm is 250 kW (textbook example); torque of that mean pressure is p V / 4 pi."""
    change_plan(
        plan, inputs={"displacement_l": (25, 25, "book")}, own_limits={"mean_pressure_max_kpa": (600, "the owner")}
    )
    torque = by_quantity(plan_limits(plan, "after"))["torque_nm"]
    assert float(power_kw(torque.value, 2000.0)) == pytest.approx(250.0, rel=1e-6)
    assert str(torque.source) == "highest mean pressure, the owner"


def test_an_own_limit_stands_with_its_source(plan):
    change_plan(plan, own_limits={"exhaust_temperature_max_c": (650, "customer tows on long climbs")})
    heat = by_quantity(plan_limits(plan, "after"))["exhaust_temperature_c"]
    assert heat.value == 650
    assert heat.source == "customer tows on long climbs"


def test_before_the_fit_only_heat_is_limited_by_the_plan(plan):
    assert set(by_quantity(plan_limits(plan, "before"))) == {"exhaust_temperature_c"}


def test_bands_come_with_their_lower_end_first(plan):
    bands = bands_at(plan, [2000.0, 3000.0])
    assert set(bands) == {2000.0, 3000.0}
    for band in bands.values():
        assert all(low <= high for low, high in band.values())


def test_a_plan_that_cannot_be_worked_out_expects_nothing(db):
    assert bands_at(make_plan("empty", "indirect", {}), [2000.0]) == {}


def test_advice_puts_oil_pressure_first_and_the_runaway_last():
    lines = stop_advice(["exhaust_temperature_c", "oil_pressure_kpa"])
    assert lines[0].startswith("Stop the engine now")
    assert "cover the intake" in lines[-1]
    assert stop_advice([]) == []
