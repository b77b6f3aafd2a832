import itertools
import time
from dataclasses import replace

import numpy as np
import pytest

from sizing.physics.compare import Candidate, Weights, compare
from sizing.physics.errors import OutOfRange
from sizing.physics.limits import WORST_FIRST
from sizing.physics.map_estimate import Wheel, estimate_map
from sizing.physics.match import Turbo, solve_match

from .test_plan import COOLED

SPEEDS = [1600.0, 2200.0, 2800.0, 3400.0, 4000.0]
COOLER = {"cooler_effectiveness_ratio": 0.65, "cooler_pressure_loss_kpa": 5.0}
GOOD = Candidate("good", Turbo(0.10, True), **COOLER)


def test_the_reason_for_falling_out_is_named():
    ranked = compare(COOLED, [
        Candidate("huge", Turbo(2.0, True), **COOLER),
        GOOD,
        Candidate("strangled", Turbo(0.035, True), **COOLER),
    ], SPEEDS)  # fmt: skip
    assert next(r.candidate.name for r in ranked) == "good"
    by_name = {r.candidate.name: r for r in ranked}
    assert any("too large" in reason for reason in by_name["huge"].reasons)
    assert any("Pressure before turbine" in reason for reason in by_name["strangled"].reasons)


def test_order_is_verdict_first_then_score():
    candidates = [Candidate(f"t{c:.3f}", Turbo(c, True), **COOLER) for c in np.linspace(0.04, 0.3, 12)]
    ranked = compare(COOLED, candidates, SPEEDS)
    places = [WORST_FIRST.index(r.verdict) for r in ranked]
    assert places == sorted(places, reverse=True)
    for one, other in itertools.pairwise(ranked):
        if one.verdict == other.verdict:
            assert one.score >= other.score


def test_a_candidate_is_worth_the_same_alone_and_in_company():
    wheel = estimate_map(Wheel(38.0, 52.0, 12))
    turbo = Turbo(0.10, True, compressor=wheel, compressor_wheel_mm=52.0)
    company = [Candidate(f"p{d}", turbo, plunger_diameter_mm=d, **COOLER) for d in (6.5, 7.0, 7.5)]
    together = {r.candidate.name: r for r in compare(COOLED, company, SPEEDS)}
    alone = solve_match(replace(COOLED, plunger_diameter_mm=7.0), turbo, SPEEDS)
    assert together["p7.0"].torque_nm == pytest.approx(float(alone.plan.torque_nm.max()), rel=0.01)
    assert together["p7.0"].boost_kpa == pytest.approx(float(alone.plan.boost_kpa.max()), abs=1.5)


def test_space_price_and_stock_count():
    shelf = replace(GOOD, name="shelf", in_stock=True, price=300.0, space="on plan")
    order = replace(GOOD, name="order", in_stock=False, price=900.0, space="near the edge")
    blocked = replace(GOOD, name="blocked", in_stock=True, price=100.0, space="off plan")
    ranked = compare(COOLED, [order, blocked, shelf], SPEEDS)
    assert [r.candidate.name for r in ranked] == ["shelf", "order", "blocked"]
    assert "does not go into the space measured" in ranked[-1].reasons


def test_one_bad_combination_does_not_spoil_the_others():
    spoiler = Candidate("twelve", Turbo(0.10, True), plunger_diameter_mm=15.0, **COOLER)
    ranked = compare(COOLED, [spoiler, GOOD], SPEEDS)
    assert ranked[0].candidate.name == "good"
    assert "plunger diameter mm is 15 mm" in ranked[1].reasons[0]


def test_a_thousand_combinations_stay_quick():
    candidates = [
        Candidate(f"{c:.3f} {d:.2f}", Turbo(c, True), plunger_diameter_mm=d, **COOLER)
        for c in np.linspace(0.06, 0.2, 25)
        for d in np.linspace(6.0, 8.0, 40)
    ]
    start = time.process_time()
    assert len(compare(COOLED, candidates, SPEEDS[1::2])) == 1000
    assert time.process_time() - start < 10.0


def test_out_of_range():
    with pytest.raises(OutOfRange, match="number of candidates"):
        compare(COOLED, [], SPEEDS)
    with pytest.raises(OutOfRange, match="weight of price"):
        Weights(price=11.0)
