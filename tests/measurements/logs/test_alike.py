"""Recordings of one file that were read with another match are said, and read again in one press.

Expected figures are those that the samples were written from; 1 psi is 6.894757 kPa (NIST SP 811, appendix B.8).
"""

import pytest
from django.urls import reverse

from measurements.logs.actions import receive_log
from measurements.logs.matches import bytes_of
from measurements.logs.models import LogFile
from measurements.logs.parsing.dialect import Layout
from measurements.logs.reading import read_alike, read_log
from measurements.verdict.run import pulls_of_run
from sizing.tables.refused import FileRefused
from tests.answers import assert_wrong_verb
from tests.measurements.builders import job_in_run, planned_job
from tests.measurements.logs.log_files import pull_log
from tests.measurements.logs.parsing.log_dialects import BOOSTS, ROWS, table, zipped
from tests.measurements.logs.test_pages import matched, text_of, upload

PSI_KPA = 6.894757


def page_of(client, log):
    return text_of(client.get(reverse("measurements:log", args=[log.pk])))


def press(client, log):
    return client.post(reverse("measurements:log_alike", args=[log.pk]), follow=True)


def highest(log, quantity="boost_kpa"):
    return log.columns.get(quantity=quantity).highest


@pytest.fixture
def stretches(technician):
    """A log whose clock starts again twice: three recordings, all read with boost in kPa."""
    data = table([*ROWS, *ROWS[:30], *ROWS[:20]]).encode()
    log = read_log(receive_log(planned_job(technician), "before", "three.csv", data, technician), None, technician)
    return [log, *log.siblings()]


def test_what_was_read_with_another_match_is_said_and_read_again_in_one_press(technician_client, stretches):
    first, second, third = stretches
    assert page_of(technician_client, first).count("the same match as this one") == 2
    matched(technician_client, first, unit_2="psi")
    page = page_of(technician_client, first)
    assert page.count("boost_kPa: Boost, gauge in kPa, here Boost, gauge in psi") == 2
    assert "Read again as this one: clock start 2 of 3, clock start 3 of 3" in page
    assert [highest(log) for log in (second, third)] == pytest.approx([max(BOOSTS[:30]), max(BOOSTS[:20])])
    page = text_of(press(technician_client, first))
    assert "clock start 2 of 3: read again" in page
    assert [highest(log) for log in (second, third)] == pytest.approx(
        [max(BOOSTS[:30]) * PSI_KPA, max(BOOSTS[:20]) * PSI_KPA], rel=1e-6
    )
    assert "Read again as this one" not in page
    assert page.count("the same match as this one") == 2
    assert {bytes_of(log) for log in stretches} == {table([*ROWS, *ROWS[:30], *ROWS[:20]]).encode()}


def test_a_later_stretch_may_lead_the_first(technician_client, stretches):
    first, second, _ = stretches
    matched(technician_client, second, unit_2="psi")
    assert highest(first) == max(BOOSTS)
    assert "Read again as this one: clock start 1 of 3" in page_of(technician_client, second)
    press(technician_client, second)
    assert highest(first) == pytest.approx(max(BOOSTS) * PSI_KPA, rel=1e-6)
    assert LogFile.objects.count() == 3


def test_one_that_was_taken_back_is_left_alone(technician_client, stretches):
    first, _, third = stretches
    technician_client.post(reverse("measurements:log_undo", args=[third.pk]))
    matched(technician_client, first, unit_2="psi")
    press(technician_client, first)
    third.refresh_from_db()
    assert third.state == "undone"
    assert highest(third) == max(BOOSTS[:20])


def test_where_nothing_differs_nothing_is_offered_or_done(technician_client, stretches):
    assert "Read again as this one" not in page_of(technician_client, stretches[0])
    before = list(LogFile.objects.values("pk", "table"))
    press(technician_client, stretches[0])
    assert list(LogFile.objects.values("pk", "table")) == before


def test_a_stretch_that_cannot_be_read_so_stays_and_so_does_every_other(technician, stretches):
    first, second, third = stretches
    before = list(LogFile.objects.values("pk", "table", "state"))
    first.columns.filter(position=0).update(quantity="")
    with pytest.raises(FileRefused, match="No column is taken for the time"):
        read_alike(first, [second, third], technician)
    assert list(LogFile.objects.values("pk", "table", "state")) == before


def test_a_layout_is_carried_to_the_other_stretches_of_the_text(technician, technician_client):
    """Engine speed with a comma before its thousands: 1.0 to 2.95 rpm as found, 1000 to 2950 as it is."""
    data = table([(i, f"{1000 + 50 * i:,}", i) for i in [*range(40), *range(30)]], ("time_s", "rpm", "boost_kPa"), ";")
    log = read_log(
        receive_log(planned_job(technician), "before", "two.csv", data.encode(), technician), None, technician
    )
    [other] = log.siblings()
    assert highest(other, "speed_rpm") == 2.45
    matched(technician_client, log, decimal="point")
    assert "laid out as found, here decimal point" in page_of(technician_client, log)
    press(technician_client, log)
    other.refresh_from_db()
    assert (other.layout, highest(other, "speed_rpm")) == (Layout(decimal=".").said(), 2450.0)


def test_files_packed_together_keep_their_own_layout(technician, technician_client):
    upload(technician_client, planned_job(technician), zipped(a__csv=table(), b__csv=table(ROWS[:30])), name="day.zip")
    first, second = LogFile.objects.order_by("recording")
    matched(technician_client, first, alike="1")
    matched(technician_client, first, unit_2="psi", delimiter="comma")
    press(technician_client, first)
    second.refresh_from_db()
    assert (second.layout, highest(second)) == ({}, pytest.approx(max(BOOSTS[:30]) * PSI_KPA, rel=1e-6))


def test_other_columns_are_never_read_as_this_one(technician, technician_client):
    upload(
        technician_client,
        planned_job(technician),
        zipped(a__csv=table(), b__csv=table(header=("time_s", "rpm", "egt_C"))),
        name="day.zip",
    )
    first, second = LogFile.objects.order_by("recording")
    matched(technician_client, first)
    matched(technician_client, second)
    page = page_of(technician_client, first)
    assert "other columns" in page
    assert "Read again as this one" not in page


def test_pulls_and_their_verdicts_follow(owner, owner_client):
    """The pull was logged in psi and read as kPa: after the press both recordings give the pull of a run the same word."""
    job, run = job_in_run(owner)
    [head, *rows] = pull_log(boost_top_kpa=9.0).decode().splitlines()
    data = "\n".join([head, *rows, *rows]).encode()
    log = read_log(receive_log(job, "after", "run.csv", data, owner), None, owner)
    assert [round(p.pull.boost_highest_kpa, 1) for p in pulls_of_run(run)] == [9.0, 9.0]
    matched(owner_client, log, unit_3="psi")
    assert sorted(round(p.pull.boost_highest_kpa, 1) for p in pulls_of_run(run)) == [9.0, round(9 * PSI_KPA, 1)]
    press(owner_client, log)
    judged = pulls_of_run(run)
    assert [round(p.pull.boost_highest_kpa, 1) for p in judged] == [round(9 * PSI_KPA, 1)] * 2
    assert len({p.word for p in judged}) == 1


def test_only_who_may_read_logs_may_press(client, technician_client, stretches):
    address = reverse("measurements:log_alike", args=[stretches[0].pk])
    assert "/log-in/" in client.post(address)["Location"]
    assert_wrong_verb(technician_client.get(address))
