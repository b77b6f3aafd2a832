"""Survey, quote, fitment, safety, follow-up and failure through their pages."""

import uuid

import pytest

from shop.fitting.actions import record_fitment
from shop.jobs.plans import plan_from_facts
from shop.safety.notes import CHECKS
from tests.builders import FACTS, make_job, make_turbo

SOUND = {
    "oil_state",
    "coolant_state",
    "filter_state",
    "leak_state",
    "injector_state",
    "mount_state",
    "clutch_state",
    "cooling_state",
}


def _survey(**fields):
    return {
        "post_id": str(uuid.uuid4()),
        **dict.fromkeys(SOUND, "good"),
        "compression_low_bar": "28,5",
        "compression_high_bar": "30",
        "verdict": "fit",
    } | fields


def test_survey_ends_in_a_verdict_and_is_told_in_the_history(technician_client, owner):
    job = make_job(owner)
    assert technician_client.post(f"/jobs/{job.pk}/survey/new/", _survey()).status_code == 302
    assert job.surveys.get().compression_low_bar == 28.5
    assert "survey says fit" in job.events.get(kind="survey").text
    assert "28.5" in technician_client.get(f"/jobs/{job.pk}/survey/").content.decode()


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"compression_low_bar": "31", "compression_high_bar": "29"}, "Lowest cylinder: 31 bar is above the highest"),
        ({"compression_low_bar": "300"}, "Allowed: 5 to 60"),
        ({"leak_state": "repair"}, "Fit does not go with what was found"),
        ({"compression_low_bar": "", "compression_high_bar": ""}, "Fit needs compression or blow-by measured"),
        ({"verdict": "unfit"}, "why it is not fit"),
        ({"verdict": ""}, "required"),
        ({"oil_changed_on": "2099-01-01"}, "is in the future"),
    ],
)
def test_survey_refuses_what_does_not_go_together(technician_client, owner, fields, message):
    job = make_job(owner)
    response = technician_client.post(f"/jobs/{job.pk}/survey/new/", _survey(note="smells of coolant", **fields))
    page = response.content.decode()
    assert response.status_code == 422
    assert message in page
    assert "smells of coolant" in page
    assert not job.surveys.exists()


def _quote(**fields):
    base = {
        "post_id": str(uuid.uuid4()),
        "lines-TOTAL_FORMS": "2",
        "lines-INITIAL_FORMS": "0",
        "valid_until": "",
        "terms": "",
    }
    return (
        base
        | {
            "lines-0-kind": "part",
            "lines-0-text": "Turbo",
            "lines-0-quantity": "1",
            "lines-0-unit_price": "450",
            "lines-1-kind": "labour",
            "lines-1-text": "Fitting",
            "lines-1-quantity": "8,5",
            "lines-1-unit_price": "30",
        }
        | fields
    )


def test_quote_goes_from_draft_to_agreed(desk_client, owner):
    job = make_job(owner)
    post = _quote()
    response = desk_client.post(f"/jobs/{job.pk}/quotes/new/", post)
    quote = job.quotes.get()
    assert response["Location"] == f"/quotes/{quote.pk}/"
    assert str(quote.total) == "705.00"  # 450 + 8.5 x 30
    assert desk_client.post(f"/jobs/{job.pk}/quotes/new/", post)["Location"] == response["Location"]
    assert job.quotes.count() == 1
    desk_client.post(f"/quotes/{quote.pk}/give/")
    desk_client.post(f"/quotes/{quote.pk}/answer/", {"agreed": "yes", "answered_by": "Mirel Tovak"})
    quote.refresh_from_db()
    assert quote.state == "agreed"
    assert "705.00" in desk_client.get(f"/quotes/{quote.pk}/").content.decode()


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"lines-0-unit_price": ""}, "Turbo: the price is missing"),
        ({"lines-0-text": ""}, "say what it is for"),
        ({"lines-0-quantity": "none"}, "is not a number"),
        ({"lines-0-unit_price": "-1"}, "Allowed: 0 to"),
        (
            {"lines-0-text": "", "lines-0-unit_price": "", "lines-1-text": "", "lines-1-unit_price": ""},
            "at least one line",
        ),
    ],
)
def test_quote_refuses_half_a_line(desk_client, owner, fields, message):
    job = make_job(owner)
    response = desk_client.post(f"/jobs/{job.pk}/quotes/new/", _quote(**fields))
    assert response.status_code == 422
    assert message in response.content.decode()
    assert not job.quotes.exists()


