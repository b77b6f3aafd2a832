"""A compressor map on a turbo: units, reference state, what is refused, and the real measured map."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from sizing.catalogue.models import MapPoint
from tests.builders import make_turbo
from tests.reference import rows_of

pytestmark = pytest.mark.django_db

HEADER = "speed_rpm,flow,pressure_ratio,efficiency\n"
MAP = (
    HEADER
    + """\
80000,0.03,1.45,0.66
80000,0.05,1.42,0.72
80000,0.07,1.30,0.65
120000,0.05,2.10,0.67
120000,0.08,2.05,0.74
120000,0.10,1.80,0.66
"""
)
SETTINGS = {
    "flow_unit": "kg/s",
    "efficiency_unit": "ratio",
    "temperature": "298",
    "temperature_unit": "K",
    "pressure": "100",
    "pressure_unit": "kPa",
}


@pytest.fixture
def turbo(workshop):
    return make_turbo()


def upload(client, turbo, text=MAP, **settings):
    file = SimpleUploadedFile("map.csv", text if isinstance(text, bytes) else text.encode())
    return client.post(reverse("sizing:import_map", args=[turbo.pk]), SETTINGS | settings | {"file": file})


def confirm(client, turbo, response):
    form = response.context["form"]
    return client.post(
        reverse("sizing:confirm_map", args=[turbo.pk]), {name: form[name].value() for name in form.fields}
    )


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
@pytest.mark.parametrize(
    ("unit", "flow", "kg_s"),
    [("lb/min", 10, 0.0755987), ("kg/h", 180, 0.05), ("m³/s", 0.05, 0.05845), ("ft³/min", 100, 0.0471947 * 1.1690)],
)
def test_flow_comes_in_the_unit_that_was_chosen(owner_client, turbo, unit, flow, kg_s):
    rows = "".join(
        f"{speed},{flow * share},{ratio},0.7\n"
        for speed, ratio in ((80000, 1.4), (120000, 2))
        for share in (1, 1.2, 1.4)
    )
    confirm(owner_client, turbo, upload(owner_client, turbo, HEADER + rows, flow_unit=unit))
    assert MapPoint.objects.first().flow_kg_s == pytest.approx(kg_s, rel=5e-4)


def test_the_reference_state_is_kept_with_the_turbo(owner_client, turbo):
    response = upload(owner_client, turbo, temperature="302,6", pressure="96.2")
    confirm(owner_client, turbo, response)
    turbo.refresh_from_db()
    assert (turbo.map_temperature_k, turbo.map_pressure_kpa) == (302.6, 96.2)


# 25 °C is 298.15 K by definition; 14.5 psi = 14.5 x 6.894757 kPa, 28.4 inHg = 28.4 x 3.386389 kPa (NIST SP 811).
@pytest.mark.parametrize(
    ("typed", "kelvin", "kpa"),
    [
        ({"temperature": "25", "temperature_unit": "°C", "pressure": "0,962", "pressure_unit": "bar"}, 298.15, 96.2),
        ({"temperature": "85", "temperature_unit": "°F", "pressure": "14.5", "pressure_unit": "psi"}, 302.594, 99.974),
        (
            {"temperature": "545", "temperature_unit": "°R", "pressure": "28.4", "pressure_unit": "inHg"},
            302.778,
            96.1734,
        ),
    ],
)
def test_the_reference_state_comes_in_the_unit_that_was_said(owner_client, turbo, typed, kelvin, kpa):
    response = upload(owner_client, turbo, **typed)
    assert f"typed: {typed['temperature'].replace(',', '.')}" in response.content.decode()
    confirm(owner_client, turbo, response)
    turbo.refresh_from_db()
    assert (turbo.map_temperature_k, turbo.map_pressure_kpa) == pytest.approx((kelvin, kpa), rel=1e-5)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        (
            {"temperature": "298", "temperature_unit": "°C"},
            "Reference temperature of the map: 298 °C is outside what is possible. Allowed: -23.15 to 56.85 °C",
        ),
        (
            {"pressure": "100", "pressure_unit": "bar"},
            "Reference pressure of the map, absolute: 100 bar is outside what is possible. Allowed: 0.6 to 1.1 bar",
        ),
        (
            {"pressure": "1", "pressure_unit": "psi"},
            "1 psi is outside what is possible. Allowed: 8.7 to 15.95 psi",
        ),  # 60 and 110 kPa
        ({"temperature": "warm"}, "Reference temperature of the map: &#x27;warm&#x27; is not a number"),
        ({"temperature": ""}, "This field is required"),
        ({"pressure_unit": "furlong"}, "furlong is not one of the available choices"),
    ],
)
def test_an_error_of_the_state_speaks_in_the_unit_that_was_typed(owner_client, turbo, typed, says):
    response = upload(owner_client, turbo, **typed)
    assert response.status_code == 422
    assert says in response.content.decode()
    assert not MapPoint.objects.exists()


def with_headings(*names):
    return MAP.replace(HEADER.strip(), ",".join(names))


# The units stand in the headings; 0.03 lb/s is 0.03 x 0.45359237 kg/s, 80,000 rad/s cannot be a turbo (764,000 rpm).
@pytest.mark.parametrize(
    ("names", "kg_s"),
    [
        (("speed_rpm", "flow_lb_s", "pressure_ratio", "efficiency_ratio"), 0.0136078),
        (("Speed [rpm]", "Flow (kg/s)", "Pressure ratio", "Efficiency, ratio"), 0.03),
        (("speed rpm", "flow [m³/s]", "pressure_ratio", "efficiency fraction"), 0.03 * 1.1690),
    ],
)
def test_units_are_read_from_the_headings(owner_client, turbo, names, kg_s):
    text = with_headings(*(f'"{name}"' if "," in name else name for name in names))
    confirm(owner_client, turbo, upload(owner_client, turbo, text, flow_unit="", efficiency_unit=""))
    assert MapPoint.objects.first().flow_kg_s == pytest.approx(kg_s, rel=5e-4)


def test_speeds_in_thousands_and_per_cent_come_from_the_headings_too(owner_client, turbo):
    text = in_pct(with_headings("speed_krpm", "flow_kg_s", "pressure_ratio", "efficiency_pct").replace("000,0.", ",0."))
    confirm(owner_client, turbo, upload(owner_client, turbo, text, flow_unit="", efficiency_unit=""))
    first = MapPoint.objects.first()
    assert (first.speed_rpm, first.efficiency_ratio) == (80000, pytest.approx(0.66))


@pytest.mark.parametrize(
    ("names", "says"),
    [
        (
            ("speed", "flow_kg_s", "pressure_ratio", "efficiency_ratio"),
            "The heading &#x27;speed&#x27; does not say its unit",
        ),
        (
            ("speed_rpm", "flow_lbs", "pressure_ratio", "efficiency_ratio"),
            "names the unit &#x27;lbs&#x27;, which is not known for it. Allowed: kg/s, g/s",
        ),
        (
            ("speed_rad/s", "flow_kg_s", "pressure_ratio", "efficiency_ratio"),
            "80000 rad/s is outside what is possible. Allowed: 104.7 to 41,888 rad/s",
        ),
        (
            ("speed_rpm", "flow_kg_s", "pressure_ratio", "efficiency"),
            "The heading &#x27;efficiency&#x27; does not say its unit",
        ),
    ],
)
def test_a_heading_that_says_no_unit_or_a_strange_one_is_refused(owner_client, turbo, names, says):
    response = upload(owner_client, turbo, with_headings(*names), flow_unit="", efficiency_unit="")
    assert response.status_code == 422
    assert says in response.content.decode()


def test_an_efficiency_error_speaks_in_the_unit_of_the_file(owner_client, turbo):
    response = upload(owner_client, turbo, in_pct(MAP).replace(",66\n", ",6\n", 1), efficiency_unit="%")
    assert "6 % is outside what is possible. Allowed: 10 to 95 %" in response.content.decode()


def test_the_map_is_shown_in_the_units_of_the_shop(owner_client, turbo, workshop):
    workshop.pressure_unit, workshop.temperature_unit = "psi", "°F"
    workshop.save()
    page = owner_client.get(reverse("sizing:import_map", args=[turbo.pk])).content.decode()
    assert '<option value="psi" selected>' in page
    assert '<option value="°F" selected>' in page
    preview = upload(owner_client, turbo)
    assert "76.73 °F and 14.504 psi absolute" in preview.content.decode()  # 298 K; 100 kPa / 6.894757
    confirm(owner_client, turbo, preview)
    assert "76.73 °F and 14.504 psi absolute" in owner_client.get(turbo.get_absolute_url()).content.decode()
    again = owner_client.get(reverse("sizing:import_map", args=[turbo.pk])).content.decode()
    assert 'value="76.73"' in again


def test_the_preview_shows_flows_as_the_file_has_them_beside_the_stored_ones(owner_client, turbo):
    page = upload(
        owner_client, turbo, MAP.replace(",0.0", ",").replace(",0.10,", ",10,"), flow_unit="g/s"
    ).content.decode()
    assert "3 to 7</td>" in page
    assert "0.0030 to 0.0070" in page


def in_pct(text):
    lines = text.splitlines()
    return "\n".join(
        [lines[0], *(f"{a},{b},{c},{float(d) * 100:g}" for a, b, c, d in (row.split(",") for row in lines[1:]))]
    )


def test_efficiency_in_per_cent_is_refused_unless_the_person_says_so(owner_client, turbo):
    refused = upload(owner_client, turbo, in_pct(MAP))
    assert refused.status_code == 422
    assert "gives efficiency in per cent, say so" in refused.content.decode()
    confirm(owner_client, turbo, upload(owner_client, turbo, in_pct(MAP), efficiency_unit="%"))
    assert MapPoint.objects.first().efficiency_ratio == pytest.approx(0.66)


@pytest.mark.parametrize(
    ("text", "given", "why"),
    [
        (HEADER + "80000,0.03,1.4,0.7\n80000,0.05,1.4,0.7\n80000,0.07,1.3,0.7\n", {}, "needs two speed lines or more"),
        (MAP + "160000,0.1,3,0.7\n", {}, "has 1 points; it needs three"),
        (MAP.replace("120000,0.05,2.10", "120000,0.05,1.20"), {}, "80,000 and 120,000 rpm cross"),
        (MAP.replace("80000,0.05,1.42", "80000,0.03,1.42"), {}, "two points at the same flow"),
        (MAP.replace("1.45", "45"), {}, "Allowed: 1.01 to 8"),
        (MAP.replace("0.03,", "wide,"), {}, "is not a number"),
        (MAP, {"flow_unit": ""}, "The heading &#x27;flow&#x27; does not say its unit"),
        (MAP, {"flow_unit": "m³/h"}, "0.03 m³/h is outside what is possible. Allowed: 1.54 to 30,79"),
        (MAP, {"temperature": "25"}, "25 K is outside what is possible. Allowed: 250 to 330 K"),
        (MAP.replace("flow,", "flow_kg_s,"), {"flow_unit": "lb/min"}, "named flow_kg_s, but lb/min was chosen"),
        (b"", {}, "The file is empty"),
        (b"\x89PNG\x00\xff\xd8", {}, "This is a picture (PNG), not a table"),
        ("a,b\n1,2\n", {}, "No column named speed, flow"),
    ],
)
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


def test_a_measured_map_with_drifting_speeds_is_read_as_its_lines(owner_client, turbo):
    """A radial compressor of an open NASA archive, measured at 70 to 105 % of its 21,789 rpm; speeds drift by a few turns."""
    rows = rows_of("compressor-archive.csv")
    lines = [f"{row['NCRPM']},{row['MDOTC']},{row['TPR70']},{row['ETA70']}" for row in rows]
    settings = {"flow_unit": "lb/s", "temperature": "288.15", "pressure": "101.325"}
    response = upload(owner_client, turbo, HEADER + "\n".join(lines), **settings)
    assert response.context["preview"].speeds_read == 92
    confirm(owner_client, turbo, response)
    speeds = sorted(set(MapPoint.objects.values_list("speed_rpm", flat=True)))
    assert [speed / 21_789 for speed in speeds] == pytest.approx([0.70, 0.75, 0.85, 0.90, 0.95, 1.00, 1.05], abs=0.002)
    assert MapPoint.objects.count() == 92
