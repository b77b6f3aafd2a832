"""The sheet beside the engine, with a plain client: everything works without script."""

import re
import uuid

import pytest
from django.urls import reverse

from measurements.proving.models import ProvingRun
from measurements.readings.actions import withdraw_point
from measurements.readings.instruments import Instrument
from measurements.readings.models import Point, Reading
from tests.answers import assert_not_found
from tests.measurements.builders import BANDS, job_in_run, planned_job, proving_job


@pytest.fixture(autouse=True)
def _known_plan(monkeypatch):
    """What the plan expects is fixed here, so that these tests are about the page and not about the match."""
    monkeypatch.setattr("measurements.verdict.findings.bands_at", lambda plan, speeds: dict.fromkeys(speeds, BANDS))


def sheet(phase="after", **fields):
    return {"phase": phase, "point_id": str(uuid.uuid4()), "step": "2800x100"} | fields


def text_of(response):
    return re.sub(r"\s+", " ", response.content.decode())


def address(job, query=""):
    return reverse("measurements:phone", args=[job.pk]) + query


def test_the_page_proposes_steps_from_the_rated_speed(technician, technician_client):
    page = text_of(technician_client.get(address(planned_job(technician))))
    for speed in ("1,600", "2,200", "2,800", "3,400", "4,000"):
        assert f"{speed} rpm, full load" in page


def test_the_page_has_no_menu_and_shows_the_cautions(technician, technician_client):
    job, _ = job_in_run(technician)
    page = text_of(technician_client.get(address(job)))
    assert "Instruments" not in page
    assert "Runaway engine" in page
    assert 'inputmode="decimal"' in page


def test_saving_shows_the_verdict_with_what_to_look_at(technician, technician_client):
    job, run = job_in_run(technician)
    response = technician_client.post(
        address(job),
        sheet(
            boost_kpa="45,0",
            exhaust_temperature_c="660",
            smoke_opacity_pct="70",
            place_exhaust_temperature_c="before_turbine",
        ),
    )
    assert response.status_code == 302
    page = text_of(technician_client.get(response.url))
    for part in ("off plan", "70 to 85 kPa gauge", "25 kPa below it", "Look at first", "Leak of charge air"):
        assert part in page, part
    point = Point.objects.get()
    assert (point.run, point.speed_rpm, point.load_pct) == (run, 2800.0, 100.0)
    assert point.readings.get(quantity="boost_kpa").value == 45.0


def test_beyond_a_stop_limit_the_answer_is_stop(technician, technician_client):
    job, _ = job_in_run(technician)
    response = technician_client.post(
        address(job), sheet(exhaust_temperature_c="790", place_exhaust_temperature_c="before_turbine")
    )
    page = text_of(technician_client.get(response.url))
    for part in (
        "STOP",
        "stop limit 750 °C",
        "passed by 40 °C",
        "Take the load off now",
        "common practice",
        "The load is off. Go on",
    ):
        assert part in page, part
    assert 'name="boost_kpa"' not in page, "nothing else to type on this screen"


@pytest.mark.parametrize(
    ("typed", "unit", "stored"),
    [("1,4", "bar", 140.0), ("1.4", "bar", 140.0), ("20.3", "psi", 139.9635), ("140", "kPa", 140.0)],
)
def test_the_units_of_the_shop_are_typed_and_stored_ones_kept(
    technician, technician_client, workshop, typed, unit, stored
):
    """1 bar = 100 kPa, 1 psi = 6.894757 kPa (NIST SP 811)."""
    workshop.pressure_unit = unit
    workshop.save()
    job, _ = job_in_run(technician)
    technician_client.post(address(job), sheet(boost_kpa=typed))
    assert Reading.objects.get().value == pytest.approx(stored, abs=1e-3)


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("boost_kpa", "30000", "not physically possible"),
        ("boost_kpa", "abc", "is not a number"),
        ("boost_kpa", "1.234,5", "is not a number"),
        ("smoke_opacity_pct", "100", "not physically possible"),
    ],
)
def test_an_impossible_value_is_refused_beside_the_field_with_everything_kept(
    technician, technician_client, field, value, words
):
    job, _ = job_in_run(technician)
    response = technician_client.post(
        address(job), sheet(**{"exhaust_temperature_c": "612", "note": "fourth gear", field: value})
    )
    page = text_of(response)
    assert response.status_code == 422
    assert words in page
    assert f'value="{value}"' in page
    assert 'value="612"' in page
    assert 'value="fourth gear"' in page
    assert not Point.objects.exists()


def test_300_bar_of_boost_names_value_and_what_is_allowed(technician, technician_client, workshop):
    workshop.pressure_unit = "bar"
    workshop.save()
    job, _ = job_in_run(technician)
    page = text_of(technician_client.post(address(job), sheet(boost_kpa="300")))
    assert "Boost: 300 bar is not physically possible. Allowed: −0.60 to 4.00 bar gauge" in page


def test_an_empty_sheet_and_a_missing_step_are_refused(technician, technician_client):
    job, _ = job_in_run(technician)
    assert "Nothing was typed yet" in text_of(technician_client.post(address(job), sheet()))
    page = text_of(technician_client.post(address(job), sheet(step="other", boost_kpa="80")))
    assert "type the speed" in page
    page = text_of(technician_client.post(address(job), sheet(step="other", speed_rpm="3000", boost_kpa="80")))
    assert "Say the load" in page


