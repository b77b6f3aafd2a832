"""The intake: one answer an item, nothing twice, nothing lost, no server error on anything that is sent."""

import json
import uuid
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from measurements.guided.models import SheetEntry
from measurements.intake.actions import make_token, revoke_token
from measurements.readings.models import Point, Reading, Withdrawal
from shop.jobs.models import JobCard
from tests.builders import make_job
from tests.measurements.phone.builders import make_proving_job


def point(job, **more):
    return {
        "kind": "point", "id": str(uuid.uuid4()), "job": job.pk, "phase": "before", "speed_rpm": 1600, "load_pct": 100,
        "values": {"exhaust_temperature_c": 520.0}, **more,
    }  # fmt: skip


def send(client, *items, **more):
    answer = client.post("/api/v1/entries", json.dumps({"items": items, **more}), content_type="application/json")
    assert answer.status_code == 200, answer.content
    return answer.json()["answers"]


@pytest.fixture
def job(technician):
    return make_job(technician)


def test_the_same_item_twice_is_stored_once_and_answered_alike(technician_client, job):
    item = point(job)
    first, second = send(technician_client, item)[0], send(technician_client, item)[0]
    assert first == second
    assert first["state"] == "stored"
    assert Point.objects.count() == Reading.objects.count() == 1


def test_the_same_id_with_other_content_is_refused_and_the_first_stays(technician_client, job):
    item = point(job)
    send(technician_client, item)
    answer = send(technician_client, {**item, "values": {"exhaust_temperature_c": 530.0}})[0]
    assert (answer["state"], answer["code"]) == ("refused", 409)
    assert Reading.objects.get().value == 520.0


def test_a_bad_item_does_not_take_the_others_with_it(technician_client, job):
    bad = [
        point(job, values={"exhaust_temperature_c": 4000}),
        point(job, values={"exhaust_temperature_c": "hot"}),
        point(job, values={"gold": 3}),
        point(job, values={}),
        {**point(job), "job": 999_999},
        point(job, places={"exhaust_temperature_c": "glove_box"}),
        point(job, note="\x00"),
        {"kind": "gossip"},
        "text",
    ]
    answers = send(technician_client, *bad, point(job))
    assert [a["state"] for a in answers] == ["refused"] * len(bad) + ["stored"]
    assert all(a["reason"] for a in answers[:-1])
    assert "4000" in answers[0]["reason"].replace(",", "")
    assert "1,100" in answers[0]["reason"]
    assert Point.objects.count() == 1


def test_a_reading_beyond_a_stop_limit_is_answered_with_stop_and_what_to_do(technician_client, technician):
    job, run = make_proving_job(technician)
    item = point(job, phase="after", run=run.pk, values={"exhaust_temperature_c": 790.0, "boost_kpa": 85.0})
    answer = send(technician_client, item)[0]
    assert answer["verdict"] == "stop"
    assert "Take the load off now" in answer["do_now"][0]


def test_a_point_is_taken_back_once_and_stays_in_the_history(technician_client, job):
    item = point(job)
    send(technician_client, item)
    back = {"kind": "withdrawal", "id": str(uuid.uuid4()), "point": item["id"]}
    assert [send(technician_client, back)[0]["state"] for _ in range(2)] == ["stored", "stored"]
    assert Withdrawal.objects.count() == 1
    assert not Point.objects.exists()
    assert Point.everything.count() == 1
    assert not Reading.objects.standing().exists()
    assert job.events.filter(kind="taken back").count() == 1
    assert send(technician_client, item)[0]["state"] == "stored"  # sent again late: it is there, and still taken back
    assert not Point.objects.exists()


def test_what_was_never_stored_cannot_be_taken_back(technician_client, job):
    answer = send(technician_client, {"kind": "withdrawal", "id": str(uuid.uuid4()), "point": str(uuid.uuid4())})[0]
    assert answer["code"] == 404


def test_findings_of_a_guided_sheet_add_up_and_can_be_taken_back(technician_client, job):
    entry = {
        "kind": "entry",
        "id": str(uuid.uuid4()),
        "job": job.pk,
        "sheet": "leak_test",
        "item": "test_pressure_kpa",
        "value": 100.0,
    }
    assert send(technician_client, entry, entry)[1]["state"] == "stored"
    assert SheetEntry.objects.count() == 1
    assert send(technician_client, {**entry, "value": 90.0})[0]["code"] == 409
    assert send(technician_client, {**entry, "id": str(uuid.uuid4()), "value": 900.0})[0]["code"] == 422
    assert send(technician_client, {**entry, "id": str(uuid.uuid4()), "value": None})[0]["state"] == "stored"
    assert SheetEntry.objects.oldest_first().last().is_taken_back


