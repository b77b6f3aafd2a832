"""A job moves when it has what the move needs; what is missing is said; the owner may pass with a reason; safety never."""

import pytest
from django.core.exceptions import PermissionDenied

from shop.fitting.actions import record_fitment
from shop.jobs.moves import MoveRefused, missing_for, move_job
from shop.papers.actions import QuoteRefused, answer_quote, give_quote, make_quote
from shop.safety.actions import sign_off
from shop.safety.notes import CHECKS, missing_sign_offs
from shop.survey.actions import record_survey
from tests.builders import NOW, make_job, make_turbo

LINES = [("part", "Turbo", 1, 450), ("labour", "Fitting", 9, 30)]


def test_survey_comes_before_surveyed(owner):
    job = make_job(owner)
    with pytest.raises(MoveRefused, match="survey sheet has not been filled in"):
        move_job(job, "surveyed", owner)
    record_survey(job, owner, verdict="fit")
    move_job(job, "surveyed", owner)
    job.refresh_from_db()
    assert job.stage == "surveyed"
    event = job.events.get(kind="move")
    assert (event.by, event.from_stage, event.to_stage) == (owner, "booked", "surveyed")


def test_an_engine_that_is_not_fit_goes_on_only_with_the_owners_reason(owner, technician):
    job = make_job(owner)
    record_survey(job, technician, verdict="unfit", repairs="compression 18 bar on cylinder 3")
    with pytest.raises(MoveRefused, match="not fit"):
        move_job(job, "surveyed", owner)
    with pytest.raises(PermissionDenied):
        move_job(job, "surveyed", technician, reason="I want to")
    move_job(job, "surveyed", owner, reason="the customer rebuilds it first")
    assert job.events.get(kind="move").override_reason == "the customer rebuilds it first"


def test_quote_is_agreed_by_somebody_by_name(owner):
    job = make_job(owner)
    quote = make_quote(job, LINES, owner)
    assert quote.total == 450 + 9 * 30
    with pytest.raises(QuoteRefused, match="while it is given"):
        answer_quote(quote, True, "Mirel Tovak", owner)
    give_quote(quote, owner)
    with pytest.raises(QuoteRefused, match="who agreed"):
        answer_quote(quote, True, "  ", owner)
    answer_quote(quote, True, "Mirel Tovak", owner)
    assert (
        missing_for(make_job(owner, stage="planned"), "agreed")[0].text == "No quote has been agreed by the customer."
    )
    job.stage = "planned"
    assert missing_for(job, "agreed") == []


def test_a_new_quote_replaces_an_open_one_and_both_stay(owner):
    job = make_job(owner)
    first = make_quote(job, LINES, owner)
    make_quote(job, LINES[:1], owner)
    first.refresh_from_db()
    assert first.state == "replaced"
    assert job.quotes.count() == 2


def test_safety_sign_offs_cannot_be_passed_over_by_anyone(owner):
    job = make_job(owner, stage="fitting")
    record_fitment(job, owner, turbo=make_turbo(), plunger_diameter_mm=7)
    with pytest.raises(MoveRefused, match="Safety checks not signed"):
        move_job(job, "proving", owner, reason="we are in a hurry")
    for check in CHECKS:
        sign_off(job, check.slug, owner)
    move_job(job, "proving", owner)
    job.refresh_from_db()
    assert job.stage == "proving"


def test_a_new_fitment_needs_new_signatures(owner):
    job = make_job(owner, stage="fitting")
    record_fitment(job, owner, turbo=make_turbo(), plunger_diameter_mm=7)
    for check in CHECKS:
        sign_off(job, check.slug, owner)
    assert missing_sign_offs(job) == []
    record_fitment(job, owner, turbo=make_turbo(), plunger_diameter_mm=7.5)
    assert len(missing_sign_offs(job)) == len(CHECKS)


def test_signing_twice_keeps_the_first_signature(owner, technician):
    job = make_job(owner, stage="fitting")
    record_fitment(job, owner, turbo=make_turbo(), plunger_diameter_mm=7)
    sign_off(job, "oil", technician, at=NOW)
    assert sign_off(job, "oil", owner).by == technician
    assert job.events.filter(kind="safety").count() == 1


def test_moves_that_do_not_exist_are_refused_and_leave_no_trace(owner):
    job = make_job(owner)
    for to in ("proving", "handed_over", "nowhere"):
        with pytest.raises(MoveRefused, match="cannot become"):
            move_job(job, to, owner, reason="please")
    assert job.events.count() == 1


def test_calling_off_and_going_back_need_a_reason(owner):
    job = make_job(owner)
    with pytest.raises(MoveRefused, match="why"):
        move_job(job, "called_off", owner)
    move_job(job, "called_off", owner, reason="sold the car")
    job.refresh_from_db()
    assert not job.is_open


def test_what_the_floor_above_asks_for_counts_too(owner):
    from shop.jobs.moves import Missing
    from sizing.said import told

    job = make_job(owner, stage="agreed")
    with pytest.raises(MoveRefused, match="baseline"):
        move_job(job, "fitting", owner, also_missing=[Missing(told("No baseline was measured."))])
