"""One record of a smoke test: the guided sheet leads into it and asks nothing that is asked there."""

import pytest
from django.urls import reverse

from measurements.guided.actions import record_entry
from measurements.guided.models import SheetEntry
from measurements.guided.sheets import SHEET
from tests.builders import make_job

pytestmark = pytest.mark.django_db


def test_the_sheet_asks_for_no_smoke_and_leads_on(technician, technician_client):
    job = make_job(technician)
    page = technician_client.get(
        reverse("measurements:guided_sheet", args=[job.pk, "free_acceleration"])
    ).content.decode()
    assert "Smoke at each pull" not in page
    assert "Oil temperature" not in page
    assert reverse("measurements:smoke_test", args=[job.pk]) in page


def test_what_a_phone_still_holds_is_taken(technician):
    # typed before the page changed, sent after: a reading once typed is never lost
    record_entry(make_job(technician), "free_acceleration", "smoke_k_per_m", 1, 2.1, "", technician)
    assert SheetEntry.objects.get().value == 2.1


def test_only_this_sheet_has_items_that_are_not_asked_any_more():
    assert [s.slug for s in SHEET.values() if s.asked != s.items] == ["free_acceleration"]
