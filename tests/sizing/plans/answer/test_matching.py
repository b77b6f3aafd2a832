"""The turbo on the engine of a plan: what it rests on, what is said where something is missing, and a balance checked outside."""

import math
import re

import pytest
from django.urls import reverse

from sizing.catalogue.models import MapPoint
from sizing.plans.answer.match_answers import match_answer
from sizing.plans.answer.matching import match_speeds, matched
from sizing.plans.cases import case_of
from sizing.plans.solve import inputs_of, known_inputs
from sizing.plans.turbo_basis import basis_of, measures_of
from tests.builders import make_turbo
from tests.sizing.builders import make_a_plan

pytestmark = pytest.mark.django_db
CP_AIR = 1.006  # kJ/(kg K) of dry air at 27 °C (handbook table, 1.005 to 1.007)


def address(plan):
    return reverse("sizing:match_panel", args=[plan.pk])


def text_of(response):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))


def known_turbo(**fields):
    return make_turbo(**{"housing_area_mm2": 380, "wastegate": True} | fields)


def solved(plan):
    case = case_of(plan)
    return matched(case.injection, known_inputs(case), case.turbo)


def test_power_balances_against_a_handbook_heat_capacity():
    found = solved(make_a_plan(turbo=known_turbo()))
    match, air_c = found.match, float(found.inputs.air_temperature_c)
    for i in range(4, 9):
        rise = match.plan.compressor_outlet_temperature_c[i] - air_c
        assert match.compressor_power_kw[i] == pytest.approx(CP_AIR * match.plan.air_flow_kg_s[i] * rise, rel=0.02)
        assert match.turbine_power_kw[i] == pytest.approx(match.compressor_power_kw[i], rel=0.02)


def test_tip_speed_on_the_page_is_that_of_a_turning_wheel(owner_client):
    plan = make_a_plan(turbo=known_turbo())
    match = solved(plan).match
    used = match.solved & (match.plan.torque_nm > 0) & (match.plan.boost_kpa >= 10)
    rim = max(math.pi * 0.049 * rpm / 60 for rpm in match.wheel_speed_rpm[used])  # v = pi d n
    assert f"Compressor tip speed {rim:,.0f} m/s" in text_of(owner_client.get(address(plan)))


def test_estimated_capacity_is_that_of_two_throats_in_series():
    """Orifices in series (textbook): inverse squares of the areas add; choked air at 288.15 K flows 241.2 kg/(s m²)."""
    basis = basis_of(measures_of(known_turbo()), 0.6)
    wheel = math.pi / 4 * 37**2 * (1 - 0.3**2) * math.cos(math.radians(57))
    area = 1 / math.sqrt(1 / 380**2 + 1 / wheel**2)
    assert float(basis.turbo.turbine_capacity_kg_s) == pytest.approx(0.92 * area * 1e-6 * 241.2, rel=0.005)
    assert "estimated from a throat of 380 mm²" in " ".join(basis.notes)


def test_an_estimated_map_is_called_one(technician_client):
    plan = make_a_plan(turbo=known_turbo())
    page = text_of(technician_client.get(address(plan)))
    assert "The compressor map is not a measured one" in page
    assert "surge flow ±20 %" in page


def test_its_own_map_is_taken_before_an_estimate():
    turbo = known_turbo()
    for speed, flows, top in ((90_000, (0.03, 0.05, 0.06), 1.5), (150_000, (0.06, 0.10, 0.12), 2.6)):
        for k, flow in enumerate(flows):
            MapPoint.objects.create(
                turbo=turbo, speed_rpm=speed, flow_kg_s=flow, pressure_ratio=top - 0.1 * k * k, efficiency_ratio=0.7
            )
    basis = basis_of(measures_of(turbo), 0.6)
    assert not basis.is_estimated
    assert len(basis.turbo.compressor.lines) == 2


def test_a_turbo_without_turbine_measures_says_so(owner_client):
    page = text_of(owner_client.get(address(make_a_plan(turbo=make_turbo()))))
    assert "not known yet is the throat area of the turbine housing" in page
    assert "Compressor tip speed" not in page


def test_a_turbo_without_wheel_measures_is_solved_without_its_map(owner_client):
    plan = make_a_plan(turbo=known_turbo(compressor_blade_count=None))
    page = text_of(owner_client.get(address(plan)))
    assert "distance from surge and choke and the tip speed stay unknown" in page
    assert "Distance from surge" not in page


