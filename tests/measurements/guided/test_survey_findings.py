"""What was found at the engine fills in the shop's survey sheet; nobody types it twice and nothing is counted twice."""

import re

import pytest

from measurements.guided.actions import record_entry
from measurements.guided.survey_findings import survey_findings
from measurements.proving.next_steps import next_step
from shop.survey.models import Survey
from tests.builders import make_job


@pytest.fixture
def job(technician):
    job = make_job(technician)
    # 1 bar is 100 kPa (NIST SP 811)
    for place, kpa in enumerate((2850.0, 3000.0, 2900.0, 2950.0), 1):
        record_entry(job, "survey", "compression_kpa", place, kpa, "", technician)
    record_entry(job, "survey", "blow_by_l_min", 0, 60.0, "", technician)
    record_entry(job, "survey", "oil", 0, None, "good", technician)
    record_entry(job, "survey", "clutch", 0, None, "repair", technician)
    return job


def test_findings_are_said_in_the_fields_of_the_survey_sheet(job):
    assert survey_findings(job) == {
        "compression_low_bar": "28.5", "compression_high_bar": "30", "blow_by_l_min": "60", "oil_state": "good", "clutch_state": "repair",
    }  # fmt: skip


def test_a_finding_that_was_taken_back_or_done_anew_counts_as_it_stands_now(technician, job):
    record_entry(job, "survey", "compression_kpa", 1, 2600.0, "", technician)
    record_entry(job, "survey", "oil", 0, None, "", technician)
    found = survey_findings(job)
    assert found["compression_low_bar"] == "26"
    assert "oil_state" not in found


def test_the_desk_sees_them_filled_in_and_stores_one_survey(technician_client, job):
    assert next_step(job).url_name == "measurements:survey_sheet"
    page = technician_client.get(f"/jobs/{job.pk}/survey-sheet/", follow=True).content.decode()
    assert 'name="compression_low_bar" value="28.5"' in page
    assert re.search(r'<option value="repair" selected>', page)
    assert not Survey.objects.exists()
    found = survey_findings(job) | {
        name: "unchecked" for name in Survey.STATE_FIELDS if name not in survey_findings(job)
    }
    post_id = re.search(r'name="post_id" value="([^"]+)"', page)[1]
    for _ in range(2):
        technician_client.post(
            f"/jobs/{job.pk}/survey/new/", {**found, "verdict": "repairs", "repairs": "new clutch", "post_id": post_id}
        )
    survey = Survey.objects.get()
    assert (survey.compression_low_bar, survey.compression_high_bar, survey.clutch_state) == (28.5, 30.0, "repair")


def test_without_findings_the_sheet_is_empty_and_says_so(technician, technician_client):
    page = technician_client.get(f"/jobs/{make_job(technician).pk}/survey-sheet/", follow=True).content.decode()
    assert "Nothing was found at the engine yet" in page
