"""A hand-over sheet with much on it is set by the worker."""

import pytest

from measurements.long_work import papers as paper_work
from measurements.readings.actions import record_point
from shop.long_work.models import Work
from tests.measurements.builders import planned_job


@pytest.fixture
def job(owner):
    job = planned_job(owner, "proving")
    for speed in (1500, 2000, 2500):
        record_point(job, "before", speed, 100, {"exhaust_temperature_c": 610.0}, owner)
    return job


def test_it_is_made_by_the_worker_above_the_size_and_at_once_below(job, owner_client, monkeypatch):
    pytest.importorskip("weasyprint", exc_type=OSError)
    address = f"/jobs/{job.pk}/hand-over/sheet.pdf"
    monkeypatch.setattr(paper_work, "LARGE_SHEET_READINGS", 3)
    assert owner_client.get(address)["Content-Type"] == "application/pdf"
    assert not Work.objects.exists()
    monkeypatch.setattr(paper_work, "LARGE_SHEET_READINGS", 2)
    work_page = owner_client.get(address)["Location"]
    work = Work.objects.get()
    assert work_page == work.get_absolute_url()
    assert (work.state, work.made_name) == ("done", f"hand-over {job.number}.pdf")
    assert work.made.read().startswith(b"%PDF-")


def test_a_machine_that_makes_no_pdf_says_what_to_do(job, owner_client, monkeypatch):
    def none(_job):
        raise paper_work.NoPdf("no library")

    monkeypatch.setattr(paper_work, "LARGE_SHEET_READINGS", 2)
    monkeypatch.setattr(paper_work, "sheet_pdf", none)
    page = owner_client.get(f"/jobs/{job.pk}/hand-over/sheet.pdf", follow=True).content.decode()
    assert "Print the sheet&#x27;s page from the browser instead." in page