def test_a_plan_without_a_turbo_or_without_facts_says_so(owner_client):
    assert "No turbo is chosen" in text_of(owner_client.get(address(make_a_plan())))
    plan = make_a_plan(turbo=known_turbo())
    plan.inputs.filter(name="displacement_l").delete()
    assert "Not known yet: Displacement" in text_of(owner_client.get(address(plan)))


def test_a_wastegate_holds_what_is_wanted_and_without_one_boost_floats():
    gated = match_answer(case_of(make_a_plan(turbo=known_turbo())))
    assert "wastegate opens from" in gated.sentence
    assert "holds 115 kPa" in gated.sentence
    free = match_answer(case_of(make_a_plan(turbo=known_turbo(housing_area_mm2=300, wastegate=False))))
    assert "without a wastegate it floats to" in free.sentence
    assert "above the ceiling of 135 kPa" in free.sentence
    assert free.verdict in ("off_plan", "stop")


def test_a_wheel_far_too_small_is_choked():
    found = match_answer(case_of(make_a_plan(turbo=known_turbo(compressor_inducer_mm=26, compressor_exducer_mm=35))))
    row = next(row for row in found.limits if row.label == "Distance from choke")
    assert row.verdict in ("off_plan", "stop")
    assert not any("nan" in cell for cells in found.table for cell in cells)


def test_speeds_without_a_balance_name_the_one_that_fails():
    strangled = known_turbo(turbine_flow_kg_s=0.05, wastegate=False)
    found = match_answer(case_of(make_a_plan({"altitude_m": (2600, 2600, "told")}, turbo=strangled)))
    assert "compressor is too small" in found.failures[0]
    assert "no balance" in found.table[-3]


def test_a_turbo_far_too_large_is_short_everywhere():
    found = match_answer(case_of(make_a_plan(turbo=known_turbo(turbine_flow_kg_s=1.5))))
    assert "is short of the boost wanted at 1,600 to 4,000 rpm" in found.sentence
    assert "reaches" not in found.sentence
    assert found.verdict in ("off_plan", "stop")


@pytest.mark.parametrize(
    "fields",
    [
        {
            "compressor_inducer_mm": 16,
            "compressor_exducer_mm": 21,
            "housing_area_mm2": 60,
            "turbine_exducer_mm": 16,
            "turbine_inducer_mm": 21,
        },
        {
            "compressor_inducer_mm": 150,
            "compressor_exducer_mm": 200,
            "housing_area_mm2": 7000,
            "turbine_exducer_mm": 150,
            "turbine_inducer_mm": 180,
        },
        {"compressor_inducer_mm": None, "housing_area_mm2": None},
    ],
)
def test_pages_of_a_turbo_far_too_small_too_large_or_unknown_speak_in_words(owner_client, fields):
    plan = make_a_plan({"altitude_m": (5200, 5200, "measured")}, turbo=known_turbo(**fields))
    for url in (address(plan), plan.get_absolute_url(), reverse("sizing:compare", args=[plan.pk])):
        response = owner_client.get(url)
        assert response.status_code == 200
        words = text_of(response)
        assert not re.search(r"\b(nan|inf|None)\b", words)
        assert (
            "stop" in words
            or "off plan" in words
            or "not known yet" in words
            or "no compressor map can be estimated" in words
        )


def test_speeds_run_to_the_governed_one():
    speeds = match_speeds(inputs_of(make_a_plan({"governed_speed_rpm": (4400, 4400, "told")})))
    assert speeds == sorted(speeds)
    assert 4000.0 in speeds
    assert speeds[-1] == 4400.0
    assert 12 <= len(speeds) <= 15


def test_highest_wheel_speed_of_the_catalogue_is_a_limit():
    found = match_answer(case_of(make_a_plan(turbo=known_turbo(max_speed_rpm=120_000))))
    row = next(row for row in found.limits if row.label == "Wheel speed")
    assert row.verdict == "stop"
    assert row.limit == "120,000 rpm"


def test_it_is_a_part_of_the_plan_page_and_a_page_of_its_own(desk_client, owner_client):
    plan = make_a_plan(turbo=known_turbo())
    assert address(plan) in desk_client.get(plan.get_absolute_url()).content.decode()
    part = desk_client.get(address(plan), headers={"HX-Request": "true"}).content.decode()
    assert "<html" not in part
    assert "<html" in desk_client.get(address(plan)).content.decode()
    bad = owner_client.post(address(plan), {"title": "", "boost_kpa-low": "much"})
    assert bad.status_code == 422
    assert "much" in bad.content.decode()


def test_the_match_takes_few_queries(owner_client, django_assert_max_num_queries):
    plan = make_a_plan(turbo=known_turbo())
    with django_assert_max_num_queries(15):
        owner_client.get(address(plan))
