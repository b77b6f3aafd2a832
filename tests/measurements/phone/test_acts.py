"""Signing, starting and the steps of a run as a phone sends them: once, at the time of the press, and never past a check."""

import json
import uuid
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from measurements.intake.actions import make_token
from measurements.phone.actions import NotAllowed, start_on_phone
from measurements.phone.models import Act
from measurements.proving.models import ProvingRun
from measurements.readings.models import Point
from shop.fitting.actions import record_fitment
from shop.safety.models import SafetySignOff
from shop.safety.notes import CHECKS
from tests.measurements.builders import plan_of, planned_job, proving_job
from tests.measurements.intake.test_intake import point, send


@pytest.fixture
def job(technician):
    """Fitted, nothing signed, still fitting: as the phone meets it on its first visit."""
    return proving_job(technician, signed=False)


def sign(job, check, round_number=1, **more):
    return {"kind": "sign_off", "id": str(uuid.uuid4()), "job": job.pk, "round": round_number, "check": check, **more}


def signatures(job, round_number=1):
    return [sign(job, check.slug, round_number) for check in CHECKS]


def start(job, **more):
    return {"kind": "start", "id": str(uuid.uuid4()), "job": job.pk, "plan": plan_of(job).pk, **more}


def test_signatures_start_and_readings_of_one_batch_are_stored_in_their_order(technician_client, job):
    begun = start(job)
    reading = point(job, phase="after", start=begun["id"], values={"boost_kpa": 40.0})
    answers = send(technician_client, *signatures(job), begun, reading)
    assert {a["state"] for a in answers} == {"stored"}
    run = ProvingRun.objects.get()
    assert (answers[-2]["run"], answers[-2]["run_number"]) == (run.pk, 1)
    assert Point.objects.get().run == run
    job.refresh_from_db()
    assert job.stage == "proving"
    assert job.events.filter(kind="safety").count() == len(CHECKS)


def test_a_run_is_refused_while_one_check_is_not_signed_and_so_are_its_readings(technician_client, job):
    begun = start(job)
    reading = point(job, phase="after", start=begun["id"], values={"boost_kpa": 40.0})
    answers = send(technician_client, *signatures(job)[:-1], begun, reading)
    assert [a["state"] for a in answers[-2:]] == ["refused", "refused"]
    assert "Safety checks not signed: People know their place" in answers[-2]["reason"]
    assert "start of this proving run is not stored" in answers[-1]["reason"]
    assert not ProvingRun.objects.exists()
    job.refresh_from_db()
    assert job.stage == "fitting"
    answers = send(
        technician_client, signatures(job)[-1], begun, reading
    )  # the same, sent again after the last signature
    assert {a["state"] for a in answers} == {"stored"}


def test_sent_twice_is_stored_once_and_other_content_is_refused(technician_client, job):
    items = [*signatures(job), start(job)]
    assert send(technician_client, *items) == send(technician_client, *items)
    assert (SafetySignOff.objects.count(), ProvingRun.objects.count(), Act.objects.count()) == (
        len(CHECKS),
        1,
        len(CHECKS) + 1,
    )
    assert send(technician_client, {**items[0], "note": "looked twice"})[0]["code"] == 409


@pytest.mark.any_hour
def test_signatures_count_only_for_the_fitment_that_was_looked_at(technician, technician_client, job):
    record_fitment(job, technician, turbo=plan_of(job).turbo, plunger_diameter_mm=10)
    answer = send(technician_client, sign(job, "oil"))[0]
    assert answer["state"] == "refused"
    assert "Something else was fitted" in answer["reason"]
    assert not SafetySignOff.objects.exists()


def test_the_first_signature_stays_and_the_answer_names_it(technician, technician_client, owner_client, job):
    send(technician_client, sign(job, "oil"))
    assert send(owner_client, sign(job, "oil"))[0]["told"] == [f"Signed by {technician}."]
    assert SafetySignOff.objects.get().by == technician


@pytest.mark.any_hour
@pytest.mark.parametrize("days", [-1, 0, 1, -20000])
def test_the_time_is_that_of_the_press_whatever_the_clock_says(technician_client, job, days):
    wrong = timezone.now() + timedelta(days=days)
    pressed = {"made_at": (wrong - timedelta(minutes=7)).isoformat()}
    items = [{**item, **pressed} for item in [*signatures(job), start(job)]]
    send(technician_client, *items, sent_at=wrong.isoformat())
    true = timezone.now() - timedelta(minutes=7)
    for at in (SafetySignOff.objects.first().at, ProvingRun.objects.get().started_at):
        assert abs(at - true) < timedelta(seconds=20)


