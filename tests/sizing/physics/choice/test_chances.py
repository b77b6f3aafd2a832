import time
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from sizing.physics.choice.chances import chances, draw, rank_correlation, swing, usual_speeds_rpm
from sizing.physics.compressor.estimate import Wheel, estimate_map
from sizing.physics.errors import OutOfRange
from sizing.physics.limits.checks import check_limits
from sizing.physics.limits.values import Limits, usual_limits
from sizing.physics.match.solve import TurboFacts, solve_match
from sizing.physics.plan.data import Range
from sizing.physics.plan.solve import solve_plan
from tests.sizing.physics.plan.test_plan import COOLED

LIMITS = usual_limits("indirect", has_cooler=True)
UNSURE = replace(
    COOLED,
    plunger_diameter_mm=Range(6.8, 7.6, "told"),
    compressor_efficiency_ratio=Range(0.62, 0.72),
    air_cleaner_loss_kpa=Range(1.5, 5.0),
    compression_ratio=Range(20.5, 21.5, "book"),
)


def test_rank_correlation_against_scipy():
    random = np.random.default_rng(4)
    first = random.random(300)
    second = first**3 + 0.2 * random.random(300)
    assert rank_correlation(first, second) == pytest.approx(stats.spearmanr(first, second).statistic)
    assert rank_correlation(first, np.ones(300)) == 0.0
    with pytest.raises(ValueError, match="equal length"):
        rank_correlation(first, second[:-1])


def test_draws_fill_each_range_evenly():
    drawn = draw(UNSURE, 200, seed=3)
    place = np.sort((drawn.plunger_diameter_mm - 6.8) / 0.8)
    # a Latin hypercube meets each of 200 equal parts once (McKay, Beckman, Conover 1979)
    assert np.all(np.floor(place * 200) == np.arange(200))
    assert drawn.boost_kpa == 140.0
    assert np.array_equal(draw(UNSURE, 200, seed=3).plunger_diameter_mm, drawn.plunger_diameter_mm)


def test_without_ranges_the_chance_is_yes_or_no():
    found = chances(COOLED, LIMITS, draws=20)
    one = {c.name: c for c in check_limits(solve_plan(COOLED, usual_speeds_rpm(COOLED)), COOLED, LIMITS)}
    for chance in found.limits:
        assert chance.chance == (1.0 if one[chance.name].verdict in ("on_plan", "near_edge") else 0.0)
        assert chance.middle == pytest.approx(one[chance.name].value)
    assert found.influences == []


def test_chances_against_a_plain_count():
    limits = replace(LIMITS, mean_pressure_max_kpa=1350.0)
    found = {c.name: c for c in chances(UNSURE, limits, draws=400, seed=7).limits}["mean_pressure_max_kpa"]
    random = np.random.default_rng(11)  # independent plain draws
    plain = replace(
        COOLED, plunger_diameter_mm=random.uniform(6.8, 7.6, 1000),
        compressor_efficiency_ratio=random.uniform(0.62, 0.72, 1000),
        air_cleaner_loss_kpa=random.uniform(1.5, 5.0, 1000), compression_ratio=random.uniform(20.5, 21.5, 1000),
    )  # fmt: skip
    worst = solve_plan(plain, usual_speeds_rpm(UNSURE)).mean_pressure_kpa.max(axis=1)
    assert found.chance == pytest.approx(np.mean(worst <= 1350.0), abs=0.06)
    assert found.low == pytest.approx(np.quantile(worst, 0.1), rel=0.01)
    assert 0.05 < found.chance < 0.95


def test_bands_hold_the_middle():
    found = chances(UNSURE, LIMITS, draws=100)
    assert np.all(found.low.torque_nm <= found.middle.torque_nm)
    assert np.all(found.middle.torque_nm <= found.high.torque_nm)
    assert found.low.torque_nm.shape == usual_speeds_rpm(UNSURE).shape


