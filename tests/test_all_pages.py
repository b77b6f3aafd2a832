"""Every address, for every role: who sees it, who is refused, who is sent to the log-in, and which verbs it takes.

The tables below must name every address there is, so that a new page cannot be forgotten.
"""

import pytest
from django.urls import get_resolver, reverse

from tests.builders import make_person

DESK_ROLE, TECHNICIAN_ROLE, OWNER_ROLE = "front desk", "technician", "owner"
ALL = {DESK_ROLE, TECHNICIAN_ROLE, OWNER_ROLE}
WORK, DESK, BENCH, BOSS = ALL, {DESK_ROLE, OWNER_ROLE}, {TECHNICIAN_ROLE, OWNER_ROLE}, {OWNER_ROLE}

# name -> (what its arguments are, who may see it)
PAGES = {
    "shop:theme": ("", ALL),
    "shop:second_factor": ("", ALL),
    "shop:safety": ("", ALL),
    "shop:health_live": ("", ALL),
    "shop:health_ready": ("", ALL),
    "shop:home": ("", ALL),
    "shop:job_new": ("", DESK),
    "shop:job": ("job", ALL),
    "shop:job_edit": ("job", DESK),
    "shop:job_print": ("job", ALL),
    "shop:photo_new": ("job", WORK),
    "shop:photo": ("photo", ALL),
    "shop:facts": ("job", WORK),
    "shop:survey_page": ("job", ALL),
    "shop:survey": ("job", BENCH),
    "shop:plan_new": ("job", BOSS),
    "shop:quote_new": ("job", DESK),
    "shop:quote": ("quote", ALL),
    "shop:fitment_new": ("job", BENCH),
    "shop:part_new": ("job", BENCH),
    "shop:safety_checks": ("job", BENCH),
    "shop:follow_up_new": ("job", DESK),
    "shop:failure_new": ("job", WORK),
    "shop:customers": ("", ALL),
    "shop:customer": ("customer", ALL),
    "shop:customer_edit": ("customer", DESK),
    "shop:vehicle": ("vehicle", ALL),
    "shop:vehicle_edit": ("vehicle", DESK),
    "shop:workshop": ("", BOSS),
    "shop:works": ("", ALL),
    "shop:work": ("work", BOSS),
    "shop:work_panel": ("work", BOSS),
    "shop:work_file": ("work", BOSS),
    "shop:person_new": ("", BOSS),
    "sizing:items": ("kind", ALL),
    "sizing:export": ("kind", ALL),
    "sizing:import": ("kind", BOSS),
    "sizing:add": ("kind", BOSS),
    "sizing:item": ("kind turbo", ALL),
    "sizing:edit": ("kind turbo", BOSS),
    "sizing:edit_plunger": ("plunger", BOSS),
    "sizing:import_map": ("turbo", BOSS),
    "sizing:map_csv": ("turbo", ALL),
    "sizing:placement": ("turbo", ALL),
    "sizing:plan": ("plan", ALL),
    "sizing:plan_chances_panel": ("plan", ALL),
    "sizing:match_panel": ("plan", ALL),
    "sizing:stages": ("plan", ALL),
    "sizing:bench": ("plan", ALL),
    "sizing:turbine_capacity": ("plan", ALL),
    "sizing:compare": ("plan", ALL),
    "measurements:phone": ("job", BENCH),
    "measurements:correct": ("reading", BENCH),
    "measurements:readings": ("job", ALL),
    "measurements:readings_panel": ("job", ALL),
    "measurements:next": ("job", ALL),
    "measurements:next_panel": ("job", ALL),
    "measurements:logs": ("job", ALL),
    "measurements:logs_panel": ("job", ALL),
    "measurements:log": ("log", ALL),
    "measurements:log_match": ("log", WORK),
    "measurements:log_recordings": ("log", WORK),
    "measurements:log_csv": ("log", ALL),
    "measurements:log_parquet": ("log", ALL),
    "measurements:log_file": ("log", ALL),
    "measurements:proving": ("job", ALL),
    "measurements:before_after": ("job", ALL),
    "measurements:add_curve": ("job", WORK),
    "measurements:smoke_test": ("job", BENCH),
    "measurements:smoke_snaps": ("smoke test", BENCH),
    "measurements:smoke_correct": ("snap", BENCH),
    "measurements:smoke_limits": ("", ALL),
    "measurements:smoke_limit_new": ("", BOSS),
    "measurements:smoke_limit": ("smoke limit", BOSS),
    "measurements:dyno": ("job", WORK),
    "measurements:dyno_new": ("job and way", WORK),
    "measurements:dyno_work": ("job work", WORK),
    "measurements:dyno_test": ("dyno test", ALL),
    "measurements:hand_over": ("job", ALL),
    "measurements:hand_over_sheet": ("job", ALL),
    "measurements:hand_over_pdf": ("job", ALL),
    "measurements:instruments": ("", BENCH),
    "measurements:instrument_new": ("", BOSS),
    "measurements:instrument": ("instrument", BOSS),
    "measurements:guided_sheet": ("job sheet", BENCH),
    "measurements:outbox": ("", BENCH),
    "measurements:worker": ("", ALL),
    "measurements:phone_bundle": ("bundle", ALL),
    "measurements:leave_script": ("", ALL),
    "sizing:calculators": ("", ALL),
    "sizing:calculator": ("calculator", ALL),
    "sizing:calculator_panel": ("calculator", ALL),
    "sizing:units": ("", ALL),
    "sizing:units_panel": ("", ALL),
    "measurements:tokens": ("", BOSS),
    "measurements:rules": ("", ALL),
    "measurements:review": ("", BOSS),
    "measurements:review_csv": ("", BOSS),
    "measurements:review_pairing": ("pairing", BOSS),
}
# Addresses that only take what is sent to them.
POSTS = {
    "shop:log_out": ("", ALL),
    "shop:second_factor_end": ("", ALL),
    "shop:plan_choose": ("job_plan", BOSS),
    "shop:quote_give": ("quote", DESK),
    "shop:quote_answer": ("quote", DESK),
    "shop:person_switch": ("person", BOSS),
    "shop:backup": ("", BOSS),
    "shop:work_again": ("work", BOSS),
    "sizing:add_plunger": ("pump", BOSS),
    "sizing:plan_panel": ("plan", BOSS),
    "sizing:retire": ("kind turbo", BOSS),
    "sizing:retire_plunger": ("plunger", BOSS),
    "sizing:confirm_import": ("kind", BOSS),
    "sizing:confirm_map": ("turbo", BOSS),
    "sizing:keep_plan": ("plan", BOSS),
    "sizing:take": ("plan", BOSS),
    "sizing:copy_plan": ("plan", BOSS),
    "measurements:start_run": ("job", BENCH),
    "measurements:move": ("job", WORK),
    "measurements:decide": ("run", BOSS),
    "shop:next_plan": ("plan", BOSS),
    "measurements:guided_photo": ("job sheet", BENCH),
    "measurements:smoke_examples": ("", BOSS),
    "measurements:token_revoke": ("token", BOSS),
    "measurements:log_undo": ("log", WORK),
    "measurements:log_alike": ("log", WORK),
    "measurements:log_instruments": ("log", WORK),
}
# Addresses that only lead on to another.
LEADS_ON = {
    "shop:set_up": "",
    "shop:login_code": "",
    "shop:login": "",
    "shop:job_of_plan": "plan",
    "measurements:survey_sheet": "job",
    "measurements:bench_of_plan": "plan",
    "sizing:catalogue": "",
}
OPEN = {
    "measurements:worker",
    "measurements:phone_bundle",
    "measurements:leave_script",
    "shop:theme",
    "shop:safety",
    "shop:health_live",
    "shop:health_ready",
}


