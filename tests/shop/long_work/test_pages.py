"""What a person sees of long work, with and without script."""

from datetime import timedelta

import pytest
from django.core.files.base import ContentFile
from django.utils import timezone

from shop.long_work.models import LOST_S, Work, WorkerSeen
from shop.long_work.queue import ask
from sizing.said import told
from tests.shop.long_work.builders import known_kinds


@pytest.fixture(autouse=True)
def _kinds(db):
    with known_kinds():
        yield


def _work(by, state, **fields) -> Work:
    return Work.objects.create(kind="count", given={"what": "seven"}, by=by, state=state, **fields)


def _page(client, work) -> str:
    response = client.get(work.get_absolute_url())
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def _seen(ago_s: float = 1) -> None:
    WorkerSeen.objects.create(name="one", at=timezone.now() - timedelta(seconds=ago_s))


def test_what_waits_says_what_comes_first_and_looks_again_with_script_and_without(desk, desk_client):
    _seen()
    _work(desk, "waiting")
    page = _page(desk_client, _work(desk, "waiting"))
    assert "1 other piece of work comes first" in page
    assert 'hx-trigger="every 1s"' in page
    assert '<noscript><meta http-equiv="refresh" content="3"></noscript>' in page
    assert "Nothing is being done" not in page


def test_what_is_being_done_says_how_far_it_has_come(desk, desk_client):
    _seen()
    page = _page(desk_client, _work(desk, "doing", step="count", share=0.4, started_at=timezone.now(), tries=1))
    assert "Counting, 40&nbsp;%." in page
    assert 'value="40"' in page
    assert "cut off" not in page


@pytest.mark.parametrize("ago_s", [None, LOST_S + 60])
def test_without_a_worker_the_page_and_the_health_page_say_so(desk, desk_client, ago_s):
    if ago_s:
        _seen(ago_s)
    page = _page(desk_client, _work(desk, "waiting"))
    assert "Nothing is being done just now." in page
    assert ("The worker was last seen on" if ago_s else "No worker is running") in page
    told = desk_client.get("/health/ready").json()
    assert told["database"] == "ok"
    assert told["worker"].startswith("not seen for 12" if ago_s else "never seen")


def test_the_health_page_says_when_all_is_well(desk_client):
    _seen()
    assert desk_client.get("/health/ready").json() == {"database": "ok", "worker": "ok"}


def test_the_fragment_leads_to_the_whole_page_when_it_has_ended(desk, desk_client):
    work = _work(desk, "doing", started_at=timezone.now())
    address = f"{work.get_absolute_url()}panel/"
    assert "HX-Redirect" not in desk_client.get(address, headers={"HX-Request": "true"})
    Work.objects.update(state="done", ended_at=timezone.now())
    answer = desk_client.get(address, headers={"HX-Request": "true"})
    assert answer["HX-Redirect"] == work.get_absolute_url()


def test_a_file_that_was_made_is_fetched_and_when_it_is_gone_that_is_said(desk, desk_client):
    work = ask("count", desk, what="seven")
    assert "Download counted.txt" in _page(desk_client, work)
    answer = desk_client.get(f"{work.get_absolute_url()}file/")
    assert answer["Content-Disposition"] == 'attachment; filename="counted.txt"'
    assert b"".join(answer.streaming_content) == b"seven"
    work.made.storage.delete(work.made.name)
    answer = desk_client.get(f"{work.get_absolute_url()}file/", follow=True)
    assert "This file is not kept any more" in answer.content.decode()


def test_what_leads_on_leads_on_and_says_its_lines_once(desk, desk_client):
    work = _work(
        desk, "done", leads_to=["shop:safety"], said=[told("Two rows were left out.").kept()], ended_at=timezone.now()
    )
    for said in (True, False):
        answer = desk_client.get(work.get_absolute_url(), follow=True)
        assert answer.redirect_chain[-1][0] == "/safety/"
        assert ("Two rows were left out." in answer.content.decode()) is said


def test_what_went_wrong_is_said_and_may_be_tried_again(desk, desk_client):
    work = ask("fail", desk, what="seven")
    page = _page(desk_client, work)
    assert "ZeroDivisionError: no seven" in page
    assert "Nothing is lost" in page
    answer = desk_client.post(f"{work.get_absolute_url()}again/")
    new = Work.objects.exclude(pk=work.pk).get()
    assert answer["Location"] == new.get_absolute_url()
    work.refresh_from_db()
    assert (work.state, new.state) == ("again", "failed")
    answer = desk_client.post(f"{work.get_absolute_url()}again/", follow=True)
    assert "This cannot be tried again" in answer.content.decode()
    assert Work.objects.count() == 2


def test_a_refusal_is_shown_in_its_own_words(desk, desk_client):
    page = _page(desk_client, ask("refuse", desk, what="seven"))
    assert "seven cannot be done. Choose another one." in page
    assert "the program does not know" not in page


def test_others_do_not_see_it_and_the_owner_does(desk, technician_client, owner_client):
    work = ask("count", desk, what="seven")
    for part in ("", "panel/", "file/"):
        assert technician_client.get(work.get_absolute_url() + part).status_code == 403
        assert owner_client.get(work.get_absolute_url() + part).status_code == 200
    assert technician_client.post(f"{work.get_absolute_url()}again/").status_code == 403
    assert "Test of seven" not in technician_client.get("/long-work/").content.decode()
    assert "Test of seven" in owner_client.get("/long-work/").content.decode()


def test_a_hostile_name_stays_text(desk, desk_client):
    work = ask("sent", desk, received=ContentFile(b"x", name="a.csv"), what="<script>alert(1)</script>.csv")
    page = _page(desk_client, work)
    assert "&lt;script&gt;" in page
    assert "<script>alert" not in page
