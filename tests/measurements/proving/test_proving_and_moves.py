import re
from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied

from measurements.bench.curves.actions import record_curve
from measurements.proving import moves
from measurements.proving.actions import RunRefused, decide, start_run
from measurements.proving.models import ProvingRun
from measurements.readings.actions import correct_reading, record_point
from shop.fitting.actions import record_fitment
from shop.jobs.models import JobEvent
from shop.jobs.moves import MoveRefused
from shop.papers.models import HandOver
from shop.safety.actions import sign_off
from shop.safety.notes import CHECKS
from sizing.plans.models import Plan
from tests.builders import NOW
from tests.measurements.builders import job_in_run, plan_of, planned_job, proving_job

GOOD = {"exhaust_temperature_c": 560.0, "boost_kpa": 80.0}
TOO_HOT = {"exhaust_temperature_c": 790.0}


def texts(missing):
    return " ".join(m.text for m in missing)


def test_the_strip_needs_a_baseline(owner):
    job = planned_job(owner, stage="agreed")
    assert "no baseline" in texts(moves.missing_for_move(job, "fitting"))
    record_point(job, "before", 2800, 100, {"oil_pressure_kpa": 320.0}, owner)
    assert "no baseline" in texts(moves.missing_for_move(job, "fitting")), "oil pressure alone compares with nothing"
    record_point(job, "before", 2800, 100, {"smoke_opacity_pct": 30.0}, owner)
    assert moves.missing_for_move(job, "fitting") == []
    moves.move_on(job, "fitting", owner)
    job.refresh_from_db()
    assert job.stage == "fitting"


def test_a_power_curve_is_a_baseline_too(owner):
    job = planned_job(owner, stage="agreed")
    record_curve(job, "before", "drum", [(1000, 100.0), (2000, 120.0)], owner)
    assert moves.missing_for_move(job, "fitting") == []


def test_readings_after_the_fit_are_no_baseline(owner):
    job, _ = job_in_run(owner)
    record_point(job, "after", 2800, 100, GOOD, owner)
    assert not moves.has_baseline(job)


def test_the_owner_may_pass_over_a_missing_baseline_with_a_reason(owner, technician):
    job = planned_job(owner, stage="agreed")
    with pytest.raises(MoveRefused):
        moves.move_on(job, "fitting", owner)
    with pytest.raises(PermissionDenied):
        moves.move_on(job, "fitting", technician, "I think it is fine")
    event = moves.move_on(job, "fitting", owner, "came in on a rope, does not run")
    assert event.override_reason == "came in on a rope, does not run"


def test_nobody_passes_over_a_safety_check(owner):
    job = proving_job(owner, signed=False)
    with pytest.raises(MoveRefused, match="Safety checks not signed"):
        moves.move_on(job, "proving", owner, "we are in a hurry")
    with pytest.raises(RunRefused):
        start_run(job, owner)


def test_a_run_needs_the_stage_and_the_signatures_of_the_present_fitment(owner):
    job = proving_job(owner)
    record_fitment(job, owner, turbo=plan_of(job).turbo, plunger_diameter_mm=10)
    with pytest.raises(RunRefused, match="Safety checks not signed"):
        start_run(job, owner)
    for check in CHECKS:
        sign_off(job, check.slug, owner)
    assert start_run(job, owner).number == 1


def test_starting_twice_is_one_run(owner):
    job, run = job_in_run(owner)
    assert start_run(job, owner) == run
    assert ProvingRun.objects.count() == 1


@pytest.mark.parametrize("decision", ["keep", "next"])
def test_a_run_without_readings_cannot_be_kept(owner, decision):
    _, run = job_in_run(owner)
    with pytest.raises(RunRefused, match="Nothing was read"):
        decide(run, decision, "looks good", owner)


def test_a_decision_needs_a_reason_and_stands_with_name_and_verdict(owner):
    job, run = job_in_run(owner)
    record_point(job, "after", 2800, 100, TOO_HOT, owner)
    with pytest.raises(RunRefused, match="reason"):
        decide(run, "change", "  ", owner)
    run = decide(run, "change", "too hot", owner)
    assert (run.decision, run.decided_by, run.verdict) == ("change", owner, "stop")
    assert decide(run, "change", "too hot", owner) == run, "sent twice"
    with pytest.raises(RunRefused, match="decided already"):
        decide(run, "keep", "changed my mind", owner)


