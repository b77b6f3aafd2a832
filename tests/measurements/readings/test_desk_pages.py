"""Readings, what is next, proving, before and after, curves, instruments: as the desk and the owner use them."""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from measurements.bench.curves.actions import record_curve
from measurements.bench.curves.models import PowerCurve
from measurements.proving.actions import decide, start_run
from measurements.proving.models import ProvingRun
from measurements.readings.actions import ReadingRefused, correct_reading, record_point
from measurements.readings.instruments import Instrument
from tests.answers import assert_not_for_this_role
from tests.measurements.builders import BANDS, job_in_run, plan_of, planned_job, proving_job


@pytest.fixture(autouse=True)
def _known_plan(monkeypatch):
    monkeypatch.setattr("measurements.verdict.findings.bands_at", lambda plan, speeds: dict.fromkeys(speeds, BANDS))


def get(client, name, *args, query=""):
    response = client.get(reverse(f"measurements:{name}", args=args) + query)
    assert response.status_code == 200
    return re.sub(r"\s+", " ", response.content.decode())


def test_readings_show_measured_beside_plan_with_the_verdict(technician, desk_client):
    job, _ = job_in_run(technician)
    record_point(job, "after", 2800, 100, {"boost_kpa": 45.0}, technician)
    page = get(desk_client, "readings", job.pk)
    for part in ("Proving run 1", '<span class="figure">45</span>', "plan 70 to 85", "off plan", "25 kPa below it"):
        assert part in page, part
    panel = get(desk_client, "readings_panel", job.pk)
    assert "plan 70 to 85" in panel
    assert "<html" not in panel


def test_an_empty_readings_page_says_what_will_stand_there(technician, desk_client):
    assert "will stand here" in get(desk_client, "readings", planned_job(technician).pk)


def test_a_corrected_value_is_struck_on_the_desk_page(technician, desk_client):
    job, _ = job_in_run(technician)
    point = record_point(job, "after", 2800, 100, {"boost_kpa": 45.0}, technician)
    correct_reading(point.readings.get(), 78.0, "wrong line", technician)
    page = get(desk_client, "readings", job.pk)
    assert "45</del>" in page
    assert "wrong line" in page


def test_readings_ask_no_more_of_the_database_for_many_runs_than_for_few(
    owner, owner_client, django_assert_max_num_queries
):
    job, run = job_in_run(owner)

    def one_more_run():
        for speed in range(1000, 2000, 100):
            record_point(job, "after", speed, 100, {"boost_kpa": 60.0, "oil_pressure_kpa": 300.0}, owner)
        decide(run, "change", "again", owner)
        return start_run(job, owner)

    run = one_more_run()
    get(owner_client, "readings", job.pk)  # what is kept for the next request is kept now
    with CaptureQueriesContext(connection) as few:
        get(owner_client, "readings", job.pk)
    for _ in range(3):
        run = one_more_run()
    with django_assert_max_num_queries(len(few)):
        get(owner_client, "readings", job.pk)


@pytest.mark.parametrize(
    ("stage", "words"),
    [
        ("booked", "Survey the engine"),
        ("agreed", "Take the baseline"),
        ("handed_over", "how it runs"),
        ("called_off", "called off"),
    ],
)
def test_what_is_next_by_stage(owner, owner_client, stage, words):
    assert words in get(owner_client, "next_panel", planned_job(owner, stage=stage).pk)


def test_what_is_next_while_proving(owner, owner_client):
    job = proving_job(owner)
    assert "Start the proving run" in get(owner_client, "next_panel", job.pk)
    job, run = job_in_run(owner)
    assert "take its readings" in get(owner_client, "next_panel", job.pk)
    record_point(job, "after", 2800, 100, {"boost_kpa": 80.0}, owner)
    assert "waits for the owner" in get(owner_client, "next_panel", job.pk)
    decide(run, "keep", "fine", owner)
    assert "Hand the vehicle over" in get(owner_client, "next_panel", job.pk)


def test_the_move_button_moves_and_twice_is_harmless(owner, owner_client):
    job = planned_job(owner, stage="agreed")
    record_point(job, "before", 2800, 100, {"smoke_opacity_pct": 30.0}, owner)
    for _ in range(2):
        assert owner_client.post(reverse("measurements:move", args=[job.pk]), {"to": "fitting"}).status_code == 302
    job.refresh_from_db()
    assert job.stage == "fitting"


