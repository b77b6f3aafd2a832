"""A full-load curve names the instrument it was read with: its plus or minus, check day and range follow the figure.

Expected figures are worked out by hand: torque behind a gear falls with its ratio, and a torque is 9549.297 P / n
(60 000 / 2 pi, SI units).
"""

from datetime import timedelta

import pytest
from django.urls import reverse

from measurements.bench.curves.actions import record_curve
from measurements.bench.curves.models import PowerCurve
from measurements.bench.dyno.models import DynoTest
from measurements.readings.actions import ReadingRefused
from measurements.verdict.bench_tests import run_tests
from shop.jobs.models import JobEvent
from tests.builders import FACTS, NOW, make_job
from tests.measurements.bench.dyno.test_pages import AIR, DRUM, drum_csv, send
from tests.measurements.builders import job_in_run
from tests.measurements.logs.test_pages import text_of
from tests.measurements.readings.test_gauges_said import gauge

pytestmark = pytest.mark.django_db
BRAKE = b"engine_speed_rpm,torque_Nm\n375,800\n750,840\n1000,600\n"
LONG_AGO, LATER = (NOW - timedelta(days=400)).date(), (NOW + timedelta(days=4000)).date()


@pytest.fixture
def job(technician):
    return make_job(technician, facts=FACTS)


def cell(**fields):
    return gauge(
        "torque_nm",
        **({"name": "load cell 1", "uncertainty": 4.0, "low": 0, "high": 2000, "check_due_on": LATER} | fields),
    )


def halves(curve) -> list[float]:
    return [p.uncertainty_nm for p in curve.points.all()]


def test_a_brake_run_is_as_exact_as_its_load_cell_behind_the_gear(technician_client, job):
    """4 Nm at the brake are 1 Nm at an engine that turns four times as fast; 1 in 150 Nm is 0.7 %."""
    answer = send(technician_client, job, "brake", BRAKE, speed_ratio="4", instrument=cell().pk, **AIR)
    curve = PowerCurve.objects.get()
    assert [p.torque_nm for p in curve.points.all()] == [200.0, 210.0, 150.0]
    assert halves(curve) == [1.0, 1.0, 1.0]
    assert curve.uncertainty_pct == 0.7
    # highest power: 210 Nm at 3000 rpm, 65.97 kW, and 1 Nm there is 0.314 kW
    assert DynoTest.objects.get().highest_uncertainty_kw == pytest.approx(0.314, abs=0.001)
    page = text_of(technician_client.get(answer.url))
    assert "load cell 1, ± 4 Nm" in page
    assert "Plus or minus is what load cell 1 is trusted with." in page
    assert "Look at the gauge" not in page
    assert "read with load cell 1" in JobEvent.objects.filter(kind="curve").latest("pk").text


def test_what_is_typed_goes_before_the_instrument(technician_client, job):
    send(technician_client, job, "brake", BRAKE, speed_ratio="4", torque_uncertainty_pct="2", instrument=cell().pk)
    curve = PowerCurve.objects.get()
    assert halves(curve) == pytest.approx([4.0, 4.2, 3.0])
    assert curve.instrument.name == "load cell 1"


def test_a_meter_of_power_widens_torque_most_at_low_speed(technician_client, job):
    """2 kW are 9549.297 x 2 / 1500 = 12.73 Nm at 1500 rpm and 4.77 Nm at 4000."""
    meter = gauge("power_kw", uncertainty=2.0, low=0, high=200)
    send(technician_client, job, "brake", b"engine_speed_rpm,torque_Nm\n1500,200\n4000,150\n", instrument=meter.pk)
    assert halves(PowerCurve.objects.get()) == pytest.approx([12.73, 4.77], abs=0.005)