def test_fitment_and_safety_checks_by_phone(technician_client, owner):
    job = make_job(owner, facts=FACTS, stage="fitting")
    turbo = make_turbo()
    response = technician_client.post(
        f"/jobs/{job.pk}/fitments/new/", {"post_id": str(uuid.uuid4()), "turbo": turbo.pk, "plunger_diameter_mm": "7,5"}
    )
    assert response.status_code == 302
    assert job.fitments.get().plunger_diameter_mm == 7.5
    page = technician_client.get(f"/jobs/{job.pk}/safety/").content.decode()
    assert "Runaway" in page
    for check in CHECKS:
        technician_client.post(f"/jobs/{job.pk}/safety/", {"check": check.slug})
    assert job.sign_offs.count() == len(CHECKS)
    assert "All checks are signed" in technician_client.get(f"/jobs/{job.pk}/safety/").content.decode()


def test_safety_check_that_does_not_exist_signs_nothing(technician_client, owner):
    job = make_job(owner, stage="fitting")
    record_fitment(job, owner, turbo=make_turbo(), plunger_diameter_mm=7)
    technician_client.post(f"/jobs/{job.pk}/safety/", {"check": "luck"})
    assert not job.sign_offs.exists()


def test_follow_up_and_failure(desk_client, owner):
    job = make_job(owner, stage="handed_over")
    desk_client.post(
        f"/jobs/{job.pk}/follow-ups/new/",
        {
            "post_id": str(uuid.uuid4()),
            "on": "2026-05-01",
            "way": "phone",
            "meter_reading": "160000",
            "text": "runs well",
        },
    )
    desk_client.post(
        f"/jobs/{job.pk}/failures/new/",
        {
            "post_id": str(uuid.uuid4()),
            "on": "2026-06-01",
            "part": "turbo_bearing",
            "meter_reading": "171000",
            "cause": "",
            "said_by": "driver",
            "ends_pairing": "on",
        },
    )
    page = " ".join(desk_client.get(f"/jobs/{job.pk}/").content.decode().split())
    assert "runs well" in page
    assert "Failed: turbo bearing" in page
    assert "Cause: not known" in page
    assert job.failures.get().ends_pairing


def test_a_follow_up_from_the_future_is_refused(desk_client, owner):
    job = make_job(owner, stage="handed_over")
    response = desk_client.post(f"/jobs/{job.pk}/follow-ups/new/", {"on": "2099-05-01", "way": "phone", "text": "x"})
    assert response.status_code == 422
    assert "in the future" in response.content.decode()


def test_plan_page_says_which_facts_are_missing(owner_client, owner):
    job = make_job(owner)
    response = owner_client.post(f"/jobs/{job.pk}/plans/new/", {"title": "First", "boost_low_kpa": "90"})
    assert response.status_code == 422
    assert "displacement" in response.content.decode()


def test_plan_is_worked_out_from_the_facts_of_the_job(owner_client, owner):
    job = make_job(owner, facts=FACTS)
    response = owner_client.post(
        f"/jobs/{job.pk}/plans/new/",
        {"post_id": str(uuid.uuid4()), "title": "First", "boost_low_kpa": "90", "turbo": make_turbo().pk},
    )
    assert response.status_code == 302, response.content.decode()
    plan = job.job_plans.get().plan
    inputs = {row.name: (row.low, row.high, row.origin) for row in plan.inputs.all()}
    assert inputs["displacement_l"] == (2.5, 2.5, "book")
    assert inputs["plunger_diameter_as_built_mm"] == (8, 10, "guessed")
    assert inputs["altitude_m"][0] == 2600
    assert inputs["boost_kpa"][0] == 90


@pytest.mark.parametrize(
    ("boost", "message"), [("30000", "not physically possible"), ("-20", "above zero"), ("much", "is not a number")]
)
def test_absurd_boost_is_refused_in_words(owner_client, owner, boost, message):
    """300 bar of boost is 30,000 kPa."""
    job = make_job(owner, facts=FACTS)
    response = owner_client.post(f"/jobs/{job.pk}/plans/new/", {"title": "First", "boost_low_kpa": boost})
    assert response.status_code == 422
    assert message in response.content.decode()


def test_next_stage_is_copied_onto_the_job_once_and_does_not_become_current(owner_client, owner):
    job = make_job(owner, facts=FACTS)
    first = plan_from_facts(job, owner, "First", (80, 80, "told")).plan
    post = {"title": "With a cooler", "request_id": str(uuid.uuid4())}
    for _ in range(2):
        response = owner_client.post(f"/plans/{first.pk}/next-stage/", post)
    rows = list(job.job_plans.all())
    assert [(row.plan.title, row.is_current) for row in rows] == [("First", True), ("With a cooler", False)]
    assert response["Location"] == rows[1].plan.get_absolute_url()
    assert owner_client.post(f"/plans/{first.pk}/next-stage/", post | {"title": ""}).status_code == 422