@pytest.mark.parametrize("days", [-1, 0, 1, -20000])
def test_a_wrong_clock_on_the_phone_does_not_move_the_reading(technician_client, job, days):
    wrong = timezone.now() + timedelta(days=days)
    send(technician_client, point(job, made_at=(wrong - timedelta(minutes=7)).isoformat()), sent_at=wrong.isoformat())
    stored = Point.objects.get()
    assert abs(stored.taken_at - (timezone.now() - timedelta(minutes=7))) < timedelta(seconds=20)
    assert abs(stored.device_at - (wrong - timedelta(minutes=7))) < timedelta(seconds=1)
    assert stored.received_at >= stored.taken_at


def test_a_stranger_is_told_to_log_in_and_the_desk_that_it_may_not(client, desk_client, job):
    for who, status in ((client, 401), (desk_client, 403)):
        answer = who.post("/api/v1/entries", json.dumps({"items": [point(job)]}), content_type="application/json")
        assert answer.status_code == status
        assert answer.json()["detail"]
    assert not Reading.objects.exists()
    assert client.get("/api/v1/me").status_code == 401
    assert client.get("/api/v1/openapi.json").status_code == 302


def test_a_log_in_without_the_csrf_token_stores_nothing(technician, job):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(technician, backend="django.contrib.auth.backends.ModelBackend")
    body = json.dumps({"items": [point(job)]})
    assert strict.post("/api/v1/entries", body, content_type="application/json").status_code == 403
    token = strict.get("/api/v1/me").json()["csrf_token"]
    answer = strict.post("/api/v1/entries", body, content_type="application/json", headers={"X-CSRFToken": token})
    assert answer.json()["answers"][0]["state"] == "stored"


def test_a_box_sends_with_its_key_until_it_is_revoked(owner, job):
    token, key = make_token("logger in bay 1", owner)
    assert key not in token.key_hash
    box, body = (
        Client(enforce_csrf_checks=True, headers={"Authorization": f"Bearer {key}"}),
        json.dumps({"items": [point(job)]}),
    )
    assert box.post("/api/v1/entries", body, content_type="application/json").status_code == 200
    assert Point.objects.get().box == token
    assert "logger in bay 1" in job.events.get(kind="reading").text
    revoke_token(token)
    assert box.post("/api/v1/entries", body, content_type="application/json").status_code == 401


def test_too_much_at_once_is_refused_in_words(technician_client, job):
    many = technician_client.post(
        "/api/v1/entries", json.dumps({"items": [point(job)] * 101}), content_type="application/json"
    )
    assert many.status_code == 422
    large = technician_client.post(
        "/api/v1/entries", json.dumps({"items": ["x" * 600_000]}), content_type="application/json"
    )
    assert large.status_code == 413
    assert "512 kB" in large.json()["detail"]
    assert technician_client.post("/api/v1/entries", "{", content_type="application/json").status_code == 400


def test_the_sheet_holds_nothing_of_the_customer(technician_client, technician):
    job, run = make_proving_job(technician)
    job = JobCard.objects.with_people().get(pk=job.pk)
    answer = technician_client.get(f"/api/v1/jobs/{job.pk}/sheet")
    assert answer.json()["run"] == run.pk
    assert answer.json()["bands"]["by_quantity"]["boost_kpa"]["low"]
    text = answer.content.decode() + technician_client.get("/api/v1/jobs").content.decode()
    for private in (job.vehicle.registration, job.vehicle.customer.name, job.vehicle.customer.phone, job.wish):
        assert private not in text


def test_an_old_address_leads_to_the_same_place_with_what_was_sent(technician_client):
    """308 Permanent Redirect keeps method and content (RFC 9110, section 15.4.9)."""
    answer = technician_client.post("/api/entries", json.dumps({"items": []}), content_type="application/json")
    assert (answer.status_code, answer.url) == (308, "/api/v1/entries")
    assert technician_client.get("/api/jobs?since=1").url == "/api/v1/jobs?since=1"
