"""The placement page: verdicts from typed measures, what is not known, and what is refused."""

import re

import pytest
from django.urls import reverse

from tests.builders import make_turbo
from tests.sizing.builders import make_a_plan

pytestmark = pytest.mark.django_db


def look(client, turbo, **typed):
    return client.get(reverse("sizing:placement", args=[turbo.pk]), typed)


def text_of(response):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))


def test_space_left_is_the_difference_of_the_measures(technician_client):
    turbo = make_turbo(length_mm=210, width_mm=190, height_mm=180)
    page = text_of(look(technician_client, turbo, length_mm="260", width_mm="240", height_mm="215"))
    assert "on plan Space at least 35 mm are left, in height" in page  # 215 - 180
    page = text_of(look(technician_client, turbo, length_mm="260", width_mm="240", height_mm="170"))
    assert "off plan Space the space is 10 mm short in height" in page  # 180 - 170


def test_a_drain_that_does_not_fall_stops(owner_client):
    page = text_of(look(owner_client, make_turbo(), drain_deg="92", drain_fall_mm="40", drain_bore_mm="16"))
    assert "stop Oil drain" in page
    page = text_of(look(owner_client, make_turbo(), drain_deg="10", drain_fall_mm="200", drain_bore_mm="16"))
    assert "on plan Oil drain" in page


def test_clocking_by_steps_and_freely(owner_client):
    stepped, free = make_turbo(clocking_step_deg=30), make_turbo(clocking_step_deg=0)
    assert "turn the housing 60° clockwise" in text_of(look(owner_client, stepped, outlet_deg="90", wanted_deg="155"))
    assert "turn the housing 100° anticlockwise" in text_of(look(owner_client, free, outlet_deg="10", wanted_deg="270"))


def test_each_housing_turns_in_steps_of_its_own(owner_client):
    """Six bolts are 60° apart, eight 45°: from 90° to 150° one reaches, the other stops 15° short, more than a pipe takes up (10°)."""
    turbo = make_turbo(clocking_step_deg=45, turbine_clocking_step_deg=60)
    page = text_of(
        look(owner_client, turbo, outlet_deg="90", wanted_deg="150", turbine_deg="90", turbine_wanted_deg="150")
    )
    assert "off plan Compressor housing turn the housing 45° clockwise" in page
    assert "the nearest is 15° off" in page
    assert "on plan Turbine housing turn the housing 60° clockwise" in page


def test_the_step_of_one_housing_says_nothing_of_the_other(owner_client):
    turbine = {"turbine_deg": "90", "turbine_wanted_deg": "150"}
    page = text_of(look(owner_client, make_turbo(clocking_step_deg=45, turbine_clocking_step_deg=None), **turbine))
    assert "no verdict yet Turbine housing it is not known in what steps the turbine housing turns" in page
    page = text_of(
        look(
            owner_client,
            make_turbo(clocking_step_deg=None, turbine_clocking_step_deg=0),
            outlet_deg="0",
            wanted_deg="90",
            **turbine,
        )
    )
    assert "no verdict yet Compressor housing it is not known in what steps the compressor housing turns" in page
    assert "on plan Turbine housing turn the housing 60° clockwise" in page
    page = text_of(look(owner_client, make_turbo(turbine_clocking_step_deg=0.5), **turbine))
    assert "finer than any bolt ring" in page


def test_joints_name_the_adapter(owner_client):
    turbo = make_turbo(compressor_outlet_mm=45, turbine_flange="four studs 60 mm")
    page = text_of(look(owner_client, turbo, pipe_mm="57", manifold_flange="three studs"))
    assert "reducer 57 mm to 45 mm" in page
    assert "adapter plate from three studs to four studs 60 mm" in page