def test_a_refused_move_says_what_is_missing_and_keeps_the_reason(owner, owner_client):
    job = proving_job(owner, signed=False)
    response = owner_client.post(reverse("measurements:move", args=[job.pk]), {"to": "proving", "reason": "in a hurry"})
    assert response.status_code == 422
    page = response.content.decode()
    assert "Safety checks not signed" in page
    assert "in a hurry" in page


def test_a_technician_does_not_pass_over_what_is_missing(owner, technician_client):
    job = planned_job(owner, stage="agreed")
    response = technician_client.post(
        reverse("measurements:move", args=[job.pk]), {"to": "fitting", "reason": "trust me"}
    )
    assert response.status_code == 403
    assert "Only the owner" in response.content.decode()


def test_a_stage_that_does_not_exist_is_refused(owner, owner_client):
    job = planned_job(owner)
    response = owner_client.post(reverse("measurements:move", args=[job.pk]), {"to": "moon"})
    assert response.status_code == 422
    stage = job.stage
    job.refresh_from_db()
    assert job.stage == stage


def test_the_owner_decides_on_the_proving_page(owner, owner_client):
    job, run = job_in_run(owner)
    record_point(job, "after", 2800, 100, {"boost_kpa": 80.0}, owner)
    address = reverse("measurements:decide", args=[run.pk])
    refused = owner_client.post(address, {"decision": "next", "reason": "", "next_title": "Cooler"})
    assert refused.status_code == 422
    assert 'value="Cooler"' in refused.content.decode()
    for _ in range(2):
        assert (
            owner_client.post(
                address, {"decision": "next", "reason": "cooler in spring", "next_title": "Cooler"}
            ).status_code
            == 302
        )
    page = get(owner_client, "proving", job.pk)
    for part in ("Keep now and plan the next stage", "cooler in spring", "Cooler", "Start a proving run"):
        assert part in page, part
    assert job.job_plans.count() == 2


def test_only_the_owner_decides(technician, technician_client, desk_client):
    job, run = job_in_run(technician)
    for client in (technician_client, desk_client):
        assert (
            client.post(reverse("measurements:decide", args=[run.pk]), {"decision": "keep", "reason": "x"}).status_code
            == 403
        )
    assert ProvingRun.objects.get().decision == ""
    assert "The owner decides" in get(technician_client, "proving", job.pk)


CSV = b"engine_speed_rpm,max_torque_Nm\n1000,95.71\n2000,118.65\n3000,134.47\n4000,118.65\n"


def send_curve(client, job, data=CSV, **fields):
    fields = {"phase": "before", "kind": "book", "file": SimpleUploadedFile("curve.csv", data)} | fields
    return client.post(reverse("measurements:add_curve", args=[job.pk]), fields)


def test_a_curve_comes_in_by_csv_and_is_drawn(technician, desk_client):
    """134.47 Nm at 3000 rpm; the highest power is 118.65 x 4000 / 9549.297 = 49.7 kW."""
    job = planned_job(technician)
    for _ in range(2):
        assert send_curve(desk_client, job).status_code == 302
    assert PowerCurve.objects.count() == 1
    page = get(desk_client, "before_after", job.pk)
    for part in ("134 Nm at 3,000 rpm before", "49.7 kW at 4,000 rpm before", "<svg"):
        assert part in page, part


def test_before_and_after_side_by_side_with_differences(owner, desk_client):
    job = planned_job(owner, stage="agreed")
    record_point(job, "before", 2800, 100, {"exhaust_temperature_c": 560.0, "smoke_opacity_pct": 40.0}, owner)
    record_curve(job, "before", "drum", [(1000, 100.0), (3000, 120.0)], owner, uncertainty_pct=4)
    job.stage = "proving"
    job.save()
    run = ProvingRun.objects.create(job=job, plan=plan_of(job), number=1, started_by=owner, started_at=job.opened_at)
    record_point(
        job,
        "after",
        2800,
        100,
        {"exhaust_temperature_c": 610.0, "smoke_opacity_pct": 25.0, "boost_kpa": 80.0},
        owner,
        run=run,
    )
    record_curve(job, "after", "drum", [(1000, 110.0), (3000, 168.0)], owner, run=run, uncertainty_pct=4)
    page = get(desk_client, "before_after", job.pk)
    for part in (
        "+50",
        "−15.0",
        "not read",
        "not noted on both days",
        '<td class="num" data-label="Gain, %">40</td>',
        "not corrected to standard air",
    ):
        assert part in page, part