def test_the_next_stage_is_a_draft_of_its_own(owner):
    job, run = job_in_run(owner)
    record_point(job, "after", 2800, 100, GOOD, owner)
    before = plan_of(job)
    decide(run, "next", "a cooler next spring", owner, next_title="With a cooler")
    assert plan_of(job) == before
    draft = job.job_plans.order_by("position").last()
    assert (draft.plan.title, draft.is_current, draft.position) == ("With a cooler", False, 2)
    assert {(i.name, i.low, i.high) for i in draft.plan.inputs.all()} == {
        (i.name, i.low, i.high) for i in before.inputs.all()
    }
    decide(run, "next", "a cooler next spring", owner, next_title="With a cooler")
    assert Plan.objects.count() == 2, "sent twice"


def test_hand_over_needs_a_decided_run_with_readings(owner):
    job = proving_job(owner)
    assert "no proving run" in texts(moves.missing_for_move(job, "handed_over"))
    run = start_run(job, owner, at=NOW)
    assert "has not been decided" in texts(moves.missing_for_move(job, "handed_over"))
    assert "Nothing was read" in texts(moves.missing_for_move(job, "handed_over"))
    record_point(job, "after", 2800, 100, GOOD, owner)
    decide(run, "change", "a clamp", owner)
    assert "prove again" in texts(moves.missing_for_move(job, "handed_over"))
    second = start_run(job, owner, at=NOW + timedelta(hours=1))
    record_point(job, "after", 2800, 100, GOOD, owner)
    decide(second, "keep", "as planned", owner)
    assert moves.missing_for_move(job, "handed_over") == []


def test_what_is_beyond_a_stop_limit_keeps_the_vehicle_here(owner, desk):
    job, run = job_in_run(owner)
    record_point(job, "after", 2800, 100, TOO_HOT, owner)
    decide(run, "keep", "the customer waits", owner)
    [missing] = moves.missing_for_move(job, "handed_over")
    assert "Beyond a stop limit" in missing.text
    assert "790 °C" in missing.text
    with pytest.raises(MoveRefused):
        moves.hand_over_job(job, date(2026, 3, 3), "A. Ruthane", desk)
    assert not HandOver.objects.exists(), "the record goes back with the move"
    moves.hand_over_job(job, date(2026, 3, 3), "A. Ruthane", owner, reason="gauge proved wrong on the bench")
    job.refresh_from_db()
    assert job.stage == "handed_over"
    assert JobEvent.objects.get(to_stage="handed_over").override_reason == "gauge proved wrong on the bench"


def test_a_corrected_reading_no_longer_stands_in_the_way(owner):
    job, run = job_in_run(owner)
    point = record_point(job, "after", 2800, 100, TOO_HOT, owner)
    correct_reading(point.readings.get(), 590.0, "typed 790 for 590", owner)
    decide(run, "keep", "as planned", owner)
    assert moves.missing_for_move(job, "handed_over") == []


def test_handing_over_twice_is_one_hand_over(owner):
    job, run = job_in_run(owner)
    record_point(job, "after", 2800, 100, GOOD, owner)
    decide(run, "keep", "as planned", owner)
    first = moves.hand_over_job(job, date(2026, 3, 3), "A. Ruthane", owner)
    assert moves.hand_over_job(job, date(2026, 3, 3), "A. Ruthane", owner) == first
    assert HandOver.objects.count() == 1


def test_the_plain_move_does_not_hand_over(owner):
    job, run = job_in_run(owner)
    record_point(job, "after", 2800, 100, GOOD, owner)
    decide(run, "keep", "as planned", owner)
    with pytest.raises(MoveRefused, match="hand-over page"):
        moves.move_on(job, "handed_over", owner, "no time for papers")


@pytest.mark.parametrize(("unit", "shown"), [("kPa", "84"), ("bar", "0.84")])
def test_boost_of_a_run_leads_to_what_it_says_of_the_turbine(owner_client, owner, workshop, unit, shown):
    workshop.pressure_unit = unit
    workshop.save()
    job, run = job_in_run(owner)
    record_point(job, "after", 2500, 100, {"boost_kpa": 84.0}, owner, run=run)
    page = owner_client.get(f"/jobs/{job.pk}/proving/").content.decode()
    assert "What this boost says" not in page  # one speed tells too little
    record_point(job, "after", 1800, 100, {"boost_kpa": 61.0}, owner, run=run)
    page = owner_client.get(f"/jobs/{job.pk}/proving/").content.decode()
    address = re.search(r'href="([^"]+)">What this boost says', page)[1].replace("&amp;", "&")
    assert f"speed_2=2500&boost_2={shown}" in address
    assert owner_client.get(address).status_code == 200