def test_a_typed_speed_counts(technician, technician_client):
    job, _ = job_in_run(technician)
    technician_client.post(address(job), sheet(step="other", speed_rpm="3050", load_pct="75", boost_kpa="60"))
    assert (Point.objects.get().speed_rpm, Point.objects.get().load_pct) == (3050.0, 75.0)


def test_sending_twice_stores_once(technician, technician_client):
    job, _ = job_in_run(technician)
    once = sheet(boost_kpa="80")
    first, second = technician_client.post(address(job), once), technician_client.post(address(job), once)
    assert first.url == second.url
    assert Point.objects.count() == 1


def test_the_same_id_with_other_figures_is_refused_not_lost(technician, technician_client):
    job, _ = job_in_run(technician)
    once = sheet(boost_kpa="80")
    technician_client.post(address(job), once)
    response = technician_client.post(address(job), once | {"boost_kpa": "81"})
    assert response.status_code == 422
    assert "stored before with other figures" in text_of(response)
    assert 'value="81"' in text_of(response)


def test_an_id_that_is_none_is_refused(technician, technician_client):
    job, _ = job_in_run(technician)
    assert technician_client.post(address(job), sheet(point_id="1 or 1", boost_kpa="80")).status_code == 422
    assert not Reading.objects.exists()


def test_before_the_fit_it_is_the_baseline(technician, technician_client):
    job = planned_job(technician)
    response = technician_client.post(address(job), sheet("before", exhaust_temperature_c="560"))
    page = text_of(technician_client.get(response.url))
    assert "kept to compare with" in page
    assert Point.objects.get().phase == "before"


def test_after_the_fit_a_run_is_started_first(technician, technician_client):
    job = proving_job(technician)
    assert "Start a proving run" in text_of(technician_client.get(address(job)))
    technician_client.post(reverse("measurements:start_run", args=[job.pk]))
    assert ProvingRun.objects.get().started_by == technician
    assert "Proving run 1" in text_of(technician_client.get(address(job)))


def test_without_signatures_no_run_begins_and_the_page_says_why(technician, technician_client):
    job = proving_job(technician, signed=False)
    page = text_of(technician_client.get(address(job, "?phase=after")))
    assert "Safety checks not signed" in page
    technician_client.post(reverse("measurements:start_run", args=[job.pk]))
    assert not ProvingRun.objects.exists()


def test_a_correction_leaves_the_old_value_struck_with_its_reason(technician, technician_client):
    job, _ = job_in_run(technician)
    technician_client.post(address(job), sheet(boost_kpa="80"))
    old = Reading.objects.get()
    response = technician_client.post(reverse("measurements:correct", args=[old.pk]), {"value": "8", "reason": ""})
    assert response.status_code == 422
    assert 'value="8"' in text_of(response)
    response = technician_client.post(
        reverse("measurements:correct", args=[old.pk]), {"value": "78", "reason": "misread"}
    )
    page = text_of(technician_client.get(response.url))
    assert "<del>80 kPa gauge</del>" in page
    assert "misread" in page


def test_gauges_are_offered_and_their_doubt_is_said(technician, technician_client):
    gauge = Instrument.objects.create(name="Boost gauge 2", quantity="boost_kpa", uncertainty=4.0)
    job, _ = job_in_run(technician)
    response = technician_client.post(address(job), sheet(boost_kpa="80", gauge_boost_kpa=str(gauge.pk)))
    assert "plus or minus 4 kPa" in text_of(technician_client.get(response.url))


def test_the_front_desk_takes_no_readings(technician, desk_client):
    job, _ = job_in_run(technician)
    assert desk_client.get(address(job)).status_code == 403
    assert desk_client.post(address(job), sheet(boost_kpa="80")).status_code == 403
    assert not Point.objects.exists()


def test_a_job_that_is_not_there(technician_client):
    assert_not_found(technician_client.get(reverse("measurements:phone", args=[999])))


def test_the_page_asks_no_more_of_the_database_for_many_points_than_for_few(
    technician, technician_client, django_assert_max_num_queries
):
    job, _ = job_in_run(technician)
    for speed in range(1000, 3000, 100):
        technician_client.post(
            address(job),
            sheet(step="other", speed_rpm=str(speed), load_pct="100", boost_kpa="80", oil_pressure_kpa="400"),
        )
    with django_assert_max_num_queries(30):
        technician_client.get(address(job))


def test_a_point_that_was_taken_back_stays_in_sight_struck_through_with_who_did_it(technician, technician_client):
    job, _ = job_in_run(technician)
    technician_client.post(address(job), sheet(boost_kpa="83"))
    withdraw_point(Point.objects.get(), technician)
    for page in (
        address(job),
        reverse("measurements:readings", args=[job.pk]),
        reverse("measurements:readings_panel", args=[job.pk]),
    ):
        text = text_of(technician_client.get(page))
        assert re.search(r"<del>[^/]*83", text), page
        assert re.search(rf"[Tt]aken back by {technician}", text), page


def test_where_to_stop_is_in_view_with_oil_pressure_and_coolant(technician, technician_client):
    """70 kPa and 110 °C: common practice."""
    job, _ = job_in_run(technician)
    line = re.sub(
        r"<[^>]+>",
        "",
        text_of(technician_client.get(address(job))).split('class="stop-line"')[1].split("</section>")[0],
    )
    for part in ("exhaust 750 °C", "coolant 110 °C", "oil below 70 kPa"):
        assert part in line, line