def test_unlike_ways_are_said(owner, desk_client):
    job, run = job_in_run(owner)
    record_curve(job, "before", "book", [(1000, 100.0), (3000, 120.0)], owner)
    record_curve(job, "after", "drum", [(1000, 110.0), (3000, 168.0)], owner, run=run)
    page = get(desk_client, "before_after", job.pk)
    assert "found in different ways" in page
    assert "from a book, not measured here" in page


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"file": SimpleUploadedFile("x.csv", b"")}, "empty"),
        ({"file": SimpleUploadedFile("x.jpg", b"\xff\xd8\xff\xe0" + b"x" * 99)}, "photo"),
        ({"file": ""}, "Send a file, or type"),
        ({"file": "", "text": "rpm;torque_Nm\n1000;99999\n2000;100"}, "not physically possible"),
        ({"file": "", "text": "rpm;torque_Nm\n1000;90\n1000;100"}, "stands there twice"),
        ({"uncertainty_pct": "900"}, "outside what is possible"),
    ],
)
def test_a_curve_that_is_none_is_refused_with_what_was_typed(technician, technician_client, fields, words):
    response = send_curve(technician_client, planned_job(technician), **{"note": "third gear", **fields})
    assert response.status_code == 422
    assert words in response.content.decode()
    assert 'value="third gear"' in response.content.decode()
    assert not PowerCurve.objects.exists()


def test_the_action_refuses_a_curve_of_one_point(owner):
    with pytest.raises(ReadingRefused, match="at least two"):
        record_curve(planned_job(owner), "before", "drum", [(1000, 100.0)], owner)


def instrument(**fields):
    return {
        "name": "Boost gauge 2",
        "quantity": "boost_kpa",
        "low": "0",
        "high": "2.5",
        "uncertainty": "0.04",
        "check_due_on": "2020-01-01",
    } | fields


def test_an_instrument_is_typed_in_the_units_of_the_shop(owner_client, workshop):
    workshop.pressure_unit = "bar"
    workshop.save()
    assert owner_client.post(reverse("measurements:instrument_new"), instrument()).status_code == 302
    gauge = Instrument.objects.get()
    assert (gauge.low, gauge.high, gauge.uncertainty) == pytest.approx((0.0, 250.0, 4.0))
    page = get(owner_client, "instruments")
    assert "0.00 to 2.50 bar gauge" in page
    assert "± 0.04 bar" in page
    assert "overdue since 1 Jan 2020" in page
    assert 'value="2.5"' in get(owner_client, "instrument", gauge.pk)


def test_a_temperature_difference_has_no_zero(owner_client, workshop):
    """9 °F of doubt is 5 °C of doubt, not minus 12.8 °C."""
    workshop.temperature_unit = "°F"
    workshop.save()
    owner_client.post(
        reverse("measurements:instrument_new"),
        instrument(quantity="exhaust_temperature_c", low="32", high="1832", uncertainty="9"),
    )
    gauge = Instrument.objects.get()
    assert (gauge.low, gauge.high, gauge.uncertainty) == pytest.approx((0.0, 1000.0, 5.0))


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"uncertainty": ""}, "required"),
        ({"uncertainty": "-1"}, "outside what is possible"),
        ({"high": "0"}, "not above the lowest"),
        ({"quantity": "magic"}, "valid choice"),
    ],
)
def test_an_instrument_that_cannot_be_is_refused(owner_client, fields, words):
    response = owner_client.post(reverse("measurements:instrument_new"), instrument(**fields))
    assert response.status_code == 422
    assert words in response.content.decode()
    assert not Instrument.objects.exists()


def test_a_name_is_taken_once(owner_client):
    owner_client.post(reverse("measurements:instrument_new"), instrument())
    response = owner_client.post(reverse("measurements:instrument_new"), instrument(name="BOOST gauge 2"))
    assert response.status_code == 422
    assert Instrument.objects.count() == 1


def test_only_the_owner_adds_instruments(technician_client, desk_client):
    assert technician_client.get(reverse("measurements:instruments")).status_code == 200
    assert_not_for_this_role(desk_client.get(reverse("measurements:instruments")))
    for client in (technician_client, desk_client):
        assert_not_for_this_role(client.post(reverse("measurements:instrument_new"), instrument()))
    assert not Instrument.objects.exists()
