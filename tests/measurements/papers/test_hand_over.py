import re
from datetime import timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.urls import reverse

from measurements.papers.sheet import NoPdf, sheet_pdf
from measurements.proving import moves
from measurements.proving.actions import decide
from measurements.readings.actions import record_point
from shop.papers.models import HandOver
from tests.builders import today
from tests.measurements.builders import job_in_run, planned_job

pytestmark = pytest.mark.any_hour
GOOD = {"exhaust_temperature_c": 560.0, "boost_kpa": 80.0}


@pytest.fixture
def ready(owner):
    job, run = job_in_run(owner)
    record_point(job, "after", 2800, 100, GOOD, owner)
    decide(run, "keep", "as planned", owner)
    return job


def filled(**fields):
    return {"on": str(today()), "received_by": "A. Ruthane", "meter_reading": "120450", "note": "keys, two"} | fields


def address(job, name="hand_over"):
    return reverse(f"measurements:{name}", args=[job.pk])


def text_of(response):
    return re.sub(r"\s+", " ", response.content.decode())


def test_the_desk_hands_over_once_however_often_it_sends(ready, desk_client):
    for _ in range(2):
        assert desk_client.post(address(ready), filled()).status_code == 302
    row = HandOver.objects.get()
    assert (row.received_by, row.meter_reading) == ("A. Ruthane", 120450)
    ready.refresh_from_db()
    assert ready.stage == "handed_over"
    assert "Handed over to A. Ruthane" in text_of(desk_client.get(address(ready)))


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"received_by": ""}, "required"),
        ({"on": "2199-01-01"}, "in the future"),
        ({"on": "1999-01-01"}, "before the job was opened"),
        ({"meter_reading": "-3"}, "outside what is possible"),
        ({"meter_reading": "12"}, "below the 120,000 on arrival".replace(",", "")),
    ],
)
def test_what_cannot_be_is_refused_with_the_rest_kept(ready, desk_client, fields, words):
    ready.meter_reading = 120000
    ready.save()
    response = desk_client.post(address(ready), filled(**fields))
    assert response.status_code == 422
    assert words in text_of(response)
    assert "keys, two" in text_of(response)
    assert not HandOver.objects.exists()


def test_a_job_that_is_not_proved_is_not_handed_over(owner, desk_client, owner_client):
    job, _ = job_in_run(owner)
    page = text_of(desk_client.get(address(job)))
    assert "Not ready to be handed over" in page
    assert '<form method="post" class="form' not in page
    assert desk_client.post(address(job), filled()).status_code == 422
    assert owner_client.post(address(job), filled()).status_code == 422, "the owner needs a reason"
    assert owner_client.post(address(job), filled(reason="he needs it for the harvest")).status_code == 302
    assert "he needs it for the harvest" in text_of(owner_client.get(address(job, "hand_over_sheet")))


def test_a_technician_does_not_hand_over(ready, technician_client):
    assert technician_client.post(address(ready), filled()).status_code == 403
    assert not HandOver.objects.exists()


def test_someone_without_the_right_to_override_is_stopped_by_the_action_as_well(owner, desk):
    job, _ = job_in_run(owner)
    with pytest.raises(PermissionDenied):
        moves.hand_over_job(job, today() - timedelta(days=1), "x", desk, reason="please")
    assert not HandOver.objects.exists()


def test_the_sheet_holds_figures_care_cautions_and_the_law(ready, desk_client):
    page = text_of(desk_client.get(address(ready, "hand_over_sheet")))
    for part in (
        "Hand-over sheet",
        "plunger 9 mm",
        "560",
        "idle two to five minutes",
        "Ask the local authority",
        "Hot parts",
        "as planned",
        "650 to 720 °C",
        "First check",
    ):
        assert part in page, part


def test_the_local_rules_of_the_workshop_are_printed(ready, desk_client, workshop):
    workshop.local_rules = "Show the vehicle at the inspection office within 30 days."
    workshop.save()
    page = text_of(desk_client.get(address(ready, "hand_over_sheet")))
    assert "within 30 days" in page
    assert (
        "Ask the local authority"
        not in page.split("What the law may ask")[1].split("Passed over")[0].split("Taking off")[0]
    )


def test_the_sheet_of_a_job_with_nothing_in_it_still_stands(owner, desk_client):
    page = text_of(desk_client.get(address(planned_job(owner, stage="booked"), "hand_over_sheet")))
    assert "not handed over yet" in page
    assert "Nothing was read" in page


def test_the_sheet_as_pdf_or_the_print_page(ready, desk_client, monkeypatch):
    try:
        assert sheet_pdf(ready).startswith(b"%PDF")
        assert desk_client.get(address(ready, "hand_over_pdf"))["Content-Type"] == "application/pdf"
    except NoPdf:
        pass

    def missing(job):
        raise NoPdf("no libraries here")

    monkeypatch.setattr("measurements.papers.views.sheet_pdf", missing)
    response = desk_client.get(address(ready, "hand_over_pdf"))
    assert response.url == address(ready, "hand_over_sheet")