def _names(resolver=None, namespace=""):
    for pattern in (resolver or get_resolver()).url_patterns:
        if hasattr(pattern, "url_patterns"):
            yield from _names(pattern, pattern.namespace or namespace)
        else:
            yield f"{namespace}:{pattern.name}"


def test_every_address_stands_in_a_table():
    known = {*PAGES, *POSTS, *LEADS_ON}
    assert {n for n in _names() if not n.startswith("intake:") and not n.endswith(":None")} == known


def _client(client, role):
    client.force_login(make_person(role), backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.mark.parametrize("role", [DESK_ROLE, TECHNICIAN_ROLE, OWNER_ROLE])
def test_each_role_sees_its_pages_and_is_refused_the_others(client, things, role):
    client = _client(client, role)
    wrong = {}
    for name, (what, may) in PAGES.items():
        status = client.get(reverse(name, args=things[what])).status_code
        if name == "measurements:review_pairing" and role in may:
            assert status in {200, 404}  # a pairing exists only once a job with it was handed over
        elif name == "measurements:hand_over_pdf" and role in may:
            assert status in {200, 302, 303}  # without the libraries for PDF it leads to the page to print
        elif status != (200 if role in may else 403):
            wrong[name] = status
    assert wrong == {}


@pytest.mark.parametrize("role", [DESK_ROLE, TECHNICIAN_ROLE, OWNER_ROLE])
def test_what_is_sent_is_refused_by_role_and_never_breaks(client, things, role):
    client = _client(client, role)
    wrong = {}
    for name, (what, may) in POSTS.items():
        if name == "shop:log_out":
            continue
        status = client.post(reverse(name, args=things[what])).status_code
        if (status == 403) != (role not in may) or status >= 500:
            wrong[name] = status
    assert wrong == {}


@pytest.mark.parametrize(("verb", "addresses"), [("get", POSTS), ("delete", PAGES)], ids=["posts", "pages"])
def test_an_address_refuses_verbs_it_does_not_know(client, things, verb, addresses):
    client = _client(client, OWNER_ROLE)
    found = {
        name: getattr(client, verb)(reverse(name, args=things[what])).status_code
        for name, (what, _) in addresses.items()
    }
    assert found == dict.fromkeys(addresses, 405)
    assert len(found) > 20


def test_a_stranger_is_sent_to_the_log_in(client, things):
    assert PAGES
    assert POSTS
    for name, (what, _) in {**PAGES, **POSTS}.items():
        response = client.get(reverse(name, args=things[what]))
        if name in OPEN:
            assert response.status_code in {200, 405}, name
        else:
            assert response.status_code == 302, name
            assert "/log-in/" in response["Location"], name


def test_what_does_not_exist_is_a_page_that_says_so(client, things):
    client = _client(client, OWNER_ROLE)
    numbered = [
        (name, args) for name, (args, _) in PAGES.items() if args in {"job", "photo", "quote", "plan", "log", "vehicle"}
    ]
    assert len(numbered) > 10
    for name, _ in numbered:
        response = client.get(reverse(name, args=[999_999]))
        assert response.status_code == 404, name
        assert "nothing at this address" in response.content.decode(), name


def test_every_page_of_a_job_leads_to_the_safety_notes(client, things):
    client = _client(client, OWNER_ROLE)
    of_a_job = [n for n, (what, _) in PAGES.items() if what == "job" and not n.endswith(("_panel", "_pdf"))]
    assert len(of_a_job) > 5
    for name in of_a_job:
        assert reverse("shop:safety") in client.get(reverse(name, args=things["job"])).content.decode(), name
