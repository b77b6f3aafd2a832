"""The hidden truth of the demo: seeded, physical, and wearing in the direction that engines wear."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from measurements.demo import truth, wear
from measurements.demo.catalogue import TURBOS, wheel_of
from measurements.demo.compressor_maps import map_points
from measurements.demo.engines import ENGINES
from measurements.demo.fleet import FINISHED, OPEN, YEARS, draw_fleet
from measurements.demo.story import BASELINE, PROVE

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def fleet():
    cases = draw_fleet(2600, TODAY, finished=40)
    truth.work_out(cases, BASELINE, PROVE)
    return cases


def test_the_full_fleet_is_large_and_six_years_deep():
    cases = draw_fleet(2600, TODAY)
    assert len(cases) == FINISHED + sum(len(days) for days in OPEN.values()) >= 240
    assert (TODAY - cases[0].opened_on).days == pytest.approx(365.25 * YEARS, abs=2)
    assert [c.opened_on for c in cases] == sorted(c.opened_on for c in cases)


def test_the_same_seed_gives_the_same_fleet_and_another_seed_another(fleet):
    again = draw_fleet(2600, TODAY, finished=40)
    truth.work_out(again, BASELINE, PROVE)
    for one, two in zip(fleet, again, strict=True):
        assert (one.hidden, one.turbo, one.delivery_plan_mm3, one.opened_on) == (
            two.hidden, two.turbo, two.delivery_plan_mm3, two.opened_on,
        )  # fmt: skip
        np.testing.assert_array_equal(one.after["torque_nm"], two.after["torque_nm"])
    assert [c.hidden for c in draw_fleet(1, TODAY, finished=40)] != [c.hidden for c in fleet]


def test_days_are_counted_from_today():
    later = draw_fleet(2600, TODAY + timedelta(days=100), finished=40)
    moved = [(b.opened_on - a.opened_on).days for a, b in zip(draw_fleet(2600, TODAY, finished=40), later, strict=True)]
    assert set(moved) == {100}


def test_bore_stroke_and_cylinders_agree_with_the_displacement():
    for engine in ENGINES.values():
        from_bore = np.pi / 4 * engine.bore_mm**2 * engine.stroke_mm * engine.cylinders / 1e6
        assert from_bore == pytest.approx(engine.displacement_l, rel=0.015)


def test_every_engine_gains_power_and_breathes_better(fleet):
    assert len(fleet) > 10
    for case in fleet:
        assert case.after["power_kw"].max() > 1.1 * case.before["power_kw"].max()
        # Above the speed at which boost has come up there is more air for each gram of fuel than before.
        assert (case.after["lambda_ratio"][1:] > case.before["lambda_ratio"][1:]).all()


def test_a_fault_of_the_first_run_shows_in_the_figures(fleet):
    for fault, name, sign in [("leak", "boost_kpa", -1), ("overfuel", "lambda_ratio", -1)]:
        cases = [replace(c, hidden=replace(c.hidden, fault=fault)) for c in fleet[:6]]
        truth.work_out(cases, BASELINE, PROVE)
        assert all(sign * (c.first_run[name][-1] - c.after[name][-1]) > 0 for c in cases)


def test_gauges_stay_within_their_plus_or_minus(fleet):
    errors = {slug: [] for slug in truth.Gauges.PLUS_MINUS}
    for case in fleet:
        gauges = truth.Gauges(case)
        for slug in errors:
            errors[slug].append(gauges.read(slug, 50.0) - 50.0)
    assert errors
    for slug, found in errors.items():
        assert len(found) == len(fleet) > 10
        plus_minus, step = truth.Gauges.PLUS_MINUS[slug]
        assert np.mean(np.abs(found) <= plus_minus + step / 2) > 0.9
        assert np.std(found) > 0


def test_smoke_falls_with_lambda_and_never_reaches_zero():
    k = truth.smoke_per_m([0.85, 1.0, 1.2, 1.4, 2.0])
    assert (np.diff(k) < 0).all()
    assert k[-1] > 0.1


def damage(case, **hidden):
    return wear.damage_per_1000_h(replace(case, hidden=replace(case.hidden, **hidden)))


def test_heat_boost_load_and_dirty_oil_wear_the_parts_that_they_wear(fleet):
    case = next(c for c in fleet if c.model.use == "road" and not c.has_cooler)
    plain = wear.damage_per_1000_h(case)
    assert damage(case, oil_care=0.2)["turbo_bearing"] > damage(case, oil_care=0.9)["turbo_bearing"]
    for name, step, parts in [
        ("exhaust_temperature_c", 40, ("turbo_wheel", "turbo_housing", "piston")),
        ("boost_kpa", 30, ("turbo_bearing", "turbo_wheel", "pipework")),
        ("peak_pressure_bar", 15, ("head_gasket",)),
        ("mean_pressure_kpa", 150, ("clutch", "crank_bearing")),
    ]:
        harder = wear.damage_per_1000_h(replace(case, after={**case.after, name: case.after[name] + step}))
        for part in parts:
            assert harder[part] > 1.1 * plain[part]


def test_more_hours_bring_failures_forward_and_none_lies_in_the_future(fleet):
    handed_on, compared = TODAY - timedelta(days=2000), 0
    for case in fleet:
        found = wear.failures(case, handed_on, TODAY)
        assert all(handed_on <= item.on < TODAY for item in found)
        assert sum(item.counts for item in found) <= 1  # after that the pairing is followed no more
        busy = replace(case, model=replace(case.model, hours_a_month=2 * case.model.hours_a_month))
        if found:
            first = wear.failures(busy, handed_on, TODAY)[0]
            assert first.on < found[0].on
            compared += 1
    assert compared > 3


def test_maps_fall_from_surge_to_choke_and_lines_do_not_cross():
    for row in TURBOS:
        turbo = wheel_of(row)
        lines = {}
        for point in map_points(turbo):
            lines.setdefault(point.speed_rpm, []).append(point)
        assert len(lines) > 2
        for line in lines.values():
            assert (np.diff([p.pressure_ratio for p in line]) < 0).all()
            assert all(0.4 < p.efficiency_ratio < 0.80 for p in line)
        tops = [line[0].pressure_ratio for _, line in sorted(lines.items())]
        assert tops == sorted(tops)
        # Cast aluminium wheels: about 500 to 530 m/s (check TU-20, from memory).
        assert 440 < np.pi * turbo.compressor_exducer_mm / 1e3 * turbo.max_speed_rpm / 60 < 530