def test_rollers_with_a_meter_of_power(technician_client, job):
    meter = gauge("power_kw", uncertainty=1.5, low=0, high=200)
    fields = {name: value for name, value in DRUM.items() if name != "inertia_uncertainty_pct"}
    send(technician_client, job, "drum", drum_csv(), instrument=meter.pk, **fields)
    assert DynoTest.objects.get().highest_uncertainty_kw == pytest.approx(1.5, rel=1e-3)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"check_due_on": LONG_AGO}, f"load cell 1 was past its check day ({LONG_AGO:%d %b %Y})."),
        ({"high": 820}, "Beyond the range of load cell 1 at 3,000 rpm: the figures there cannot be trusted."),
    ],
)
def test_the_gauge_is_told_on_the_run_the_comparison_and_the_verdict(owner, owner_client, fields, words):
    """840 Nm at the brake is 210 Nm at the engine: it is the brake's cell that is beyond 820 Nm."""
    job, run = job_in_run(owner)
    record_curve(job, "before", "brake", [(1500, 100.0), (3000, 105.0)], owner, uncertainty_pct=2)
    answer = send(owner_client, job, "brake", BRAKE, phase="after", speed_ratio="4", instrument=cell(**fields).pk)
    [judged] = run_tests(run).curves
    assert [str(note) for note in judged.gauge_notes] == [words]
    assert words in text_of(owner_client.get(answer.url))
    assert f"After the fit: {words}" in text_of(owner_client.get(reverse("measurements:before_after", args=[job.pk])))
    assert words in text_of(owner_client.get(reverse("measurements:proving", args=[job.pk])))


def test_a_finished_curve_names_its_instrument_and_weighs_with_it(owner, owner_client):
    job, run = job_in_run(owner)
    fields = {
        "phase": "after",
        "kind": "brake",
        "text": "engine_speed_rpm;torque_Nm\n1500;118\n2500;124",
        "instrument": cell().pk,
    }
    assert owner_client.post(reverse("measurements:add_curve", args=[job.pk]), fields).status_code == 302
    [judged] = run_tests(run).curves
    assert {f.measured.uncertainty for f in judged.findings if f.quantity == "torque_nm"} == {4.0}
    assert "read with load cell 1" in text_of(owner_client.get(reverse("measurements:before_after", args=[job.pk])))


@pytest.mark.parametrize(
    ("kind", "quantity", "uncertainty", "words"),
    [
        ("book", "torque_nm", 4.0, "Only a curve from a brake or from rollers"),
        ("road", "torque_nm", 4.0, "Only a curve from a brake or from rollers"),
        ("brake", "boost_kpa", 3.0, "reads neither torque nor power"),
        ("brake", "torque_nm", 70.0, "more than half of 118 Nm"),
    ],
)
def test_an_instrument_that_cannot_stand_behind_a_curve_is_refused(owner, kind, quantity, uncertainty, words):
    with pytest.raises(ReadingRefused) as refused:
        record_curve(
            make_job(owner, facts=FACTS),
            "before",
            kind,
            [(1500, 118.0), (2500, 124.0)],
            owner,
            instrument=gauge(quantity, uncertainty=uncertainty),
        )
    assert words in refused.value.errors["instrument"]
    assert not PowerCurve.objects.exists()


def test_the_refusal_stands_beside_the_field_with_the_rest_kept(technician_client, job):
    fields = {
        "phase": "before",
        "kind": "book",
        "text": "engine_speed_rpm;torque_Nm\n1500;118\n2500;124",
        "instrument": cell().pk,
    }
    answer = technician_client.post(reverse("measurements:add_curve", args=[job.pk]), fields)
    assert answer.status_code == 422
    assert "Only a curve from a brake" in text_of(answer)
    assert "1500;118" in text_of(answer)


def test_only_what_reads_torque_or_power_and_is_in_use_is_offered(technician_client, job):
    cell(), cell(name="old cell", retired=True), gauge("boost_kpa")
    page = text_of(technician_client.get(reverse("measurements:dyno_new", args=[job.pk, "brake"])))
    assert "load cell 1" in page
    assert "old cell" not in page
    assert "gauge of boost_kpa" not in page
    assert "Read with" not in text_of(technician_client.get(reverse("measurements:dyno_new", args=[job.pk, "road"])))
