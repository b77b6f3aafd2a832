"""Plus or minus, check day and range of a gauge stand behind every verdict: reading, pull and test."""

from datetime import timedelta

import pytest
from django.urls import reverse

from measurements.logs.actions import name_instruments, receive_log
from measurements.logs.pulls.checks import judge_pulls
from measurements.logs.reading import read_log
from measurements.proving.moves import missing_for_move
from measurements.readings.actions import record_point
from measurements.readings.instruments import Instrument
from measurements.readings.models import Point
from measurements.verdict.findings import judge_all
from measurements.verdict.run import run_verdict, stops_of_run
from tests.builders import NOW
from tests.measurements.builders import job_in_run
from tests.measurements.logs.log_files import pull_log

pytestmark = pytest.mark.django_db


def gauge(quantity="boost_kpa", **fields):
    return Instrument.objects.create(
        **{"name": f"gauge of {quantity}", "quantity": quantity, "uncertainty": 3.0, "low": -100, "high": 250} | fields
    )


def sentences(job, plan=None):
    return " ".join(t.sentence for v in judge_all(Point.objects.of(job).with_readings(), plan) for t in v.told)


def test_a_reading_names_a_gauge_past_its_check_day(owner):
    job, run = job_in_run(owner)
    old = gauge(check_due_on=(NOW - timedelta(days=400)).date())
    record_point(job, "after", 2800, 100, {"boost_kpa": 80.0}, owner, run=run, instruments={"boost_kpa": old})
    assert "gauge of boost_kpa was past its check day" in sentences(job)


def test_a_reading_beyond_the_range_of_its_gauge_says_so(owner):
    job, run = job_in_run(owner)
    record_point(
        job, "after", 2800, 100, {"boost_kpa": 130.0}, owner, run=run, instruments={"boost_kpa": gauge(high=100)}
    )
    assert "Beyond the range of gauge of boost_kpa" in sentences(job)


def test_a_gauge_in_order_is_not_talked_about(owner):
    job, run = job_in_run(owner)
    fresh = gauge(check_due_on=(NOW + timedelta(days=4000)).date())
    record_point(job, "after", 2800, 100, {"boost_kpa": 80.0}, owner, run=run, instruments={"boost_kpa": fresh})
    assert "check day" not in sentences(job)


def logged(job, owner, **fields):
    return read_log(receive_log(job, "after", "run.csv", pull_log(**fields), owner), None, owner)


def test_a_pull_carries_the_uncertainty_of_the_named_instrument(owner, client):
    job, run = job_in_run(owner)
    log = logged(job, owner)
    [judged] = judge_pulls(log.pulls.all(), run.plan, "after")
    assert {f.finding.measured.uncertainty for f in judged.told} == {None}
    old = gauge(check_due_on=(NOW - timedelta(days=400)).date())
    column = log.columns.get(quantity="boost_kpa")
    client.force_login(owner)
    answer = client.post(reverse("measurements:log_instruments", args=[log.pk]), {f"column_{column.pk}": old.pk})
    assert answer.status_code == 302
    [judged] = judge_pulls(log.pulls.all(), run.plan, "after")
    boost = [t for t in judged.told if t.quantity == "boost_kpa"]
    assert all(t.finding.measured.uncertainty == 3.0 and "past its check day" in t.sentence for t in boost)
    page = client.get(reverse("measurements:log", args=[log.pk])).content.decode()
    assert "past its check day" in page


def test_the_figures_of_a_pull_of_our_own_making_stand_on_the_page(owner, client):
    job, _ = job_in_run(owner)
    log = logged(job, owner)
    [pull] = log.pulls.all()
    # boost rises evenly for 4 s from the start to 82 kPa and stays: 90 % after 3.6 s, 1400 + 300 x 3.6 = 2480 rpm
    assert pull.boost_settled_kpa == pytest.approx(82.0, abs=0.1)
    assert pull.boost_rise_s == pytest.approx(3.6, abs=0.1)
    assert pull.boost_rise_at_rpm == pytest.approx(2480, abs=35)
    # 390 °C in 8 s
    assert pull.heat_rise_c_s == pytest.approx(48.75, rel=0.02)
    client.force_login(owner)
    page = client.get(reverse("measurements:log", args=[log.pk])).content.decode()
    assert "after 3.6 s" in page
    assert "pulls over each other" in page


def test_a_pull_beyond_the_stop_limit_keeps_the_job_from_its_hand_over(owner):
    job, run = job_in_run(owner)
    record_point(job, "after", 2800, 100, {"oil_pressure_kpa": 380.0}, owner, run=run)
    assert stops_of_run(run) == []
    logged(job, owner, heat_top_c=820.0)  # 700 and 50 beyond: common practice
    assert "stop limit" in str(stops_of_run(run)[0])
    assert run_verdict(run) == "stop"
    assert any("Beyond a stop limit" in m.text for m in missing_for_move(job, "handed_over"))


def test_naming_an_instrument_writes_history_once(owner):
    job, _ = job_in_run(owner)
    log = logged(job, owner)
    chosen = {log.columns.get(quantity="boost_kpa").pk: gauge()}
    before = job.events.count()
    name_instruments(log, chosen, owner)
    name_instruments(log, chosen, owner)
    assert job.events.count() == before + 1
