"""The review where so much is to be worked out that no page should wait for it."""

import pytest

from measurements.long_work import review as review_work
from measurements.review import outcomes, review
from measurements.review.models import Outcome
from shop.long_work.models import Work
from shop.long_work.queue import carry_out
from tests.builders import make_turbo
from tests.measurements.review.test_review import finished_job


@pytest.fixture
def jobs(owner):
    turbo = make_turbo()
    return [finished_job(owner, turbo) for _ in range(5)]


@pytest.fixture
def two_at_a_time(monkeypatch):
    for module in (outcomes, review, review_work):
        monkeypatch.setattr(module, "TOGETHER", 2)


def test_many_missing_outcomes_are_worked_out_by_the_worker_and_the_page_says_so(
    jobs, owner_client, two_at_a_time, settings
):
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    page = owner_client.get("/review/").content.decode()
    work = Work.objects.get()
    assert (work.kind, work.by, work.state) == ("review_outcomes", None, "waiting")
    assert "Not whole yet." in page
    assert f'href="{work.get_absolute_url()}"' in page
    assert not Outcome.objects.exists()
    owner_client.get("/review/")
    assert Work.objects.count() == 1
    settings.TASKS = {"default": {"BACKEND": "django_tasks.backends.immediate.ImmediateBackend"}}
    carry_out.enqueue(work.pk)
    assert Outcome.objects.count() == 5
    page = owner_client.get(work.get_absolute_url(), follow=True)
    assert page.redirect_chain[-1][0] == "/review/"
    assert "Not whole yet." not in page.content.decode()


def test_how_much_of_it_is_done_is_told(jobs, two_at_a_time):
    shares = []
    assert outcomes.keep_missing_outcomes(shares.append) == 5
    assert shares == [2 / 5, 4 / 5, 1.0]


def test_a_few_are_worked_out_by_the_page(jobs, owner_client):
    assert "Not whole yet." not in owner_client.get("/review/").content.decode()
    assert Outcome.objects.count() == 5
    assert not Work.objects.exists()


def test_a_long_table_is_the_same_file_as_a_short_one(jobs, owner_client, monkeypatch):
    address = "/review/pairings.csv?least=2&sort=-survival&months=36"
    short = owner_client.get(address)
    monkeypatch.setattr(review_work, "MANY_JOBS", 4)
    answer = owner_client.get(address)
    work = Work.objects.get(kind="review_csv")
    assert answer["Location"] == work.get_absolute_url()
    made = b"".join(owner_client.get(f"{work.get_absolute_url()}file/").streaming_content)
    assert made == short.content
    assert made.count(b"\r\n") >= 2
