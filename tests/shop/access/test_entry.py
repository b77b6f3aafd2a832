import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.urls import reverse

from shop.access.models import Person
from shop.workshop.models import Workshop
from tests.builders import make_person, make_workshop

GOOD = {
    "full_name": "Oona Brask",
    "username": "oona",
    "password": "a long enough sentence",
    "name": "Highland",
    "altitude_m": "2600",
    "time_zone": "America/Bogota",
    "currency": "EUR",
    "pressure_unit": "bar",
    "temperature_unit": "°C",
    "power_unit": "kW",
    "torque_unit": "Nm",
}


@pytest.mark.django_db
def test_first_visit_leads_to_the_set_up_page_whatever_was_asked(client):
    for path in ("/", "/log-in/", "/jobs/7/"):
        assert client.get(path)["Location"] == "/set-up/"


@pytest.mark.django_db
def test_set_up_makes_workshop_and_owner_and_closes_for_good(client):
    assert client.get("/set-up/").status_code == 200
    assert client.post("/set-up/", GOOD)["Location"] == reverse("shop:login")
    assert Workshop.objects.get().altitude_m == 2600
    owner = Person.objects.get()
    assert owner.groups.get().name == "owner"
    assert client.get("/set-up/").status_code == 302
    client.post("/set-up/", GOOD | {"username": "second"})
    assert Person.objects.count() == 1
    assert client.post("/log-in/", {"username": "oona", "password": GOOD["password"]})["Location"] == "/"


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("altitude_m", "9000", "Allowed: -400 to 5500"),
        ("altitude_m", "high", "is not a number"),
        ("time_zone", "Middle/Earth", "is not a time zone"),
        ("password", "short", "12"),
        ("password", "password1234", "common"),
        ("name", "", "required"),
    ],
)
def test_bad_set_up_says_what_is_wrong_and_keeps_what_was_typed(client, field, value, message):
    response = client.post("/set-up/", GOOD | {field: value})
    page = response.content.decode()
    assert response.status_code == 422
    assert message in page
    assert 'value="Oona Brask"' in page
    assert not Workshop.objects.exists()


@pytest.mark.django_db
def test_every_page_but_a_few_asks_for_log_in(client):
    make_workshop()
    for path in ("/", "/jobs/new/", "/jobs/1/", "/customers/", "/workshop/"):
        assert client.get(path)["Location"].startswith("/log-in/"), path
    for path in ("/log-in/", "/safety/", "/light/", "/health/live", "/health/ready"):
        assert client.get(path).status_code == 200, path


@pytest.mark.django_db
def test_logged_out_inside_a_fragment_leaves_the_page(client):
    make_workshop()
    response = client.get("/jobs/1/", headers={"HX-Request": "true"})
    assert response.status_code == 200
    assert response["HX-Redirect"].startswith("/log-in/")


@pytest.mark.django_db
def test_log_in_page_leads_to_the_safety_notes_and_they_say_what_comes_first(client):
    make_workshop()
    assert reverse("shop:safety") in client.get("/log-in/").content.decode()
    page = client.get("/safety/").content.decode()
    assert "local codes" in page.lower()
    assert "licensed practice" in page
    for word in ("Runaway", "Hot parts", "High-pressure fuel", "Exhaust gas", "Dyno", "Brakes", "Emission"):
        assert word in page


@pytest.mark.django_db
def test_guessing_passwords_is_stopped_for_a_while(client, settings):
    settings.AXES_ENABLED = True
    make_workshop()
    make_person(username="oona")
    for _ in range(6):
        response = client.post("/log-in/", {"username": "oona", "password": "wrong"})
    assert response.status_code == 429
    assert "fifteen minutes" in response.content.decode()


@pytest.mark.django_db
def test_light_is_kept_on_the_device_and_leads_back_only_to_our_own_pages(client):
    make_workshop()
    response = client.post("/light/", {"theme": "night", "back": "https://elsewhere.example/"})
    assert response["Location"] == "/"
    assert client.cookies["theme"].value == "night"
    assert 'data-theme="night"' in client.get("/log-in/").content.decode()


@pytest.mark.django_db
@pytest.mark.parametrize("kept", [None, "", "twilight", '"><b>'])
def test_without_a_light_that_was_chosen_here_the_device_is_followed(client, kept):
    make_workshop()
    if kept is not None:
        client.cookies["theme"] = kept
    assert "data-theme" not in client.get("/log-in/").content.decode()


def test_night_is_the_same_night_whether_chosen_or_preferred_by_the_device():
    sheet = Path(finders.find("shop/app.css")).read_text()
    chosen = re.search(r':root\[data-theme="night"\] {(.*?)}', sheet, re.DOTALL)[1].split()
    preferred = re.search(r"prefers-color-scheme: dark\) {\s*:root:not\(\[data-theme\]\) {(.*?)}", sheet, re.DOTALL)[1]
    assert "--sheet:" in chosen
    assert preferred.split() == chosen


@pytest.mark.django_db
def test_every_answer_carries_the_content_security_policy(client):
    make_workshop()
    for path in ("/log-in/", "/nothing/", "/safety/"):
        policy = client.get(path)["Content-Security-Policy"]
        assert "default-src 'self'" in policy
        assert "unsafe" not in policy
        assert re.search(r"frame-ancestors 'none'", policy)


@pytest.mark.django_db
@pytest.mark.parametrize("back", ["e", "25:61", "//elsewhere.example/", "https://elsewhere.example/", "shop:home"])
def test_choosing_the_light_leads_to_no_other_place(client, back):
    make_workshop()
    answer = client.post("/light/", {"theme": "night", "back": back})
    assert answer.status_code == 302
    assert "elsewhere" not in answer["Location"]
