import hashlib
import io
import re

import pandas as pd
import pyarrow.parquet as pq
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError
from django.urls import reverse

from measurements.logs import actions as log_actions
from measurements.logs import reading as log_reading
from measurements.logs.actions import KnownLog, receive_log, undo_file, undo_log
from measurements.logs.export import header_of
from measurements.logs.matches import bytes_of
from measurements.logs.models import LogFile, LogMatch, LogPull
from measurements.logs.parsing.names import CHANNELS, guess
from measurements.logs.reading import read_log
from shop.jobs.models import JobEvent
from sizing.tables.refused import FileRefused
from tests.answers import assert_not_found
from tests.measurements.builders import job_in_run, planned_job
from tests.measurements.logs.log_files import NO_SPEED, NO_TIME, ONE_COLUMN, PHOTO, UNCLOSED, pull_log, run_up_log
from tests.measurements.logs.parsing.log_dialects import BOOSTS, ROWS, SPEEDS, long_form, table, zipped


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
    for part in (
        "1 pull at full load",
        "81.8 L/h at 5.00 s",
        hashlib.sha256(pull_log(spike=True)).hexdigest(),
        "1,400 to 3,800",
    ):
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
    upload(technician_client, job, data)
    kept = list(LogFile.objects.all())
    assert [(log.state, bytes_of(log), log.columns.count()) for log in kept] == ([("refused", data, 0)] if data else [])
    if kept:
        assert words in text_of(technician_client.get(reverse("measurements:log", args=[kept[0].pk])))


@pytest.mark.parametrize(("data", "words"), [(NO_TIME, "No column is taken for the time"), (UNCLOSED, "never closed")])
def test_what_cannot_be_read_stays_and_says_why(technician, technician_client, data, words):
    upload(technician_client, planned_job(technician), data)
    log = LogFile.objects.get()
    response = matched(technician_client, log)
    assert response.status_code == 422
    assert words in text_of(response)
    assert bytes_of(LogFile.objects.get()) == data


def test_a_log_without_engine_speed_comes_in_and_carries_no_claim(technician, technician_client):
    upload(technician_client, planned_job(technician), NO_SPEED)
    log = LogFile.objects.get()
    assert matched(technician_client, log).status_code == 302
    text = text_of(technician_client.get(reverse("measurements:log", args=[log.pk])))
    assert "no engine speed was logged, so no pull can be found" in text
    assert "nothing is said about power" in text
    assert "220" in text  # its highest exhaust temperature


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
    with pytest.raises(FileRefused, match="taken back"):
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
    with pytest.raises(FileRefused, match="called off"):
        receive_log(planned_job(technician, stage="called_off"), "before", "x.csv", pull_log(), technician)


def test_the_same_file_may_belong_to_two_jobs(technician):
    first = receive_log(planned_job(technician), "before", "x.csv", pull_log(), technician)
    second = receive_log(planned_job(technician), "before", "x.csv", pull_log(), technician)
    assert first.sha256 == second.sha256
    with pytest.raises(KnownLog):
        receive_log(second.job, "before", "x.csv", pull_log(), technician)


def test_a_refusal_of_the_database_is_told_as_it_is_where_the_file_is_not_here_after_all(technician, monkeypatch):
    """The other one of two senders took theirs back in the same moment, or something else was refused."""

    def refuse(*_):
        raise IntegrityError("as the database said it")

    monkeypatch.setattr(log_actions, "record_event", refuse)
    with pytest.raises(IntegrityError, match="as the database said it"):
        receive_log(planned_job(technician), "before", "x.csv", pull_log(), technician)
    assert not LogFile.objects.exists()


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


TWO = zipped(cold__csv=table(), warm__csv=table([(t, n, b + 1) for t, n, b in ROWS]))


def test_several_recordings_are_chosen_matched_once_and_read_each_by_itself(technician, technician_client):
    job = planned_job(technician)
    response = upload(technician_client, job, TWO, name="day.zip")
    first, second = LogFile.objects.order_by("recording")
    assert response.url == reverse("measurements:log_recordings", args=[first.pk])
    page = text_of(technician_client.get(response.url))
    assert "cold.csv" in page
    assert "warm.csv" in page
    response = technician_client.post(response.url, {"keep": [first.pk, second.pk]})
    assert response.url == reverse("measurements:log_match", args=[first.pk])
    assert "Read the 1 other recording" in text_of(technician_client.get(response.url))
    matched(technician_client, first, alike="1")
    first.refresh_from_db()
    second.refresh_from_db()
    assert [first.state, second.state] == ["read", "read"]
    assert first.file.name == second.file.name, "one stored file"
    assert second.columns.get(quantity="boost_kpa").highest == max(BOOSTS) + 1
    assert "warm.csv" in text_of(technician_client.get(reverse("measurements:log", args=[first.pk])))


def test_a_recording_that_is_not_kept_is_taken_back_and_one_must_stay(technician, technician_client):
    upload(technician_client, planned_job(technician), TWO, name="day.zip")
    first, second = LogFile.objects.order_by("recording")
    address = reverse("measurements:log_recordings", args=[first.pk])
    response = technician_client.post(address, {})
    assert response.status_code == 422
    assert "Keep at least one" in text_of(response)
    technician_client.post(address, {"keep": [second.pk]})
    first.refresh_from_db()
    assert first.state == "undone"
    assert undo_file(second, technician) == 1


