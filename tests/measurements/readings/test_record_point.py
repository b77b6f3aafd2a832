import threading
import uuid
from datetime import timedelta

import pytest
from django.db import IntegrityError, connection, connections, transaction

from measurements.readings.actions import ReadingRefused, correct_reading, record_point
from measurements.readings.models import Point, Reading
from shop.jobs.models import JobEvent
from tests.builders import NOW
from tests.measurements.builders import job_in_run, planned_job, proving_job

VALUES = {"boost_kpa": 62.0, "exhaust_temperature_c": 655.0}


def test_a_point_is_stored_with_its_readings_and_one_event(technician):
    job = planned_job(technician)
    events = JobEvent.objects.count()
    point = record_point(job, "before", 2800, 100, VALUES, technician, places={"exhaust_temperature_c": "exhaust_port"})
    assert {(r.quantity, r.value, r.place) for r in point.readings.all()} == {
        ("boost_kpa", 62.0, ""), ("exhaust_temperature_c", 655.0, "exhaust_port"),
    }  # fmt: skip
    assert JobEvent.objects.count() == events + 1


def test_ids_of_readings_follow_from_the_point(technician):
    point_id = uuid.uuid4()
    point = record_point(
        planned_job(technician), "before", 2800, 100, {"boost_kpa": 1.0}, technician, point_id=point_id
    )
    assert point.readings.get().pk == uuid.uuid5(point_id, "boost_kpa:")


def test_sending_the_same_again_stores_nothing_twice(technician):
    job, point_id = planned_job(technician), uuid.uuid4()
    first = record_point(job, "before", 2800, 100, VALUES, technician, point_id=point_id)
    events = JobEvent.objects.count()
    again = record_point(job, "before", 2800, 100, VALUES, technician, point_id=point_id)
    assert again == first
    assert (Point.objects.count(), Reading.objects.count(), JobEvent.objects.count()) == (1, 2, events)


@pytest.mark.parametrize(
    "change",
    [
        {"speed_rpm": 2900},
        {"values": {"boost_kpa": 63.0}},
        {"note": "other"},
        {"values": {**VALUES, "oil_pressure_kpa": 300.0}},
    ],
)
def test_the_same_id_with_other_content_is_refused(technician, change):
    job, point_id = planned_job(technician), uuid.uuid4()
    wanted = {"speed_rpm": 2800, "values": VALUES}
    record_point(job, "before", load_pct=100, by=technician, point_id=point_id, **wanted)
    with pytest.raises(ReadingRefused, match="stored before with other figures"):
        record_point(job, "before", load_pct=100, by=technician, point_id=point_id, **wanted | change)
    assert Reading.objects.count() == 2


def test_a_corrected_point_may_still_be_sent_again(technician):
    """The answer got lost, somebody corrected the value, then the phone sends once more."""
    job, point_id = planned_job(technician), uuid.uuid4()
    point = record_point(job, "before", 2800, 100, VALUES, technician, point_id=point_id)
    correct_reading(point.readings.get(quantity="boost_kpa"), 63.0, "misread", technician)
    assert record_point(job, "before", 2800, 100, VALUES, technician, point_id=point_id) == point


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"boost_kpa": 30_000.0}, "boost_kpa"),  # 300 bar
        ({"exhaust_temperature_c": 1500.0}, "exhaust_temperature_c"),
        ({"smoke_opacity_pct": 100.0}, "smoke_opacity_pct"),  # Beer-Lambert has no answer at full darkness
        ({"oil_pressure_kpa": -5.0}, "oil_pressure_kpa"),
        ({"boost_kpa": float("nan")}, "boost_kpa"),
        ({"magic": 1.0}, "magic"),
        ({}, ""),
    ],
)
def test_what_is_not_possible_is_refused_with_the_field_and_stores_nothing(technician, values, field):
    job = planned_job(technician)
    with pytest.raises(ReadingRefused) as refused:
        record_point(job, "before", 2800, 100, values, technician)
    assert field in refused.value.errors
    assert not Point.objects.exists()


def test_speed_and_load_are_checked_too(technician):
    with pytest.raises(ReadingRefused) as refused:
        record_point(planned_job(technician), "before", 99_000, 120, VALUES, technician)
    assert {"speed_rpm", "load_pct"} <= refused.value.errors.keys()


