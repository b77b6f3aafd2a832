import hashlib
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from measurements.actions.logs import KnownLog, bytes_of, read_log, receive_log, undo_log
from measurements.log_dialect import LogRefused
from measurements.models import LogFile, LogPull
from shop.models import JobEvent
from tests.measurements.builders import job_in_run, planned_job
from tests.measurements.log_files import NO_SPEED, NO_TIME, ONE_COLUMN, PHOTO, UNCLOSED, pull_log, run_up_log


def upload(client, job, data, name="run.csv", phase="before"):
    file = SimpleUploadedFile(name, data)
    return client.post(reverse("measurements:logs", args=[job.pk]), {"phase": phase, "file": file})


def text_of(response):
    return re.sub(r"\s+", " ", response.content.decode())


def matched(client, log, **changes):
    fields = {}
    for column in log.columns.all():
        fields[f"quantity_{column.position}"] = column.quantity
        fields[f"unit_{column.position}"] = column.unit
    return client.post(reverse("measurements:log_match", args=[log.pk]), fields | changes)


def test_a_log_is_kept_byte_for_byte_with_its_hash(technician):
    data = pull_log()
    log = receive_log(planned_job(technician), "before", "run.csv", data, technician)
    assert bytes_of(log) == data
    assert log.sha256 == hashlib.sha256(data).hexdigest()
    read_log(log, None, technician)
    assert bytes_of(log) == data


def test_the_way_of_a_log_from_upload_to_finding(technician, technician_client):
    job, _ = job_in_run(technician)
    response = upload(technician_client, job, pull_log(spike=True), phase="after")
    log = LogFile.objects.get()
    assert response.url == reverse("measurements:log_match", args=[log.pk])
    page = text_of(technician_client.get(response.url))
    assert "egt_C" in page
    assert "kept as received" in page
    response = matched(technician_client, log)
    page = text_of(technician_client.get(response.url))
    for part in ("1 pull at full load", "81.8 L/h at 5.00 s", hashlib.sha256(pull_log(spike=True)).hexdigest(), "1,400 to 3,800"):
        assert part in page, part
    assert LogPull.objects.get().boost_highest_kpa == 82.0


def test_a_column_may_be_corrected_before_it_is_read(technician, technician_client):
    log = receive_log(planned_job(technician), "before", "run.csv", pull_log(), technician)
    position = log.columns.get(header="egt_C").position
    assert matched(technician_client, log, **{f"quantity_{position}": "oil_temperature_c"}).status_code == 302
    assert log.columns.get(position=position).quantity == "oil_temperature_c"


def test_a_wrong_unit_is_refused_with_everything_chosen_still_there(technician, technician_client):
    log = receive_log(planned_job(technician), "before", "run.csv", pull_log(), technician)
    position = log.columns.get(header="boost_kPa").position
    response = matched(technician_client, log, **{f"unit_{position}": "rpm"})
    assert response.status_code == 422
    assert "boost_kPa: boost, gauge cannot be in &#x27;rpm&#x27;" in text_of(response)
    assert '<option value="speed_rpm" selected>' in text_of(response)
    assert LogFile.objects.get().state == "received"


@pytest.mark.parametrize(
    ("data", "words"),
    [(PHOTO, "photo"), (b"", "empty"), (ONE_COLUMN, "only one column"), (b"hello\nthere\n", "No rows of figures")],
)
def test_what_is_no_log_is_refused_beside_the_field(technician, technician_client, data, words):
    job = planned_job(technician)
    response = upload(technician_client, job, data)
    assert response.status_code == 422
    assert words in text_of(response)
    assert not LogFile.objects.exists()


@pytest.mark.parametrize(("data", "words"), [(NO_TIME, "No column is taken for the time"), (NO_SPEED, "No column is taken for the engine speed"), (UNCLOSED, "never closed")])
def test_what_cannot_be_read_stays_and_says_why(technician, technician_client, data, words):
    upload(technician_client, planned_job(technician), data)
    log = LogFile.objects.get()
    response = matched(technician_client, log)
    assert response.status_code == 422
    assert words in text_of(response)
    assert bytes_of(LogFile.objects.get()) == data


def test_a_file_that_is_too_large_is_refused(technician, technician_client, settings):
    settings.MAX_UPLOAD_MB = 1
    response = upload(technician_client, planned_job(technician), b"time_s,rpm\n" + b"1,900\n" * 200_000)
    assert response.status_code == 422
    assert "Allowed: up to 1 MB" in text_of(response)


def test_the_same_file_twice_says_so(technician, technician_client):
    job = planned_job(technician)
    upload(technician_client, job, pull_log())
    response = upload(technician_client, job, pull_log(), name="other name.csv")
    assert response.status_code == 422
    assert "here already" in text_of(response)
    assert LogFile.objects.count() == 1


def test_a_log_taken_back_counts_no_more_keeps_its_file_and_may_come_again(technician, technician_client):
    job = planned_job(technician)
    log = receive_log(job, "before", "run.csv", pull_log(), technician)
    read_log(log, None, technician)
    technician_client.post(reverse("measurements:log_undo", args=[log.pk]))
    log.refresh_from_db()
    assert (log.state, log.pulls.count()) == ("undone", 0)
    assert bytes_of(log) == pull_log()
    with pytest.raises(LogRefused, match="taken back"):
        read_log(log, None, technician)
    assert receive_log(job, "before", "run.csv", pull_log(), technician).pk != log.pk


def test_reading_again_replaces_what_was_found(technician):
    log = receive_log(planned_job(technician), "before", "run.csv", pull_log(), technician)
    read_log(log, None, technician)
    read_log(log, None, technician)
    assert log.pulls.count() == 1


def test_each_step_writes_history(technician):
    job = planned_job(technician)
    log = receive_log(job, "before", "run.csv", run_up_log(), technician)
    read_log(log, None, technician)
    undo_log(log, technician)
    told = [e.text for e in JobEvent.objects.filter(job=job, kind="log")]
    assert len(told) == 3
    assert "No load, not a boost test" in told[1]


def test_nothing_is_stored_for_a_job_that_was_called_off(technician):
    with pytest.raises(LogRefused, match="called off"):
        receive_log(planned_job(technician, stage="called_off"), "before", "x.csv", pull_log(), technician)


def test_the_same_file_may_belong_to_two_jobs(technician):
    first = receive_log(planned_job(technician), "before", "x.csv", pull_log(), technician)
    second = receive_log(planned_job(technician), "before", "x.csv", pull_log(), technician)
    assert first.sha256 == second.sha256
    with pytest.raises(KnownLog):
        receive_log(second.job, "before", "x.csv", pull_log(), technician)


def test_the_file_comes_back_as_it_was_sent(technician, technician_client):
    log = receive_log(planned_job(technician), "before", "run.csv", pull_log(), technician)
    response = technician_client.get(reverse("measurements:log_file", args=[log.pk]))
    assert b"".join(response.streaming_content) == pull_log()
    assert "attachment" in response["Content-Disposition"]


def test_panel_and_list_show_what_is_there(technician, technician_client):
    job = planned_job(technician)
    assert "kept as received" in text_of(technician_client.get(reverse("measurements:logs_panel", args=[job.pk])))
    read_log(receive_log(job, "before", "run.csv", run_up_log(), technician), None, technician)
    panel = text_of(technician_client.get(reverse("measurements:logs_panel", args=[job.pk])))
    assert "No load, not a boost test" in panel
    assert "<html" not in panel