def test_both_sides_and_both_housings_are_looked_at(owner_client):
    turbo = make_turbo(compressor_inlet_mm=60, outlet_flange="five bolts", turbine_clocking_step_deg=30)
    page = text_of(
        look(
            owner_client,
            turbo,
            intake_mm="61",
            exhaust_flange="Five  bolts",
            turbine_deg="350",
            turbine_wanted_deg="20",
        )
    )
    assert "on plan Intake pipe port and pipe agree" in page  # 1 mm apart; a clamp takes up 2 mm (common practice)
    assert "on plan Flange to the exhaust pipe the flanges are the same" in page
    assert "Turbine housing turn the housing 30° clockwise" in page  # from 350° over 0° to 20°
    page = text_of(look(owner_client, make_turbo(), intake_mm="61", exhaust_flange="x"))
    assert "the diameter of the compressor inlet is not known" in page
    assert "flange to the exhaust pipe is not known" in page


def test_plan_and_compare_lead_to_the_place_of_each_turbo(owner_client):
    turbo = make_turbo(housing_area_mm2=380, wastegate=True)
    plan = make_a_plan(turbo=turbo)
    there = reverse("sizing:placement", args=[turbo.pk])
    assert there in owner_client.get(plan.get_absolute_url()).content.decode()
    measures = {"length_mm": "260.5", "width_mm": "1240", "height_mm": "215"}
    page = owner_client.get(reverse("sizing:compare", args=[plan.pk]), measures).content.decode()
    assert f"{there}?plan={plan.pk}&amp;length_mm=260.5&amp;width_mm=1240.0&amp;height_mm=215.0" in page
    assert look(owner_client, turbo, length_mm="260.5", width_mm="1240.0", height_mm="215.0").status_code == 200


def test_the_place_leads_back_to_the_plan_that_led_there(technician_client):
    turbo = make_turbo()
    plan = make_a_plan(turbo=turbo)
    back = f'href="{plan.get_absolute_url()}"'
    first = look(technician_client, turbo, plan=str(plan.pk)).content.decode()
    assert back in first
    assert "Nothing is typed yet" not in first  # the plan is no measure
    assert f'name="plan" value="{plan.pk}"' in first  # so that the answer leads back too
    assert back in look(technician_client, turbo, plan=str(plan.pk), drain_deg="steep").content.decode()


@pytest.mark.parametrize("number", ["", "0", "99", "9" * 30, "x", "-1", "²", "1.5"])
def test_a_plan_that_is_not_there_leaves_the_place_as_it_is(technician_client, number):
    response = look(technician_client, make_turbo(), plan=number)
    assert response.status_code == 200
    assert "Back to the plan" not in response.content.decode()


def test_what_the_catalogue_does_not_know_is_said(owner_client):
    turbo = make_turbo(length_mm=None)
    page = text_of(
        look(
            owner_client,
            turbo,
            length_mm="260",
            width_mm="240",
            height_mm="215",
            outlet_deg="0",
            wanted_deg="90",
            pipe_mm="50",
            manifold_flange="x",
        )
    )
    assert page.count("no verdict yet") == 4
    assert "the envelope of this turbo is not known" in page


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"drain_deg": "steep"}, "steep"),
        ({"drain_deg": "200", "drain_fall_mm": "1", "drain_bore_mm": "12"}, "Allowed: 0 to 180 °"),
        ({"length_mm": "200"}, "Not typed yet: free space, width"),
        ({"outlet_deg": "90"}, "compressor outlet shall point to"),
        ({"turbine_deg": "90"}, "turbine flange shall point to"),
        ({"intake_mm": "5"}, "Allowed: 10 to 300 mm"),
    ],
)
def test_bad_measures_are_refused_and_kept(owner_client, typed, says):
    response = look(owner_client, make_turbo(), **typed)
    assert response.status_code == 422
    assert says in text_of(response) or says in response.content.decode()
    assert next(iter(typed.values())) in response.content.decode()


def test_nothing_typed_shows_the_form_alone(desk_client):
    turbo = make_turbo()
    assert "Oil drain, smallest bore" in text_of(look(desk_client, turbo))
    assert reverse("sizing:placement", args=[turbo.pk]) in desk_client.get(turbo.get_absolute_url()).content.decode()
