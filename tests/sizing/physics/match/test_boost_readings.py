"""Capacity of a turbine from boost, with the compressor's map: against CoolProp's air and against the forward match."""

from dataclasses import replace

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from scipy.optimize import brentq

from sizing.physics.compressor.estimate import Wheel, estimate_map
from sizing.physics.compressor.map import build_map
from sizing.physics.match.boost_readings import turbine_capacity_from_boost_kg_s
from sizing.physics.match.solve import TurboFacts, solve_match
from tests.sizing.physics.plan.test_plan import COOLED

SPEEDS = np.array([1800.0, 2200.0, 2600.0])
ESTIMATED = estimate_map(Wheel(38.0, 52.0, 12))


def measured_map(efficiency=None):
    """Points of a map as a file would hold them; with one efficiency all over, what the map answers is known beforehand."""
    rows = [
        (speed, flow, ratio, eta if efficiency is None else efficiency)
        for speed, line in zip(ESTIMATED.line_speeds_rpm, ESTIMATED.lines, strict=True)
        for flow, ratio, eta in zip(*line, strict=True)
        if ratio > 1.02
    ]
    return build_map(
        *(np.array(column) for column in zip(*rows, strict=True)),
        ESTIMATED.reference_temperature_c,
        ESTIMATED.reference_pressure_kpa,
    )


def drop_j_kg(kelvin, kpa, other_kpa):
    """Enthalpy of air after an isentropic change of pressure, less that before."""
    entropy = PropsSI("S", "T", kelvin, "P", kpa * 1e3, "Air")
    return PropsSI("H", "P", other_kpa * 1e3, "S", entropy, "Air") - PropsSI("H", "T", kelvin, "P", kpa * 1e3, "Air")


def test_the_power_balance_agrees_with_coolprop():
    """Compressor work from CoolProp's air at the map's 0.74, turbine work from its hot air (exhaust with lambda above 1.3 is air
    within 3 %, Heywood ch. 4), the expansion at which both agree, and Eriksson's flow curve sqrt(1 - 1/ratio^3) for the capacity."""
    chart, turbo_efficiency = measured_map(0.74), 0.60
    forward = solve_match(COOLED, TurboFacts(0.095, False, turbo_efficiency, compressor=chart), SPEEDS)
    plan = forward.plan
    found = turbine_capacity_from_boost_kg_s(COOLED, SPEEDS, plan.boost_kpa, turbo_efficiency, chart)
    assert found.from_map.all()
    assert found.compressor_efficiency_ratio == pytest.approx(0.74, abs=0.003)
    for i, capacity in enumerate(found.each_kg_s):
        gas = plan.air_flow_kg_s[i] + plan.fuel_flow_kg_s[i]
        kelvin = plan.exhaust_temperature_c[i] + 273.15
        behind = plan.exhaust_pressure_kpa[i] / forward.expansion_ratio[i]
        asked = plan.air_flow_kg_s[i] * drop_j_kg(298.15, 100.0, 100.0 * plan.pressure_ratio[i]) / 0.74

        def short(ratio, gas=gas, kelvin=kelvin, behind=behind, asked=asked):
            return -gas * turbo_efficiency * drop_j_kg(kelvin, behind * ratio, behind) - asked

        expansion = brentq(short, 1.02, 6.0)
        by_hand = gas * np.sqrt(kelvin / 288.15) * 101.325 / (behind * expansion * np.sqrt(1 - expansion**-3))
        assert capacity == pytest.approx(by_hand, rel=0.05)


def test_the_map_moves_the_answer_as_its_efficiency_does():
    """A better compressor asks less power, so the same boost speaks of a larger turbine; with one efficiency all over, the map
    answers what the plan's own efficiency would."""
    plan = solve_match(COOLED, TurboFacts(0.095, False), SPEEDS).plan
    capacities = {}
    for efficiency in (0.66, 0.78):
        with_map = turbine_capacity_from_boost_kg_s(COOLED, SPEEDS, plan.boost_kpa, chart=measured_map(efficiency))
        typed = turbine_capacity_from_boost_kg_s(
            replace(COOLED, compressor_efficiency_ratio=efficiency), SPEEDS, plan.boost_kpa
        )
        assert with_map.capacity_kg_s == pytest.approx(typed.capacity_kg_s, rel=0.01)
        capacities[efficiency] = with_map.capacity_kg_s
    assert capacities[0.78] > 1.02 * capacities[0.66]


@pytest.mark.parametrize("wheel_mm", [None, 46.0])
@pytest.mark.parametrize("capacity", [0.08, 0.11])
def test_it_closes_on_the_forward_match_with_the_same_map(capacity, wheel_mm):
    """The plan's own efficiency is far off here, so that it is the map that brings the capacity back."""
    chart, wrong = measured_map(), replace(COOLED, compressor_efficiency_ratio=0.55)
    forward = solve_match(COOLED, TurboFacts(capacity, False, 0.60, chart, 52.0, wheel_mm), SPEEDS)
    assert forward.solved.all()
    found = turbine_capacity_from_boost_kg_s(wrong, SPEEDS, forward.plan.boost_kpa, 0.60, chart, wheel_mm)
    assert found.compressor_efficiency_ratio[found.from_map] == pytest.approx(
        forward.compressor_efficiency_ratio[found.from_map], abs=0.01
    )
    assert found.each_kg_s[found.from_map] == pytest.approx(capacity, rel=0.03)
    assert found.from_map.sum() >= 2


def test_a_reading_off_the_map_takes_the_plans_efficiency():
    """6 kPa of boost lie under the slowest line of the map; what is beyond the measured lines is not the turbo's own word."""
    chart = measured_map()
    lowest = min(float(np.max(ratio)) for _, ratio, _ in chart.lines)
    found = turbine_capacity_from_boost_kg_s(COOLED, [900.0, 2200.0], [6.0, 90.0], chart=chart)
    assert lowest > (101.325 + 6 + 5) / (101.325 - 2.5)  # at most this ratio: full losses of cooler and air cleaner
    assert found.from_map.tolist() == [False, True]
    assert found.compressor_efficiency_ratio[0] == COOLED.compressor_efficiency_ratio
    assert found.compressor_efficiency_ratio[1] != COOLED.compressor_efficiency_ratio