def test_after_the_fit_a_reading_needs_an_open_run(technician):
    with pytest.raises(ReadingRefused, match="proving run"):
        record_point(proving_job(technician), "after", 2800, 100, VALUES, technician)


def test_after_the_fit_a_reading_belongs_to_the_open_run(technician):
    job, run = job_in_run(technician)
    assert record_point(job, "after", 2800, 100, VALUES, technician).run == run


def test_a_baseline_cannot_be_read_after_the_turbo_was_fitted(technician):
    job = proving_job(technician)
    with pytest.raises(ReadingRefused, match="fitted"):
        record_point(job, "before", 2800, 100, VALUES, technician, taken_at=NOW + timedelta(days=1))
    late_arrival = record_point(job, "before", 2800, 100, VALUES, technician, taken_at=NOW - timedelta(days=1))
    assert late_arrival.run is None


def test_nothing_is_recorded_for_a_job_that_was_called_off(technician):
    with pytest.raises(ReadingRefused, match="called off"):
        record_point(planned_job(technician, stage="called_off"), "before", 2800, 100, VALUES, technician)


def test_a_correction_keeps_both_values_and_the_reason(technician):
    point = record_point(planned_job(technician), "before", 2800, 100, VALUES, technician)
    old = point.readings.get(quantity="boost_kpa")
    new = correct_reading(old, 66.0, "read the wrong gauge", technician)
    old.refresh_from_db()
    assert (old.value, new.value, new.replaces, new.reason) == (62.0, 66.0, old, "read the wrong gauge")
    assert {r.value for r in point.standing()} == {66.0, 655.0}
    assert set(Reading.objects.of(point.job).standing()) == set(point.standing())


def test_a_correction_of_a_correction_shows_the_whole_chain(technician):
    point = record_point(planned_job(technician), "before", 2800, 100, {"boost_kpa": 62.0}, technician)
    second = correct_reading(point.readings.get(), 63.0, "a", technician)
    third = correct_reading(second, 64.0, "b", technician)
    [(standing, old)] = Point.objects.with_readings().get(pk=point.pk).with_old()
    assert standing == third
    assert [r.value for r in old] == [62.0, 63.0]


def test_a_correction_sent_twice_is_stored_once_and_another_one_is_refused(technician):
    point = record_point(planned_job(technician), "before", 2800, 100, {"boost_kpa": 62.0}, technician)
    old = point.readings.get()
    assert correct_reading(old, 66.0, "x", technician) == correct_reading(old, 66.0, "x", technician)
    with pytest.raises(ReadingRefused, match="meanwhile"):
        correct_reading(old, 67.0, "y", technician)


@pytest.mark.parametrize(("value", "reason"), [(66.0, " "), (62.0, "same"), (9e4, "too much")])
def test_a_correction_needs_a_reason_and_a_possible_other_value(technician, value, reason):
    point = record_point(planned_job(technician), "before", 2800, 100, {"boost_kpa": 62.0}, technician)
    with pytest.raises(ReadingRefused):
        correct_reading(point.readings.get(), value, reason, technician)
    assert Reading.objects.count() == 1


def test_the_database_itself_refuses_a_second_reading_of_a_quantity_at_a_place(technician):
    point = record_point(planned_job(technician), "before", 2800, 100, {"boost_kpa": 62.0}, technician)
    with pytest.raises(IntegrityError), transaction.atomic():
        Reading.objects.create(point=point, quantity="boost_kpa", value=1.0, by=technician, at=NOW)


@pytest.mark.django_db(transaction=True)
def test_two_phones_that_send_the_same_point_in_the_same_moment_store_it_once(technician):
    if connection.vendor == "sqlite":
        pytest.skip("an in-memory SQLite is one connection; PostgreSQL runs this")
    job, point_id, failures = planned_job(technician), uuid.uuid4(), []

    def send():
        try:
            record_point(job, "before", 2800, 100, VALUES, technician, point_id=point_id)
        except Exception as error:
            failures.append(error)
        finally:
            connections.close_all()

    threads = [threading.Thread(target=send) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    assert (Point.objects.count(), Reading.objects.count()) == (1, 2)
