"""Long work in the queue of the database: done once, told of, refused, gone wrong, cut off, tidied away."""

from datetime import timedelta

import pytest
from django.core.files.base import ContentFile
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from shop.long_work import queue
from shop.long_work.models import LOST_S, Work, WorkerSeen
from shop.long_work.queue import ask, ask_again, carry_out, take_back_lost
from shop.long_work.worker import Worker, tidy_up
from tests.builders import make_person
from tests.shop.long_work.builders import known_kinds

LONG_AGO = timedelta(seconds=LOST_S + 5)


@pytest.fixture(autouse=True)
def _kinds(settings):
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    with known_kinds():
        yield


@pytest.fixture
def worker(transactional_db):
    return Worker()


@pytest.fixture
def desk_person(transactional_db, workshop):
    return make_person("front desk", "dora")


def _again(work: Work) -> Work:
    work.refresh_from_db()
    return work


def _cut_off(work: Work, worker_name: str) -> None:
    """As a killed worker leaves it."""
    Work.objects.filter(pk=work.pk).update(
        state="doing", tries=1, worker=worker_name, started_at=timezone.now() - LONG_AGO
    )
    DBTaskResult.objects.all().delete()


def test_what_is_asked_for_waits_and_is_done_by_the_worker(worker, desk_person):
    work = ask("count", desk_person, what="seven")
    assert (work.state, work.tries) == ("waiting", 0)
    assert worker.round() is True
    work = _again(work)
    assert (work.state, work.tries, work.worker, work.step) == ("done", 1, worker.name, "count")
    assert work.made.read() == b"seven"
    assert work.made_name == "counted.txt"
    assert worker.round() is False


def test_an_idle_look_takes_no_lock(worker, django_assert_num_queries):
    worker.tidied_at = float("inf")
    with django_assert_num_queries(2) as asked:
        assert worker.round() is False
    assert all(q["sql"].startswith("SELECT") for q in asked.captured_queries)


def test_the_same_is_not_asked_for_twice_while_it_is_under_way(worker, desk_person):
    first = ask("count", desk_person, what="seven")
    assert ask("count", desk_person, what="seven") == first
    assert ask("count", desk_person, what="eight") != first
    while worker.round():
        pass
    assert ask("count", desk_person, what="seven") != first


def test_a_refusal_says_why_and_what_broke_says_what(worker, desk_person):
    refused, broken = ask("refuse", desk_person, what="seven"), ask("fail", desk_person, what="eight")
    while worker.round():
        pass
    assert (_again(refused).state, refused.why) == ("refused", "seven cannot be done. Choose another one.")
    assert (_again(broken).state, broken.trouble) == ("failed", "ZeroDivisionError: no eight")
    assert refused.ended_at
    assert broken.ended_at


def test_two_workers_do_each_piece_once(worker, desk_person):
    other, asked = Worker(), [ask("count", desk_person, what=str(i)) for i in range(6)]
    for one in (worker, other, worker, other, worker, other, worker, other):
        one.round()
    assert [(_again(work).state, work.tries) for work in asked] == [("done", 1)] * 6
    assert {work.worker for work in asked} == {worker.name, other.name}


def test_a_task_that_comes_twice_is_done_once(worker, desk_person):
    work = ask("count", desk_person, what="seven")
    carry_out.enqueue(work.pk)
    while worker.round():
        pass
    assert (_again(work).tries, DBTaskResult.objects.successful().count()) == (1, 2)


def test_what_a_lost_worker_had_is_done_by_another(worker, desk_person):
    work = ask("count", desk_person, what="seven")
    _cut_off(work, "a worker that was killed")
    assert worker.round() is True
    assert (_again(work).state, work.tries, work.worker) == ("done", 2, worker.name)


def test_a_worker_that_is_seen_keeps_its_work(worker, desk_person):
    work = ask("count", desk_person, what="seven")
    _cut_off(work, "slow")
    WorkerSeen.objects.create(name="slow", at=timezone.now())
    assert take_back_lost() == 0
    WorkerSeen.objects.update(at=timezone.now() - LONG_AGO)
    assert take_back_lost() == 1


def test_work_that_loses_its_worker_each_time_is_given_up(worker, desk_person):
    work = ask("once", desk_person, what="seven")
    _cut_off(work, "a worker that was killed")
    assert worker.round() is False
    assert (_again(work).state, work.trouble) == ("failed", "")


def test_a_worker_that_was_taken_for_lost_changes_nothing_when_it_wakes(worker, desk_person):
    """It was given to another one in the middle: what the first one makes is thrown away."""
    work = ask("count", desk_person, what="seven")
    Work.objects.filter(pk=work.pk).update(state="doing", tries=1)
    late = _again(work)
    Work.objects.filter(pk=work.pk).update(state="doing", tries=2)
    hand = queue.Hand(late, None)
    with pytest.raises(queue.PutBack):
        hand.tell("count", 0.5)
    queue._end(late, "failed", trouble="late")
    assert (_again(work).state, work.trouble) == ("doing", "")


def test_a_worker_that_is_told_to_stop_puts_its_work_back_and_the_try_does_not_count(worker, desk_person, monkeypatch):
    work = ask("hang", desk_person, what="seven")
    monkeypatch.setattr(queue, "is_stopping", lambda: True)
    worker.round()
    assert (_again(work).state, work.tries) == ("waiting", 0)
    assert DBTaskResult.objects.ready().count() == 1


def test_what_was_sent_is_kept_until_it_is_done_and_may_be_tried_again(worker, desk_person):
    work = ask("sent", desk_person, received=ContentFile(b"a log", name="a.csv"), what="a.csv")
    name = work.received.name
    _cut_off(work, "one")
    Work.objects.update(tries=2)
    worker.round()
    assert (_again(work).state, work.received.name) == ("failed", name)
    new = ask_again(work, desk_person)
    assert (_again(work).state, work.received.name, work.may_be_tried_again) == ("again", "", False)
    worker.round()
    assert (_again(new).state, new.made.read()) == ("done", b"a log")
    assert new.received.name == ""
    assert not new.received.storage.exists(name)


def test_old_files_and_rows_are_tidied_away_and_what_failed_keeps_what_was_sent(worker, desk_person, settings):
    done, kept = ask("count", desk_person, what="seven"), ask("fail", desk_person, what="eight")
    while worker.round():
        pass
    Work.objects.filter(pk=kept.pk).update(received="incoming/still here.csv")
    Work.objects.update(ended_at=timezone.now() - timedelta(hours=25))
    name = _again(done).made.name
    tidy_up()
    assert not done.made.storage.exists(name)
    assert _again(done).made.name == ""
    Work.objects.update(ended_at=timezone.now() - timedelta(days=31))
    DBTaskResult.objects.update(finished_at=timezone.now() - timedelta(days=31))
    tidy_up()
    assert [row.pk for row in Work.objects.all()] == [kept.pk]
    assert not DBTaskResult.objects.exists()
