"""Pump, pipes and oil on the plan page, and the owner's own limits of the turbo."""

import json

import pytest
from django.core.management import call_command

from sizing.plans.actions import change_plan
from sizing.plans.answer.match_answers import match_answer
from sizing.plans.cases import case_of
from sizing.plans.solve import checked
from tests.builders import make_air_cleaner, make_turbo
from tests.sizing.builders import make_a_plan
from tests.sizing.plans.test_plan_page import address, page_of, text_of, typed

pytestmark = pytest.mark.django_db


def row(plan, name):
    return next((check for check in checked(plan) if check.name == name), None)


def test_what_is_not_known_is_named_with_what_to_measure(owner_client):
    text = text_of(page_of(owner_client, make_a_plan()))
    assert "8 more limits are not held" in text
    assert "Oil drain, narrowest bore. Measure fitting and hose." in text
    assert "Injection duration, crank angle. Read the lift over ten degrees" in text


def test_a_fact_once_typed_is_held_first_when_it_is_worst(owner_client):
    plan = make_a_plan()
    owner_client.post(
        address("keep_plan", plan), typed(owner_client, plan, oil_drain_deg__low="90", oil_drain_deg__origin="measured")
    )
    answer = owner_client.get(address("plan", plan)).context["answer"]
    assert (answer.limits[0].verdict, answer.limits[0].label) == ("stop", "Oil drain, from straight down")
    assert answer.sentence.startswith("Oil drain, from straight down is 90 °, 55 ° above the limit of 35 °")
    assert "rpm" not in answer.limits[0].at_speed
    assert len(answer.not_held) == 7


def test_a_range_counts_as_a_range(owner_client):
    plan = make_a_plan({"oil_feed_kpa": (150, 240, "told")})
    answer = owner_client.get(address("plan", plan)).context["answer"]
    oil = next(limit for limit in answer.limits if limit.label.startswith("Oil pressure"))
    assert oil.verdict == "near_edge"
    assert "its measure is a range, and the true value may lie between 150 and 240 kPa" in oil.note


def test_the_air_cleaner_brings_its_service_loss(owner_client):
    plan = make_a_plan(air_cleaner=make_air_cleaner(loss_service_kpa=7.5))
    assert row(plan, "service_restriction_max_kpa").verdict == "off_plan"


def test_part_facts_do_not_move_the_figures():
    bare, full = (
        make_a_plan(),
        make_a_plan(
            {"intake_bore_mm": (60, 60, "measured"), "oil_feed_kpa": (300, 300, "measured")}, title="With parts"
        ),
    )
    assert row(bare, "lambda_min_ratio").value == row(full, "lambda_min_ratio").value


def test_the_owner_sets_limits_of_turbo_and_parts_with_their_source(owner_client):
    turbo = make_turbo(turbine_flow_kg_s=0.10)
    plan = make_a_plan({"oil_feed_kpa": (150, 150, "measured")}, turbo=turbo)
    usual = {limit.label: limit for limit in match_answer(case_of(plan)).limits}
    assert usual["Compressor tip speed"].limit == "500 m/s"
    change_plan(
        plan, own_limits={"tip_speed_max_m_s": (300.0, "our own wheels"), "oil_feed_min_kpa": (100.0, "data sheet")}
    )
    plan = type(plan).objects.with_parts().get(pk=plan.pk)
    own = {limit.label: limit for limit in match_answer(case_of(plan)).limits}
    assert (own["Compressor tip speed"].limit, own["Compressor tip speed"].source) == (
        "300 m/s",
        "own limit: our own wheels",
    )
    assert (row(plan, "oil_feed_min_kpa").verdict, row(plan, "oil_feed_min_kpa").source) == (
        "on_plan",
        "own limit: data sheet",
    )


def test_the_shell_holds_them_too(tmp_path, capsys):
    file = tmp_path / "plan.json"
    file.write_text(json.dumps({
        "injection": "indirect",
        "inputs": {
            "displacement_l": 2.5, "cylinder_count": 4, "rated_power_kw": 56, "rated_speed_rpm": 4000, "boost_kpa": 90,
            "plunger_diameter_as_built_mm": 6, "plunger_diameter_mm": 7, "plunger_speed_mm_deg": [0.2, 0.3], "oil_drain_deg": 20,
        },
        "limits": {"injection_duration_max_deg": 25},
    }))  # fmt: skip
    call_command("plan", str(file), "--json")
    answer = json.loads(capsys.readouterr().out)
    held = {limit["name"]: limit for limit in answer["limits"]}
    assert held["injection_duration_max_deg"]["limit"] == 25
    assert held["oil_drain_max_deg"]["verdict"] == "on_plan"
    assert set(answer["not_held"]) >= {"pump_share_max_pct", "charge_speed_max_m_s"}