def test_the_plunger_is_what_to_measure_first():
    # delivery goes with the square of the plunger diameter: common practice says measure it first
    found = chances(UNSURE, replace(LIMITS, mean_pressure_max_kpa=1300.0), draws=300)
    assert found.influences[0].name == "plunger_diameter_mm"
    assert found.influences[0].origin == "told"
    assert found.influences[0].share > 0.5
    assert sum(i.share for i in found.influences) < 1.15
    alone = swing(UNSURE, replace(LIMITS, mean_pressure_max_kpa=1300.0))
    assert max(alone, key=lambda name: abs(alone[name])) == "plunger_diameter_mm"


CHART = estimate_map(Wheel(38.0, 52.0, 12))
FITTED = TurboFacts(0.09, True, compressor=CHART, compressor_wheel_mm=52.0, turbine_wheel_mm=46.0)
OF_THE_TURBO = {"turbine_capacity_kg_s": Range(0.072, 0.108), "surge_flow_ratio": Range(0.8, 1.2)}


def test_chances_with_a_turbo_against_a_plain_count_of_single_matches():
    """Independent plain draws, each solved alone as a match of its own."""
    speeds = np.array([1400.0, 2000.0, 2800.0, 4000.0])
    found = {c.name: c for c in chances(UNSURE, LIMITS, 600, 3, speeds, FITTED, OF_THE_TURBO).limits}
    random = np.random.default_rng(5)
    ratios, temperatures, boosts = [], [], []
    for _ in range(80):
        one = replace(
            COOLED, plunger_diameter_mm=random.uniform(6.8, 7.6), compressor_efficiency_ratio=random.uniform(0.62, 0.72),
            air_cleaner_loss_kpa=random.uniform(1.5, 5.0), compression_ratio=random.uniform(20.5, 21.5),
        )  # fmt: skip
        turbo = replace(
            FITTED,
            turbine_capacity_kg_s=random.uniform(0.072, 0.108),
            turbine_efficiency_ratio=COOLED.turbine_efficiency_ratio,
        )
        match = solve_match(one, turbo, speeds)
        works = match.plan.boost_kpa >= np.maximum(10.0, 0.25 * match.plan.boost_kpa.max())
        ratios.append((match.plan.exhaust_pressure_kpa / match.plan.manifold_pressure_kpa)[works].max())
        temperatures.append(match.plan.exhaust_temperature_c.max())
        boosts.append(match.plan.boost_kpa.max())
    pressure, heat = found["exhaust_over_boost_max_ratio"], found["exhaust_temperature_max_c"]
    assert pressure.chance == pytest.approx(np.mean(np.array(ratios) <= 1.5), abs=0.15)
    assert pressure.middle == pytest.approx(np.median(ratios), rel=0.03)
    assert heat.middle == pytest.approx(np.median(temperatures), abs=8.0)
    assert found["boost_wanted_kpa"].chance == pytest.approx(np.mean(np.array(boosts) >= 135.0), abs=0.12)


def test_what_is_only_estimated_of_a_turbo_can_be_what_to_measure_first():
    sure = replace(COOLED, air_cleaner_loss_kpa=Range(2.4, 2.6))
    limits = replace(LIMITS, mean_pressure_max_kpa=2000.0, peak_pressure_max_bar=240.0)
    found = chances(sure, limits, 300, 1, None, FITTED, OF_THE_TURBO)
    assert found.influences[0].name in OF_THE_TURBO
    with pytest.raises(ValueError, match="only turbine_capacity_kg_s"):
        chances(sure, limits, 300, 1, None, FITTED, {"has_wastegate": Range(0, 1)})


def test_two_thousand_draws_stay_quick():
    start = time.process_time()
    chances(UNSURE, LIMITS, draws=2000, speeds_rpm=np.linspace(1200, 4000, 40))
    assert time.process_time() - start < 6.0  # about one second on a quiet machine


@pytest.mark.parametrize("draws", [9, 100_001])
def test_out_of_range(draws):
    with pytest.raises(OutOfRange, match="draws"):
        chances(UNSURE, Limits(), draws=draws)
    with pytest.raises(OutOfRange, match="count"):
        usual_speeds_rpm(UNSURE, 1)
