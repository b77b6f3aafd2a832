"""Readings of boost in, the turbine's capacity out; what does not agree is said, and kept only when it does."""

import re
from dataclasses import replace

import pytest
from django.urls import reverse

from sizing.catalogue.models import MapPoint
from sizing.physics.compressor.estimate import Wheel, estimate_map
from sizing.physics.match.solve import TurboFacts, solve_match
from sizing.plans.actions import change_plan
from sizing.plans.cases import case_of
from sizing.plans.solve import inputs_of
from sizing.plans.turbo_basis import basis_of, measures_of
from tests.builders import make_turbo
from tests.sizing.builders import make_a_plan

pytestmark = pytest.mark.django_db


def text_of(response):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))


@pytest.fixture
def plan(workshop):
    return make_a_plan(turbo=make_turbo(turbine_flow_kg_s=0.12, wastegate=False))


@pytest.fixture
def readings(plan):
    """What a turbine of 0.095 kg/s would make on this engine: the inverse must close on the forward solution."""
    speeds = [1800.0, 2200.0, 2600.0]
    forward = solve_match(inputs_of(plan), TurboFacts(0.095, False), speeds)
    return list(zip(speeds, forward.plan.boost_kpa.tolist(), strict=True))


def page(plan):
    return reverse("sizing:turbine_capacity", args=[plan.pk])


def typed(readings):
    return {
        f"{name}_{row}": f"{value:.2f}"
        for row, pair in enumerate(readings, 1)
        for name, value in zip(("speed", "boost"), pair, strict=True)
    }


def found_in(response):
    return float(re.search(r"figure big\">([\d.]+)<", response.content.decode())[1])


def test_readings_of_a_turbine_give_its_capacity_back(owner_client, plan, readings):
    answer = owner_client.get(page(plan), typed(readings))
    assert found_in(answer) == pytest.approx(0.095, rel=0.03)
    assert "The plan takes 0.1200 kg/s now" in text_of(answer)
    ends = re.search(r"the capacity is ([\d.]+) to ([\d.]+)", text_of(answer))
    assert float(ends[1]) < found_in(answer) < float(ends[2])


@pytest.fixture
def mapped(plan):
    """The plan's turbo with a map of its own, and what a turbine of 0.095 kg/s would make with it on this engine."""
    lines = estimate_map(Wheel(38.0, 52.0, 12))
    MapPoint.objects.bulk_create(
        MapPoint(turbo=plan.turbo, speed_rpm=speed, flow_kg_s=flow, pressure_ratio=ratio, efficiency_ratio=efficiency)
        for speed, line in zip(lines.line_speeds_rpm.tolist(), lines.lines, strict=True)
        for flow, ratio, efficiency in zip(*line, strict=True)
        if ratio > 1.02
    )
    case = case_of(plan)
    turbo = replace(
        basis_of(measures_of(case.turbo), float(inputs_of(case).turbine_efficiency_ratio)).turbo,
        turbine_capacity_kg_s=0.095,
    )
    forward = solve_match(inputs_of(case), turbo, [1800.0, 2200.0, 2600.0])
    return list(zip(forward.plan.speed_rpm.tolist(), forward.plan.boost_kpa.tolist(), strict=True))


def test_the_turbos_own_map_gives_the_compressors_efficiency(owner_client, plan, mapped):
    """The plan's own figure is far off here; with it the capacity would not come back."""
    change_plan(plan, inputs={"compressor_efficiency_ratio": (0.5, 0.5, "guessed")})
    answer = owner_client.get(page(plan), typed(mapped))
    assert found_in(answer) == pytest.approx(0.095, rel=0.03)
    assert "efficiency is that of the turbo&#x27;s own map at each reading" in text_of(answer)
    assert text_of(answer).count("its map") == 3
    owner_client.post(page(plan), typed(mapped))
    plan.turbo.refresh_from_db()
    assert "the turbo's own map at each reading" in plan.turbo.note


def test_without_a_map_the_plans_efficiency_is_kept_and_said(owner_client, plan, readings):
    answer = owner_client.get(page(plan), typed(readings))
    assert "efficiency is the plan&#x27;s 0.68, since the turbo has no map of its own" in text_of(
        answer
    )  # middle of 0.62 to 0.74, common practice
    assert answer.content.decode().count("<td>the plan</td>") == 3


def test_the_owner_keeps_it_with_where_it_comes_from(owner_client, plan, readings):
    kept = owner_client.post(page(plan), typed(readings), follow=True)
    assert kept.redirect_chain == [(plan.get_absolute_url(), 302)]  # back where it was asked
    assert "has a flow capacity of" in text_of(kept)
    plan.turbo.refresh_from_db()
    assert plan.turbo.turbine_flow_kg_s == pytest.approx(0.095, rel=0.03)
    assert "from boost measured at 1,800, 2,200, 2,600 rpm" in plan.turbo.note
    assert "Before: 0.1200 kg/s" in plan.turbo.note


def test_a_technician_sees_it_and_keeps_nothing(technician_client, plan, readings):
    assert "Keep it for" not in text_of(technician_client.get(page(plan), typed(readings)))
    assert technician_client.post(page(plan), typed(readings)).status_code == 403
    plan.turbo.refresh_from_db()
    assert plan.turbo.turbine_flow_kg_s == 0.12


def test_readings_that_do_not_agree_are_said_and_not_kept(owner_client, plan):
    odd = [(1800, 120), (2200, 30), (2600, 120)]
    assert "Not to be relied on" in text_of(owner_client.get(page(plan), typed(odd)))
    assert owner_client.post(page(plan), typed(odd)).status_code == 422
    plan.turbo.refresh_from_db()
    assert plan.turbo.turbine_flow_kg_s == 0.12


def test_boost_held_by_a_wastegate_is_suspected(owner_client, plan, readings):
    held = [(speed, min(boost, readings[0][1] * 1.02)) for speed, boost in readings] + [(3600, readings[0][1] * 1.02)]
    assert "a wastegate was open" in text_of(owner_client.get(page(plan), typed(held)))


@pytest.mark.parametrize(
    ("query", "told"),
    [
        ({"speed_1": "1800"}, "empty beside its pair"),
        ({"speed_1": "1800", "boost_1": "60"}, "two speeds or more"),
        ({"speed_1": "1800", "boost_1": "60", "speed_2": "1800", "boost_2": "70"}, "same engine speed"),
        ({"speed_1": "1800", "boost_1": "300 bar", "speed_2": "2200", "boost_2": "70"}, "300 bar"),
        ({"speed_1": "1800", "boost_1": "1", "speed_2": "2200", "boost_2": "1"}, "allowed is 5 to 350"),
    ],
)
def test_what_cannot_be_is_said_and_stays(owner_client, plan, query, told):
    answer = owner_client.get(page(plan), query)
    assert answer.status_code == 422
    assert told in text_of(answer)
    assert all(f'value="{value}"' in answer.content.decode() for value in query.values())


def test_without_a_turbo_there_is_nothing_to_keep_it_for(owner_client, plan, readings):
    bare = make_a_plan()
    assert "there is none to keep it for" in text_of(owner_client.get(page(bare), typed(readings)))
    assert owner_client.post(page(bare), typed(readings)).status_code == 422
