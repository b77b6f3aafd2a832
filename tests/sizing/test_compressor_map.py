"""A compressor map on a turbo: units, reference state, what is refused, and the real measured map."""

import csv

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from sizing.models import MapPoint
from tests.builders import make_turbo

pytestmark = pytest.mark.django_db

HEADER = "speed_rpm,flow,pressure_ratio,efficiency\n"
MAP = HEADER + """\
80000,0.03,1.45,0.66
80000,0.05,1.42,0.72
80000,0.07,1.30,0.65
120000,0.05,2.10,0.67
120000,0.08,2.05,0.74
120000,0.10,1.80,0.66
"""
SETTINGS = {"flow_unit": "kg/s", "efficiency_in": "fraction", "map_temperature_k": "298", "map_pressure_kpa": "100"}


@pytest.fixture
def turbo(workshop):
    return make_turbo()


def upload(client, turbo, text=MAP, **settings):
    file = SimpleUploadedFile("map.csv", text if isinstance(text, bytes) else text.encode())
    return client.post(reverse("sizing:import_map", args=[turbo.pk]), SETTINGS | settings | {"file": file})


def confirm(client, turbo, response):
    form = response.context["form"]
    return client.post(reverse("sizing:confirm_map", args=[turbo.pk]), {name: form[name].value() for name in form.fields})


def test_a_map_is_shown_then_stored_and_drawn_with_labelled_lines(owner_client, turbo):
    response = upload(owner_client, turbo)
    assert response.status_code == 200
    assert "2 speed lines with 6 points" in response.content.decode()
    assert not MapPoint.objects.exists()
    assert confirm(owner_client, turbo, response).status_code == 302
    page = owner_client.get(turbo.get_absolute_url()).content.decode()
    assert page.count('<text class="end"') == 2
    assert ">80,000<" in page
    assert ">120,000<" in page


def test_storing_twice_leaves_one_map(owner_client, turbo):
    response = upload(owner_client, turbo)
    confirm(owner_client, turbo, response)
    confirm(owner_client, turbo, response)
    assert MapPoint.objects.count() == 6


# 1 lb = 0.45359237 kg (NIST SP 811, exact); 1 cubic foot = 0.0283168466 m³ (same).
# Density of dry air at 298 K and 100 kPa: 100000 / (287.05 x 298) = 1.1690 kg/m³ (gas constant of air, ISO 2533).
@pytest.mark.parametrize(("unit", "flow", "kg_s"), [
    ("lb/min", 10, 0.0755987),
    ("kg/h", 180, 0.05),
    ("m³/s", 0.05, 0.05845),
    ("ft³/min", 100, 0.0471947 * 1.1690),
])
def test_flow_comes_in_the_unit_that_was_chosen(owner_client, turbo, unit, flow, kg_s):
    rows = "".join(f"{speed},{flow * share},{ratio},0.7\n" for speed, ratio in ((80000, 1.4), (120000, 2)) for share in (1, 1.2, 1.4))
    confirm(owner_client, turbo, upload(owner_client, turbo, HEADER + rows, flow_unit=unit))
    assert MapPoint.objects.first().flow_kg_s == pytest.approx(kg_s, rel=5e-4)


def test_the_reference_state_is_kept_with_the_turbo(owner_client, turbo):
    response = upload(owner_client, turbo, map_temperature_k="302,6", map_pressure_kpa="96.2")
    confirm(owner_client, turbo, response)
    turbo.refresh_from_db()
    assert (turbo.map_temperature_k, turbo.map_pressure_kpa) == (302.6, 96.2)


def in_pct(text):
    lines = text.splitlines()
    return "\n".join([lines[0], *(f"{a},{b},{c},{float(d) * 100:g}" for a, b, c, d in (row.split(",") for row in lines[1:]))])