def test_a_clock_that_starts_again_gives_recordings_of_their_own(technician):
    data = table([*ROWS, *ROWS[:20]]).encode()
    log = read_log(receive_log(planned_job(technician), "before", "two.csv", data, technician), None, technician)
    [other] = log.siblings()
    assert (log.row_count, other.row_count, other.state) == (40, 20, "read")
    assert (log.part_label, other.part_label) == ("clock start 1 of 2", "clock start 2 of 2")
    undo_log(other, technician)
    read_log(log, None, technician)
    assert not log.siblings().exists(), "what was taken back does not come again"


def test_a_match_is_remembered_for_the_same_header_and_may_be_corrected(technician, technician_client):
    job = planned_job(technician)
    log = receive_log(job, "before", "a.csv", pull_log(), technician)
    position = log.columns.get(header="egt_C").position
    matched(technician_client, log, **{f"quantity_{position}": "oil_temperature_c"})
    other = receive_log(job, "before", "b.csv", pull_log(boost_top_kpa=70.0), technician)
    assert other.columns.get(position=position).quantity == "oil_temperature_c"
    assert "for a file with the same header" in text_of(
        technician_client.get(reverse("measurements:log_match", args=[other.pk]))
    )
    matched(technician_client, other, **{f"quantity_{position}": "exhaust_temperature_c"})
    assert LogMatch.objects.get().pairs[position] == ["exhaust_temperature_c", "°C"]
    log.refresh_from_db()
    assert log.columns.get(position=position).quantity == "oil_temperature_c", (
        "what was read before stays as it was read"
    )


def test_looking_again_stores_nothing_and_says_what_would_be_left_out(technician, technician_client):
    log = receive_log(planned_job(technician), "before", "run.csv", pull_log() + b"99,1\n", technician)
    response = matched(technician_client, log, look="1")
    assert response.status_code == 200
    assert "1 row with another number of cells than the header" in text_of(response)
    log.refresh_from_db()
    assert (log.state, LogMatch.objects.count(), LogPull.objects.count()) == ("received", 0, 0)


def test_a_unit_that_nobody_wrote_is_pointed_out(technician, technician_client):
    log = receive_log(
        planned_job(technician), "before", "run.csv", table(header=("time_s", "rpm", "boost")).encode(), technician
    )
    assert "not said in the file: check it" in text_of(
        technician_client.get(reverse("measurements:log_match", args=[log.pk]))
    )


def test_an_import_that_breaks_leaves_the_file_and_nothing_else(technician, monkeypatch):
    log = receive_log(planned_job(technician), "before", "run.csv", pull_log(), technician)
    before = set(log.file.storage.listdir("logs")[0])

    def breaks(*args):
        raise RuntimeError("disk full")

    monkeypatch.setattr(log_reading, "_store_columns", breaks)
    with pytest.raises(RuntimeError):
        read_log(log, {c.position: (c.quantity, c.unit) for c in log.columns.all()}, technician)
    log.refresh_from_db()
    assert (log.state, log.table.name, log.row_count, log.pulls.count(), LogMatch.objects.count()) == (
        "received",
        "",
        None,
        0,
        0,
    )
    assert bytes_of(log) == pull_log()
    assert set(log.file.storage.listdir("logs")[0]) == before


def test_export_gives_the_same_figures_to_another_reader(technician, technician_client):
    """Read back with pandas, not with our own import."""
    log = read_log(
        receive_log(planned_job(technician), "before", "run.csv", long_form().encode(), technician), None, technician
    )
    text = b"".join(technician_client.get(reverse("measurements:log_csv", args=[log.pk])).streaming_content)
    other = pd.read_csv(io.BytesIO(text))
    assert list(other) == ["Time [s]", "Engine speed [rpm]", "Boost, gauge [kPa]"]
    assert other["Boost, gauge [kPa]"].tolist() == BOOSTS
    packed = b"".join(technician_client.get(reverse("measurements:log_parquet", args=[log.pk])).streaming_content)
    assert pd.read_parquet(io.BytesIO(packed))["speed_rpm"].tolist() == SPEEDS
    schema = pq.read_schema(io.BytesIO(packed))
    assert schema.field("boost_kpa").metadata[b"unit"] == b"kPa"
    assert schema.field("boost_kpa").metadata[b"logged_as"] == b"Boost [kPa]"
    assert schema.metadata[b"sha256"].decode() == log.sha256


@pytest.mark.parametrize("slug", sorted(set(CHANNELS) - {"date", "time_part"}))
def test_an_export_comes_in_again_as_it_was(slug):
    assert guess(header_of(slug)) == (slug, CHANNELS[slug].unit)


def test_a_formula_in_a_log_comes_out_harmless(technician, technician_client):
    rows = [(t, n, b) if i != 5 else (t, n, '"=HYPERLINK(""http://x"")"') for i, (t, n, b) in enumerate(ROWS)]
    data = table(rows, ("time_s", "rpm", "=cmd|' /C calc'!A1 boost_kPa")).encode()
    log = read_log(receive_log(planned_job(technician), "before", "=1+1.csv", data, technician), None, technician)
    text = b"".join(technician_client.get(reverse("measurements:log_csv", args=[log.pk])).streaming_content).decode()
    cells = [cell.strip('"') for line in text.splitlines() for cell in line.split(",")]
    assert len(cells) >= 120
    assert [c for c in cells if c[:1] in "=+@\t" and c] == []
    assert log.columns.get(quantity="boost_kpa").left_out_count == 1


def test_a_log_that_was_not_read_has_no_columns_to_export(technician, technician_client):
    log = receive_log(planned_job(technician), "before", "run.csv", pull_log(), technician)
    assert_not_found(technician_client.get(reverse("measurements:log_csv", args=[log.pk])))
