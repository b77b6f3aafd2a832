"""Check days, refusals and the demo go by the day of the workshop; the server keeps UTC."""

from datetime import UTC, datetime, timedelta

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from measurements.bench.curves.actions import record_curve
from measurements.bench.smoke.actions import start_smoke_test
from measurements.bench.smoke.models import SmokeTest
from measurements.bench.smoke.page import SmokePage
from measurements.intake.actions import make_token
from measurements.logs.actions import name_instruments, receive_log
from measurements.logs.pulls.checks import judge_pulls
from measurements.logs.reading import read_log
from measurements.management.commands import load_demo
from measurements.readings.actions import record_point
from measurements.readings.gauges import curve_gauge_notes
from measurements.readings.instruments import Instrument
from measurements.verdict.bench_tests import JudgedSmoke
from measurements.verdict.findings import judge_all
from shop.clock import workshop_clock
from shop.fitting.actions import record_fitment
from shop.papers.models import HandOver
from tests.builders import make_job
from tests.measurements.builders import job_in_run, plan_of, planned_job
from tests.measurements.intake.test_intake import point, send
from tests.measurements.logs.log_files import pull_log
from tests.measurements.phone.test_acts import sign
from tests.shop.test_clock import ZONES, day_there

pytestmark = pytest.mark.django_db


def said_of_a_reading(job, run, gauge, by):
    taken = record_point(job, "after", 2800, 100, {"boost_kpa": 80.0}, by, run=run, instruments={"boost_kpa": gauge})
    return judge_all([taken], run.plan)[0].told[0].sentence


def said_of_a_curve(job, run, gauge, by):
    points = [(1500, 100.0), (3000, 105.0)]
    return " ".join(map(str, curve_gauge_notes(record_curve(job, "after", "brake", points, by, instrument=gauge))))


def said_of_a_pull(job, run, gauge, by):
    log = read_log(receive_log(job, "after", "run.csv", pull_log(), by), None, by)
    name_instruments(log, {log.columns.get(quantity="boost_kpa").pk: gauge}, by)
    return " ".join(told.sentence for told in judge_pulls(log.pulls.all(), run.plan, "after")[0].told)


def said_of_smoke(job, run, gauge, by):
    test = start_smoke_test(job, "after", "free", 85.0, by, limit_reason="paper says turbocharged", meter=gauge)
    notes = " ".join(map(str, JudgedSmoke(SmokeTest.objects.with_snaps().get(pk=test.pk)).gauge_notes))
    assert SmokePage(test).meter_is_overdue == bool(notes)
    return notes


@pytest.mark.any_hour
@pytest.mark.parametrize("zone", ZONES)
@pytest.mark.parametrize(
    ("said", "quantity"),
    [
        (said_of_a_reading, "boost_kpa"),
        (said_of_a_curve, "torque_nm"),
        (said_of_a_pull, "boost_kpa"),
        (said_of_smoke, "smoke_k_per_m"),
    ],
)
@pytest.mark.parametrize("days_over", [0, 1])
def test_a_gauge_is_past_its_check_day_when_that_day_is_over_in_the_workshop(
    workshop, owner, zone, said, quantity, days_over
):
    workshop.time_zone = zone
    workshop.save()
    job, run = job_in_run(owner)
    due = day_there(zone) - timedelta(days=days_over)
    gauge = Instrument.objects.create(
        name="bay gauge", quantity=quantity, uncertainty=2, low=-500, high=5000, check_due_on=due
    )
    with workshop_clock():
        assert ("past its check day" in said(job, run, gauge, owner)) == bool(days_over)


@pytest.mark.any_hour
@pytest.mark.parametrize("zone", ZONES)
def test_the_hand_over_form_offers_today_and_refuses_tomorrow(workshop, owner, owner_client, zone):
    workshop.time_zone = zone
    workshop.save()
    job, _ = job_in_run(owner)
    today, address = day_there(zone), reverse("measurements:hand_over", args=[job.pk])
    assert f'value="{today}"' in owner_client.get(address).content.decode()
    about = {"received_by": "A. Ruthane", "reason": "he needs it for the harvest"}
    answer = owner_client.post(address, about | {"on": today + timedelta(days=1)})
    assert (answer.status_code, "in the future" in answer.content.decode()) == (422, True)
    assert owner_client.post(address, about | {"on": today}).status_code == 302
    assert HandOver.objects.get().on == today


# 2026-03-02 at 02:10 UTC is 21:10 of the day before in the workshop.
FITTED_AT = datetime(2026, 3, 2, 2, 10, tzinfo=UTC)


@pytest.fixture
def fitted(owner):
    job = planned_job(owner, stage="fitting", at=FITTED_AT - timedelta(days=3))
    record_fitment(job, owner, at=FITTED_AT, turbo=plan_of(job).turbo, plunger_diameter_mm=9)
    return job


@pytest.mark.parametrize("with_key", [False, True], ids=["logged in", "box"])
def test_a_refused_reading_says_when_it_was_fitted_by_the_clock_of_the_workshop(fitted, owner, owner_client, with_key):
    client = Client(headers={"Authorization": f"Bearer {make_token('logger', owner)[1]}"}) if with_key else owner_client
    [answer] = send(client, point(fitted))
    assert "fitted on 01 Mar 2026:" in answer["reason"]


def test_a_refused_signature_says_when_it_was_fitted_by_the_clock_of_the_workshop(fitted, technician_client):
    [answer] = send(technician_client, sign(fitted, "people", round_number=7))
    assert "fitted on 01 Mar 2026, 21:10:" in answer["reason"]


def test_the_demo_is_filled_up_to_the_day_of_its_own_workshop(db, clock, monkeypatch):
    """The demo lies in UTC-5, as its name for the zone says."""
    clock.move_to(datetime(2027, 1, 1, 3, 0, tzinfo=UTC))
    days = []
    monkeypatch.setattr(load_demo, "load_demo", lambda today, say, seed: days.append(str(today)) or [])
    call_command("load_demo")
    assert days == ["2026-12-31"]


def test_a_job_opened_late_in_the_evening_can_be_handed_over_on_that_day(owner, owner_client, clock):
    clock.move_to(datetime(2026, 3, 2, 3, 0, tzinfo=UTC))
    job = make_job(owner, at=datetime(2026, 3, 2, 2, 30, tzinfo=UTC))
    about = {"on": "2026-03-01", "received_by": "A. Ruthane", "reason": "brought the wrong vehicle"}
    answer = owner_client.post(reverse("measurements:hand_over", args=[job.pk]), about)
    assert "before the job was opened" not in answer.content.decode()
