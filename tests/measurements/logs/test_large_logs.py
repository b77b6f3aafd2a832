"""Logs above the size that a page reads by itself: received at once, understood, read and written out by the worker."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django_tasks_db.models import DBTaskResult

from measurements.logs.actions import receive_log, undo_file
from measurements.logs.models import LogFile
from measurements.logs.reading import read_log
from measurements.long_work import logs as log_work
from shop.long_work.models import Work
from shop.long_work.queue import carry_out
from sizing.tables.refused import FileRefused
from tests.builders import make_job
from tests.measurements.builders import planned_job

HEADER = b"time_s,engine_speed_rpm,boost_kPa,egt_C\n"
ROWS = "".join(f"{i / 10},{1500 + 20 * i},{min(80, i)},{400 + i}\n" for i in range(120)).encode()
PULL = HEADER + ROWS


@pytest.fixture(autouse=True)
def _all_logs_are_large(monkeypatch):
    monkeypatch.setattr(log_work, "LARGE_LOG_BYTES", 100)
    monkeypatch.setattr(log_work, "LARGE_EXPORT_CELLS", 100)


@pytest.fixture
def job(owner):
    return planned_job(owner, "proving")


@pytest.fixture
def waiting(settings):
    """Nobody works yet: what is asked for waits in the queue."""
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}

    def work_on() -> None:
        for task in DBTaskResult.objects.ready():
            settings.TASKS = {"default": {"BACKEND": "django_tasks.backends.immediate.ImmediateBackend"}}
            carry_out.enqueue(*task.args_kwargs["args"])

    return work_on


def _send(client, job, data=PULL, name="long.csv"):
    return client.post(f"/jobs/{job.pk}/logs/", {"phase": "after", "file": SimpleUploadedFile(name, data)})


def _matched(client, log):
    page = client.get(f"/logs/{log.pk}/match/")
    assert page.status_code == 200
    return {f.html_name: f.value() or "" for f in page.context["form"]}


@pytest.mark.parametrize(
    ("name", "size", "large"),
    [
        ("a.csv", 10_485_760, False),
        ("a.csv", 10_485_761, True),
        ("a.zip", 524_288, False),
        ("a.ZIP", 524_289, True),
        ("a.xlsx", 524_289, True),
    ],
)
def test_which_files_are_large(monkeypatch, name, size, large):
    monkeypatch.undo()
    assert log_work.is_large(name, size) is large


def test_a_large_log_is_received_at_once_and_understood_by_the_worker(technician_client, job, waiting):
    answer = _send(technician_client, job)
    work = Work.objects.get()
    assert answer["Location"] == work.get_absolute_url()
    assert (work.kind, work.state, str(work)) == ("log_import", "waiting", "Log long.csv")
    assert work.received.read() == PULL
    assert not LogFile.objects.exists()
    listed = technician_client.get(f"/jobs/{job.pk}/logs/").content.decode()
    assert f'<a href="{work.get_absolute_url()}">Log long.csv</a>: ' in listed
    waiting()
    log = LogFile.objects.get()
    with log.file.open("rb") as file:
        assert file.read() == PULL
    work.refresh_from_db()
    assert (work.state, work.received.name, log.at) == ("done", "", work.at)
    assert technician_client.get(work.get_absolute_url())["Location"] == f"/logs/{log.pk}/match/"
    assert "Log long.csv" not in technician_client.get(f"/jobs/{job.pk}/logs/").content.decode()


def test_it_is_read_as_matched_by_the_worker_too(technician_client, job):
    _send(technician_client, job)
    log = LogFile.objects.get()
    answer = technician_client.post(f"/logs/{log.pk}/match/", _matched(technician_client, log))
    work = Work.objects.get(kind="log_reading")
    assert answer["Location"] == work.get_absolute_url()
    assert technician_client.get(work.get_absolute_url())["Location"] == f"/logs/{log.pk}/"
    log.refresh_from_db()
    assert (log.state, log.row_count) == ("read", 120)


def test_a_large_log_is_looked_at_only_when_somebody_asks(technician_client, job):
    _send(technician_client, job)
    log = LogFile.objects.get()
    page = technician_client.get(f"/logs/{log.pk}/match/").content.decode()
    assert "The file is large" in page
    assert "Read so, it would show" not in page
    page = technician_client.post(f"/logs/{log.pk}/match/", {**_matched(technician_client, log), "look": "1"})
    assert "Read so, it would show" in page.content.decode()


def test_what_is_no_log_is_refused_with_its_reason_and_kept(technician_client, job):
    answer = _send(technician_client, job, b"\xff\xd8\xff" + b"x" * 200, "photo.csv")
    page = technician_client.get(answer["Location"]).content.decode()
    assert "photo.csv: " in page
    assert "a photo (JPEG)" in page
    assert LogFile.objects.get().state == "refused"


def test_the_same_file_sent_twice_is_said(technician_client, job):
    _send(technician_client, job)
    page = technician_client.get(_send(technician_client, job)["Location"]).content.decode()
    assert "This file is here already" in page
    assert LogFile.objects.count() == 1


def test_an_import_cut_off_after_it_was_stored_is_done_and_not_taken_for_a_second_sending(technician_client, job):
    _send(technician_client, job)
    work, log = Work.objects.get(), LogFile.objects.get()
    with log.file.open("rb") as file:
        work.received.save("long.csv", file, save=False)
    Work.objects.filter(pk=work.pk).update(state="waiting", received=work.received.name, leads_to=[])
    carry_out.enqueue(work.pk)
    work.refresh_from_db()
    assert (work.state, work.leads_to) == ("done", ["measurements:log_match", log.pk])
    assert LogFile.objects.count() == 1


def test_a_log_taken_back_while_it_waits_stays_taken_back(technician_client, technician, job, waiting, settings):
    log = receive_log(job, "after", "long.csv", PULL, technician)
    technician_client.post(f"/logs/{log.pk}/match/", _matched(technician_client, log))
    undo_file(log, technician)
    waiting()
    work = Work.objects.get()
    assert (work.state, work.why) == ("refused", "This log was taken back. Send the file again to read it.")
    log.refresh_from_db()
    assert (log.state, log.table.name) == ("undone", "")


def test_a_log_taken_back_while_it_is_being_read_stays_taken_back(technician, job, monkeypatch):
    """Read from the file before the lock: what was done meanwhile must count."""
    log = receive_log(job, "after", "long.csv", PULL, technician)
    stretches_of = log_work.read_log.__globals__["stretches_of"]

    def slowly(*args):
        found = stretches_of(*args)
        undo_file(log, technician)
        return found

    monkeypatch.setitem(log_work.read_log.__globals__, "stretches_of", slowly)
    with pytest.raises(FileRefused, match="was taken back"):
        read_log(LogFile.objects.get(), None, technician)
    log.refresh_from_db()
    assert (log.state, log.table.name) == ("undone", "")
    assert not list(log.file.storage.listdir(log.file.name.rsplit("/", 1)[0])[1][1:])  # no columns left behind


def test_a_log_that_is_gone_is_said(technician_client, technician, job, waiting):
    log = receive_log(job, "after", "long.csv", PULL, technician)
    technician_client.post(f"/logs/{log.pk}/match/", _matched(technician_client, log))
    log.columns.all().delete()
    log.delete()
    waiting()
    assert (Work.objects.get().state, Work.objects.get().why) == ("refused", "This log is not there any more.")


def test_a_job_called_off_meanwhile_takes_no_log(technician_client, job, waiting):
    _send(technician_client, job)
    job.stage = "called_off"
    job.save(update_fields=["stage"])
    waiting()
    assert "This job was called off" in Work.objects.get().why
    assert not LogFile.objects.exists()


@pytest.mark.parametrize("suffix", ["csv", "parquet"])
@pytest.mark.parametrize("raw", ["", "?raw=1"])
def test_a_large_export_is_the_same_file_as_a_small_one(technician_client, technician, job, monkeypatch, suffix, raw):
    log = read_log(receive_log(job, "after", "long.csv", PULL, technician), None, technician)
    answer = technician_client.get(f"/logs/{log.pk}/{suffix}/{raw}")
    work = Work.objects.get(kind="log_export")
    assert answer["Location"] == work.get_absolute_url()
    assert str(work) == f"The log long.csv as {suffix}"
    made = b"".join(technician_client.get(f"{work.get_absolute_url()}file/").streaming_content)
    monkeypatch.undo()
    small = technician_client.get(f"/logs/{log.pk}/{suffix}/{raw}")
    assert made == b"".join(small.streaming_content)
    assert len(made) > 1000
    assert work.made_name == small.headers["Content-Disposition"].split('"')[1]


def test_a_job_knows_only_its_own_work(technician_client, owner, job, waiting):
    _send(technician_client, job)
    other = make_job(owner)
    assert "Log long.csv" not in technician_client.get(f"/jobs/{other.pk}/logs/").content.decode()