@pytest.mark.any_hour
def test_a_run_never_begins_before_its_last_signature(technician_client, job):
    """A clock that was set between the two presses."""
    now = timezone.now()
    send(technician_client, *signatures(job), sent_at=now.isoformat())
    send(technician_client, start(job, made_at=(now - timedelta(hours=3)).isoformat()), sent_at=now.isoformat())
    assert ProvingRun.objects.get().started_at == SafetySignOff.objects.last().at


def test_no_box_and_nobody_without_the_role_signs_or_starts(owner, desk, desk_client, job):
    _, key = make_token("logger in bay 1", owner)
    box = Client(headers={"Authorization": f"Bearer {key}"})
    for answer in send(box, sign(job, "oil"), start(job)):
        assert answer["code"] == 403
        assert "A box cannot" in answer["reason"]
    with pytest.raises(NotAllowed):
        start_on_phone(job, plan_of(job).pk, desk, uuid.uuid4())
    assert not Act.objects.exists()


def test_what_is_not_there_is_said_by_name(technician, technician_client, job):
    bare = planned_job(technician, stage="fitting")
    cases = [
        (sign(job, "luck"), "'luck' is not a safety check"),
        (sign(bare, "oil"), "Record what was fitted first"),
        ({**start(job), "plan": 999_999}, "Plan 999999 is not a plan of this job"),
        ({"kind": "run_step", "id": str(uuid.uuid4()), "job": job.pk, "step": "cool_down"}, "which proving run"),
        ({"kind": "run_step", "id": str(uuid.uuid4()), "job": job.pk, "step": "nap"}, "oil_unreadable"),
    ]
    answers = send(technician_client, *(item for item, _ in cases))
    assert [answer["state"] for answer in answers] == ["refused"] * len(cases)
    for answer, (_, words) in zip(answers, cases, strict=True):
        assert words in answer["reason"]


def test_a_start_while_a_run_is_open_finds_that_run(technician_client, owner_client, job):
    send(technician_client, *signatures(job), start(job))
    assert send(owner_client, start(job))[0]["run"] == ProvingRun.objects.get().pk


def test_unreadable_oil_and_the_idling_at_the_end_are_written_into_the_run(technician_client, job):
    begun = start(job)
    steps = [
        {"kind": "run_step", "id": str(uuid.uuid4()), "job": job.pk, "start": begun["id"], "step": "oil_unreadable"},
        {
            "kind": "run_step",
            "id": str(uuid.uuid4()),
            "job": job.pk,
            "start": begun["id"],
            "step": "cool_down",
            "seconds": 180,
        },
    ]
    send(technician_client, *signatures(job), begun, *steps, *steps)
    sheet = technician_client.get(f"/api/v1/jobs/{job.pk}/sheet?phase=after").json()
    assert (sheet["warm"], sheet["cooled_down"]) == ("unreadable", True)
    texts = [event.text for event in job.events.filter(kind="proving")]
    assert sum("oil temperature cannot be read" in t for t in texts) == 1
    assert sum("180 s at idle" in t for t in texts) == 1


def test_warm_oil_is_seen_from_the_readings(technician_client, job):
    begun = start(job)
    cold = point(job, phase="after", start=begun["id"], load_pct=0, values={"oil_temperature_c": 69.0})
    warm = point(job, phase="after", start=begun["id"], load_pct=0, values={"oil_temperature_c": 70.0})
    send(technician_client, *signatures(job), begun, cold)
    assert technician_client.get(f"/api/v1/jobs/{job.pk}/sheet?phase=after").json()["warm"] == ""
    send(technician_client, warm)
    assert technician_client.get(f"/api/v1/jobs/{job.pk}/sheet?phase=after").json()["warm"] == "oil"


def test_the_sheet_says_what_is_signed_by_whom(technician, technician_client, job):
    send(technician_client, sign(job, "oil"))
    told = technician_client.get(f"/api/v1/jobs/{job.pk}/sheet?phase=after").json()["start"]
    assert told["in_the_way"] == []
    assert {c["slug"]: c["signed_by"] for c in told["checks"]}["oil"] == str(technician)
    assert sum(not c["signed_by"] for c in told["checks"]) == len(CHECKS) - 1
    json.dumps(told)
