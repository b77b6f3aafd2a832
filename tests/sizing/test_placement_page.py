"""The placement page: verdicts from typed measures, what is not known, and what is refused."""

import re

import pytest
from django.urls import reverse

from tests.builders import make_turbo

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


def test_joints_name_the_adapter(owner_client):
    turbo = make_turbo(compressor_outlet_mm=45, turbine_flange="four studs 60 mm")
    page = text_of(look(owner_client, turbo, pipe_mm="57", manifold_flange="three studs"))
    assert "reducer 57 mm to 45 mm" in page
    assert "adapter plate from three studs to four studs 60 mm" in page


def test_what_the_catalogue_does_not_know_is_said(owner_client):
    turbo = make_turbo(length_mm=None)
    page = text_of(look(owner_client, turbo, length_mm="260", width_mm="240", height_mm="215", outlet_deg="0", wanted_deg="90", pipe_mm="50", manifold_flange="x"))
    assert page.count("no verdict yet") == 4
    assert "the envelope of this turbo is not known" in page


@pytest.mark.parametrize(("typed", "says"), [
    ({"drain_deg": "steep"}, "steep"), ({"drain_deg": "200", "drain_fall_mm": "1", "drain_bore_mm": "12"}, "Allowed: 0 to 180 °"),
    ({"length_mm": "200"}, "Not typed yet: free space, width"), ({"outlet_deg": "90"}, "compressor outlet shall point to"),
])
def test_bad_measures_are_refused_and_kept(owner_client, typed, says):
    response = look(owner_client, make_turbo(), **typed)
    assert response.status_code == 422
    assert says in text_of(response) or says in response.content.decode()
    assert next(iter(typed.values())) in response.content.decode()


def test_nothing_typed_shows_the_form_alone(desk_client):
    turbo = make_turbo()
    assert "Oil drain, smallest bore" in text_of(look(desk_client, turbo))
    assert reverse("sizing:placement", args=[turbo.pk]) in desk_client.get(turbo.get_absolute_url()).content.decode()
