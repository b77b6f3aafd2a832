import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shop.jobs.actions import EditCrossed, change_job
from shop.jobs.models import JobCard
from shop.people.models import Customer, Vehicle
from tests.builders import FACTS, make_customer, make_job, make_vehicle

NEW = {
    "customer-name": "Mirel Tovak",
    "customer-phone": "+00 555 0171",
    "customer-language": "Arvani",
    "vehicle-registration": "HL 4471",
    "vehicle-make_and_model": "Korvenne Hallow",
    "vehicle-use": "road",
    "vehicle-meter": "km",
    "vehicle-year": "1994",
    "job-wish": "More pull on the pass",
    "job-budget": "1800,50",
    "job-due_on": "2026-12-01",
    "job-meter_reading": "154 000",
}


def test_walk_in_makes_customer_vehicle_and_job_in_one_go(desk_client):
    response = desk_client.post("/jobs/new/", NEW | {"post_id": str(uuid.uuid4())})
    job = JobCard.objects.get()
    assert response["Location"] == f"/jobs/{job.pk}/"
    assert job.stage == "booked"
    assert str(job.budget) == "1800.50"
    assert job.meter_reading == 154000
    assert job.vehicle.customer.name == "Mirel Tovak"
    assert job.events.get().kind == "opened"


def test_a_second_tap_opens_no_second_job(desk_client):
    post = NEW | {"post_id": str(uuid.uuid4())}
    first, second = desk_client.post("/jobs/new/", post), desk_client.post("/jobs/new/", post)
    assert first["Location"] == second["Location"]
    assert (JobCard.objects.count(), Vehicle.objects.count(), Customer.objects.count()) == (1, 1, 1)


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("job-budget", "-5", "Budget: -5 is outside"),
        ("job-budget", "lots", "is not a number"),
        ("customer-phone", "call", "too few digits"),
        ("vehicle-year", "1822", "Allowed: 1920"),
        ("job-wish", "", "required"),
        ("job-due_on", "soon", "valid date"),
    ],
)
def test_bad_job_card_says_what_is_wrong_and_keeps_the_rest(desk_client, field, value, message):
    response = desk_client.post("/jobs/new/", NEW | {field: value})
    page = response.content.decode()
    assert response.status_code == 422
    assert message in page
    assert "Mirel Tovak" in page
    assert not JobCard.objects.exists()
    assert not Customer.objects.exists()


def test_half_filled_form_is_refused_field_by_field(desk_client):
    response = desk_client.post("/jobs/new/", {"customer-name": "Mirel Tovak"})
    assert response.status_code == 422
    assert response.content.decode().count("This field is required") >= 5


def test_numbers_run_on_within_a_year(owner):
    assert [make_job(owner).number for _ in range(3)] == ["2026-0001", "2026-0002", "2026-0003"]


def test_list_searches_filters_sorts_and_keeps_its_state_in_the_address(desk_client, owner):
    make_job(owner, make_vehicle(make_customer(name="Aldo Ferrin"), registration="AA 1"))
    make_job(owner, make_vehicle(make_customer(name="Zita Quill"), registration="ZZ 9"), stage="called_off")
    page = desk_client.get("/?q=ferrin").content.decode()
    assert "AA 1" in page
    assert "ZZ 9" not in page
    assert "ZZ 9" not in desk_client.get("/").content.decode()
    assert "ZZ 9" in desk_client.get("/?stage=called_off").content.decode()
    by_customer = desk_client.get("/?stage=all&sort=-customer").content.decode()
    assert by_customer.index("Zita Quill") < by_customer.index("Aldo Ferrin")
    assert "stage=all&amp;sort=customer" in by_customer
    assert "No job matches" in desk_client.get("/?q=nobody").content.decode()


def test_list_asks_no_more_of_the_database_for_forty_jobs_than_for_two(desk_client, owner):
    desk_client.get("/")  # the first visit also asks whether the workshop is set up
    counts = []
    for more in (2, 38):
        for _ in range(more):
            make_job(owner)
        with CaptureQueriesContext(connection) as queries:
            assert desk_client.get("/").status_code == 200
        counts.append(len(queries))
    assert counts[0] == counts[1] <= 12


def test_job_page_tells_facts_history_and_the_next_thing(desk_client, owner):
    job = make_job(owner, facts=FACTS)
    page = desk_client.get(f"/jobs/{job.pk}/").content.decode()
    assert "8 to 10 mm" in page
    assert "guessed" in page
    assert "job card opened" in page
    assert "Safety notes" in page


def test_an_edit_that_crossed_with_another_is_shown_and_overwrites_nothing(desk_client, owner):
    job = make_job(owner)
    change_job(job, 1, {"wish": "Something else"}, owner)
    response = desk_client.post(
        f"/jobs/{job.pk}/edit/", {"version": "1", "wish": "My wish", "budget": "", "due_on": "", "meter_reading": ""}
    )
    page = response.content.decode()
    assert response.status_code == 409
    assert "My wish" in page
    assert "Something else" in page
    job.refresh_from_db()
    assert job.wish == "Something else"
    with pytest.raises(EditCrossed):
        change_job(job, 1, {"wish": "again"}, owner)


def test_an_edit_is_told_in_the_history(desk_client, owner):
    job = make_job(owner)
    desk_client.post(
        f"/jobs/{job.pk}/edit/",
        {"version": "1", "wish": "Tow a boat", "budget": "900", "due_on": "", "meter_reading": ""},
    )
    assert "Tow a boat" in job.events.get(kind="changed").text


PIXEL = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c49444154789c63f8cfc0000003010100c9fe92ef0000000049454e44ae426082"
)


def test_photo_is_kept_and_shown_only_to_people_who_are_logged_in(technician_client, client, owner):
    job = make_job(owner)
    upload = SimpleUploadedFile("bay.png", PIXEL, content_type="image/png")
    response = technician_client.post(
        f"/jobs/{job.pk}/photos/new/", {"image": upload, "caption": "engine bay", "post_id": str(uuid.uuid4())}
    )
    assert response.status_code == 302, response.content.decode()
    photo = job.photos.get()
    assert b"".join(technician_client.get(f"/photos/{photo.pk}/").streaming_content) == PIXEL
    assert client.get(f"/photos/{photo.pk}/").status_code == 302


def test_a_text_file_is_no_photo(technician_client, owner):
    job = make_job(owner)
    upload = SimpleUploadedFile("bay.png", b"time,rpm\n1,2\n", content_type="image/png")
    response = technician_client.post(f"/jobs/{job.pk}/photos/new/", {"image": upload})
    assert response.status_code == 422
    assert "valid image" in response.content.decode()
    assert not job.photos.exists()


def test_printed_card_carries_a_code_that_leads_to_the_job(desk_client, owner):
    job = make_job(owner)
    page = desk_client.get(f"/jobs/{job.pk}/card/").content.decode()
    assert "<svg" in page
    assert f"http://testserver/jobs/{job.pk}/" in page
