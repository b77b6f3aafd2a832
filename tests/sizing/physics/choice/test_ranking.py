import itertools
import time
from dataclasses import replace

import numpy as np
import pytest

from sizing.physics.choice.ranking import Candidate, Weights, compare
from sizing.physics.compressor.estimate import Wheel, estimate_map
from sizing.physics.errors import OutOfRange
from sizing.physics.limits.checks import check_limits
from sizing.physics.limits.match_checks import check_match
from sizing.physics.limits.values import WORST_FIRST, TurboLimits, usual_limits
from sizing.physics.match.solve import TurboFacts, solve_match
from tests.sizing.physics.plan.test_plan import COOLED

SPEEDS = [1600.0, 2200.0, 2800.0, 3400.0, 4000.0]
COOLER = {"cooler_effectiveness_ratio": 0.65, "cooler_pressure_loss_kpa": 5.0}
GOOD = Candidate("good", TurboFacts(0.10, True), **COOLER)


def test_the_reason_for_falling_out_is_named():
    ranked = compare(COOLED, [
        Candidate("huge", TurboFacts(2.0, True), **COOLER),
        GOOD,
        Candidate("strangled", TurboFacts(0.035, True), **COOLER),
    ], SPEEDS)  # fmt: skip
    assert next(r.candidate.name for r in ranked) == "good"
    by_name = {r.candidate.name: r for r in ranked}
    assert any("too large" in str(reason) for reason in by_name["huge"].reasons)
    assert any("Pressure before turbine" in str(reason) for reason in by_name["strangled"].reasons)


def test_order_is_verdict_first_then_score():
    candidates = [Candidate(f"t{c:.3f}", TurboFacts(c, True), **COOLER) for c in np.linspace(0.04, 0.3, 12)]
    ranked = compare(COOLED, candidates, SPEEDS)
    places = [WORST_FIRST.index(r.verdict) for r in ranked]
    assert places == sorted(places, reverse=True)
    for one, other in itertools.pairwise(ranked):
        if one.verdict == other.verdict:
            assert one.score >= other.score


def test_a_candidate_is_worth_the_same_alone_and_in_company():
    wheel = estimate_map(Wheel(38.0, 52.0, 12))
    turbo = TurboFacts(0.10, True, compressor=wheel, compressor_wheel_mm=52.0)
    company = [Candidate(f"p{d}", turbo, plunger_diameter_mm=d, **COOLER) for d in (6.5, 7.0, 7.5)]
    together = {r.candidate.name: r for r in compare(COOLED, company, SPEEDS)}
    alone = solve_match(replace(COOLED, plunger_diameter_mm=7.0), turbo, SPEEDS)
    assert together["p7.0"].torque_nm == pytest.approx(float(alone.plan.torque_nm.max()), rel=0.01)
    assert together["p7.0"].boost_kpa == pytest.approx(float(alone.plan.boost_kpa.max()), abs=1.5)


def test_space_price_and_stock_count():
    shelf = replace(GOOD, name="shelf", in_stock=True, price=300.0, space="on_plan")
    order = replace(GOOD, name="order", in_stock=False, price=900.0, space="near_edge")
    blocked = replace(GOOD, name="blocked", in_stock=True, price=100.0, space="off_plan")
    ranked = compare(COOLED, [order, blocked, shelf], SPEEDS)
    assert [r.candidate.name for r in ranked] == ["shelf", "order", "blocked"]
    assert str(ranked[-1].reasons[0]) == "does not go into the space measured"


def test_one_bad_combination_does_not_spoil_the_others():
    spoiler = Candidate("twelve", TurboFacts(0.10, True), plunger_diameter_mm=15.0, **COOLER)
    ranked = compare(COOLED, [spoiler, GOOD], SPEEDS)
    assert ranked[0].candidate.name == "good"
    assert "plunger diameter mm is 15 mm" in str(ranked[1].reasons[0])


def test_a_thousand_combinations_stay_quick():
    candidates = [
        Candidate(f"{c:.3f} {d:.2f}", TurboFacts(c, True), plunger_diameter_mm=d, **COOLER)
        for c in np.linspace(0.06, 0.2, 25)
        for d in np.linspace(6.0, 8.0, 40)
    ]
    start = time.process_time()
    assert len(compare(COOLED, candidates, SPEEDS[1::2])) == 1000
    assert time.process_time() - start < 10.0


def test_turbos_with_maps_of_their_own_are_worth_the_same_alone_and_in_company():
    wheels = [estimate_map(Wheel(0.73 * size, size, 12)) for size in (46.0, 52.0, 58.0)]
    turbos = [
        TurboFacts(0.09, gated, compressor=w, compressor_wheel_mm=52.0, turbine_wheel_mm=46.0)
        for w in wheels
        for gated in (True, False)
    ]
    company = [
        Candidate(f"{i} {d}", t, plunger_diameter_mm=d, **COOLER) for i, t in enumerate(turbos) for d in (6.5, 7.25)
    ]
    together = {r.candidate.name: r for r in compare(COOLED, company, SPEEDS)}
    assert len(together) == len(company) == 12
    for candidate in company:
        inputs = replace(COOLED, plunger_diameter_mm=candidate.plunger_diameter_mm, **COOLER)
        alone = solve_match(inputs, candidate.turbo, SPEEDS)
        found = together[candidate.name]
        assert found.torque_nm == pytest.approx(float(alone.plan.torque_nm.max()), rel=0.005)
        assert found.boost_kpa == pytest.approx(float(alone.plan.boost_kpa.max()), abs=0.5)
        # the same verdict as the plan page gives, by the same rules one at a time
        checks = [*check_limits(alone.plan, inputs, usual_limits("indirect", True)), *check_match(alone, TurboLimits())]
        lost = "off_plan" if not alone.solved.all() else "on_plan"
        assert found.verdict == min([lost, *(c.verdict for c in checks)], key=WORST_FIRST.index)
        assert {r.words for r in found.reasons} >= {c.label for c in checks if c.verdict in ("off_plan", "stop")}


def test_points_are_the_weighted_mean_of_their_shares():
    ranked = compare(
        COOLED,
        [replace(GOOD, price=300.0), replace(GOOD, name="dear", price=900.0)],
        SPEEDS,
        weights=Weights(torque=5.0),
    )
    for row in ranked:
        assert {share.name for share in row.shares} == {"torque", "low_speed", "margin", "price", "stock", "space"}
        assert row.score == pytest.approx(
            np.average([s.share for s in row.shares], weights=[s.weight for s in row.shares])
        )
    assert ranked[0].shares[3].share == pytest.approx(1 - 300 / 900)


def test_out_of_range():
    with pytest.raises(OutOfRange, match="number of candidates"):
        compare(COOLED, [], SPEEDS)
    with pytest.raises(OutOfRange, match="weight of price"):
        Weights(price=11.0)
