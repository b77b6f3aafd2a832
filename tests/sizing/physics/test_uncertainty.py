import time
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from sizing.physics.errors import OutOfRange
from sizing.physics.plan import (
    Limits,
    Range,
    chances,
    check_limits,
    solve_plan,
    swing,
    usual_limits,
    usual_speeds_rpm,
)
from sizing.physics.uncertainty import draw, rank_correlation

from .test_plan import COOLED

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
        assert chance.chance == (1.0 if one[chance.name].verdict in ("on plan", "near the edge") else 0.0)
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