def test_efficiency_in_per_cent_is_refused_unless_the_person_says_so(owner_client, turbo):
    refused = upload(owner_client, turbo, in_pct(MAP))
    assert refused.status_code == 422
    assert "choose &#x27;in per cent&#x27;" in refused.content.decode()
    confirm(owner_client, turbo, upload(owner_client, turbo, in_pct(MAP), efficiency_in="pct"))
    assert MapPoint.objects.first().efficiency_ratio == pytest.approx(0.66)


@pytest.mark.parametrize(("text", "given", "why"), [
    (HEADER + "80000,0.03,1.4,0.7\n80000,0.05,1.4,0.7\n80000,0.07,1.3,0.7\n", {}, "needs two speed lines or more"),
    (MAP + "160000,0.1,3,0.7\n", {}, "has 1 points; it needs three"),
    (MAP.replace("120000,0.05,2.10", "120000,0.05,1.20"), {}, "80,000 and 120,000 rpm cross"),
    (MAP.replace("80000,0.05,1.42", "80000,0.03,1.42"), {}, "two points at the same flow"),
    (MAP.replace("1.45", "45"), {}, "Allowed: 1.01 to 8"),
    (MAP.replace("0.03,", "wide,"), {}, "is not a number"),
    (MAP, {"flow_unit": ""}, "This field is required"),
    (MAP, {"flow_unit": "m³/h"}, "is 9.742e-06 kg/s in the unit that was chosen"),
    (MAP, {"map_temperature_k": "25"}, "25 is outside what is possible. Allowed: 250 to 330 K"),
    (MAP.replace("flow,", "flow_kg_s,"), {"flow_unit": "lb/min"}, "named flow_kg_s, but lb/min was chosen"),
    (b"", {}, "The file is empty"),
    (b"\x89PNG\x00\xff\xd8", {}, "This is not a text file"),
    ("a,b\n1,2\n", {}, "No column named speed_rpm"),
])
def test_a_map_that_would_mislead_is_refused_with_its_reason(owner_client, turbo, text, given, why):
    response = upload(owner_client, turbo, text, **given)
    assert response.status_code == 422
    assert why in response.content.decode()
    assert not MapPoint.objects.exists()


def test_a_confirmation_without_its_file_asks_for_it_again(owner_client, turbo):
    response = owner_client.post(reverse("sizing:confirm_map", args=[turbo.pk]), SETTINGS)
    assert response["Location"] == reverse("sizing:import_map", args=[turbo.pk])


def test_the_map_that_goes_out_comes_in_again(owner_client, turbo):
    confirm(owner_client, turbo, upload(owner_client, turbo))
    text = owner_client.get(reverse("sizing:map_csv", args=[turbo.pk])).content
    before = list(MapPoint.objects.values_list("speed_rpm", "flow_kg_s", "pressure_ratio", "efficiency_ratio"))
    confirm(owner_client, turbo, upload(owner_client, turbo, text))
    assert list(MapPoint.objects.values_list("speed_rpm", "flow_kg_s", "pressure_ratio", "efficiency_ratio")) == before


def test_a_measured_map_with_drifting_speeds_is_read_as_its_lines(owner_client, turbo, shared_data):
    """A radial compressor of an open NASA archive, measured at 70 to 105 % of its 21,789 rpm; speeds drift by a few turns."""
    rows = list(csv.DictReader((shared_data / "compressor-map" / "vaned-diffuser.csv").open()))
    lines = [f"{row['NCRPM']},{row['MDOTC']},{row['TPR70']},{row['ETA70']}" for row in rows]
    settings = {"flow_unit": "lb/s", "map_temperature_k": "288.15", "map_pressure_kpa": "101.325"}
    response = upload(owner_client, turbo, HEADER + "\n".join(lines), **settings)
    assert response.context["preview"].speeds_read == 92
    confirm(owner_client, turbo, response)
    speeds = sorted(set(MapPoint.objects.values_list("speed_rpm", flat=True)))
    assert [speed / 21_789 for speed in speeds] == pytest.approx([0.70, 0.75, 0.85, 0.90, 0.95, 1.00, 1.05], abs=0.002)
    assert MapPoint.objects.count() == 92
