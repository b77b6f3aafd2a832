"""What the guided sheet of the pump bench holds goes to the plan without being typed again."""

from urllib.parse import parse_qsl, urlsplit

import pytest
from django.urls import reverse

from measurements.guided.actions import record_entry
from sizing.plans.models import BenchLine
from tests.measurements.builders import plan_of, planned_job
from tests.sizing.builders import make_a_plan

pytestmark = pytest.mark.django_db


def read(job, by, item, *values):
    for place, value in enumerate(values, 1):
        record_entry(job, "pump_bench", item, place, value, "", by)


def hand_on(client, plan):
    return client.get(reverse("measurements:bench_of_plan", args=[plan.pk]))


def test_full_load_lines_go_to_the_plan_and_idle_stays(owner_client, technician):
    job = planned_job(technician)
    read(job, technician, "delivery_rated_mm3", 48, 50.25, 53, 49)
    read(job, technician, "delivery_idle_mm3", 8, 9, 8, 9)
    read(job, technician, "delivery_rated_mm3", 48.5)  # read again: the newest counts
    there = hand_on(owner_client, plan_of(job))["Location"]
    assert urlsplit(there).path == reverse("sizing:bench", args=[plan_of(job).pk])
    assert dict(parse_qsl(urlsplit(there).query)) == {
        "rated_1": "48.5",
        "rated_2": "50.25",
        "rated_3": "53",
        "rated_4": "49",
    }
    page = owner_client.get(there)
    assert page.context["bench"].rows[0].mean_mm3 == pytest.approx(50.1875)  # (48.5 + 50.25 + 53 + 49) / 4
    assert not BenchLine.objects.exists()


def test_a_line_that_was_not_read_is_asked_for(owner_client, technician):
    job = planned_job(technician)
    read(job, technician, "delivery_torque_mm3", 48, 50, 53)
    page = owner_client.get(hand_on(owner_client, plan_of(job))["Location"])
    assert page.status_code == 422
    assert "Line 4 at the speed of greatest torque: empty beside the others" in page.content.decode()


def test_an_empty_sheet_and_a_plan_without_a_job_lead_to_the_empty_page(owner_client, technician):
    for plan in (plan_of(planned_job(technician)), make_a_plan()):
        response = hand_on(owner_client, plan)
        assert response["Location"] == reverse("sizing:bench", args=[plan.pk])
        page = owner_client.get(response["Location"]).content.decode()
        assert "has no full-load delivery yet" in page
        assert reverse("measurements:bench_of_plan", args=[plan.pk]) in page
    assert owner_client.get(reverse("measurements:bench_of_plan", args=[999_999])).status_code == 404


def test_the_guided_sheet_of_the_pump_leads_to_the_plan(technician_client, technician):
    job = planned_job(technician)
    there = reverse("measurements:bench_of_plan", args=[plan_of(job).pk])
    assert (
        there
        in technician_client.get(reverse("measurements:guided_sheet", args=[job.pk, "pump_bench"])).content.decode()
    )
    assert (
        there
        not in technician_client.get(reverse("measurements:guided_sheet", args=[job.pk, "leak_test"])).content.decode()
    )
