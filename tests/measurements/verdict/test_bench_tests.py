"""Smoke tests and curves reach the verdict of a run, the pages and the papers."""

import pytest
from django.urls import reverse

from measurements.bench.curves.actions import record_curve
from measurements.bench.smoke.actions import add_snap, start_smoke_test
from measurements.bench.smoke.models import SmokeLimit
from measurements.papers.before_after import before_after_of
from measurements.proving.actions import decide
from measurements.readings.actions import record_point
from measurements.verdict.bench_tests import judge_curve, run_tests
from measurements.verdict.run import run_verdict
from tests.measurements.builders import job_in_run

pytestmark = pytest.mark.django_db


@pytest.fixture
def limit():
    # French order of 18 June 1991, appendix 2: 2.5 1/m for a naturally aspirated engine in use
    return SmokeLimit.objects.create(name="in use", value=2.5, source="French order of 18 June 1991")


def smoke(job, by, phase, limit, *values):
    test = start_smoke_test(job, phase, "free", 85.0, by, limit=limit, limit_reason="registration")
    for value in (None, None, None, *values):
        add_snap(test, value, by)
    return test


def test_a_failed_smoke_test_is_the_word_of_the_run(owner, limit):
    job, run = job_in_run(owner)
    record_point(job, "after", 2800, 100, {"oil_pressure_kpa": 380.0}, owner, run=run)
    assert run_verdict(run) == "on_plan"
    smoke(job, owner, "after", limit, 3.4, 3.4, 3.4, 3.4, 3.4, 3.4)  # 3.4 less 10 % is still above 2.5
    assert run_verdict(run) == "off_plan"
    assert decide(run, "change", "smokes", owner).verdict == "off_plan"


def test_a_smoke_test_brings_heavy_smoke_into_the_causes(owner, limit, client):
    job, _ = job_in_run(owner)
    smoke(job, owner, "after", limit, 3.4, 3.4, 3.4, 3.4, 3.4, 3.4)
    client.force_login(owner)
    page = client.get(reverse("measurements:proving", args=[job.pk])).content.decode()
    assert "Limit not met" in page
    assert "heavy smoke" in page


def test_a_meter_error_that_reaches_across_the_limit_is_near_the_edge(owner, limit):
    job, run = job_in_run(owner)
    smoke(job, owner, "after", limit, 2.4, 2.4, 2.4)  # 10 % of 2.4 is 0.24: French order of 22 Nov 1996, A.1.2
    assert run_verdict(run) == "near_edge"


def curve_of(job, run, by, kind="brake", torque=180.0, **fields):
    return record_curve(job, "after", kind, [(1500, torque), (2500, torque)], by, run=run, uncertainty_pct=2, **fields)


BAND = {1500.0: {"torque_nm": (170.0, 190.0)}, 2500.0: {"torque_nm": (170.0, 190.0), "power_kw": (44.5, 49.7)}}


def test_a_curve_at_the_flywheel_is_judged_by_the_plan_as_it_is(owner):
    job, run = job_in_run(owner)
    judged = judge_curve(curve_of(job, run, owner), BAND, [])
    assert judged.word == "on_plan"
    assert judge_curve(curve_of(job, run, owner, torque=140.0), BAND, []).word == "off_plan"


def test_a_curve_at_the_wheels_is_judged_by_what_reaches_them(owner):
    # 10 to 18 % of the driveline: DY-12 of the reference table, from memory. 170 x 0.82 = 139.4, 190 x 0.90 = 171.
    job, run = job_in_run(owner)
    judged = judge_curve(curve_of(job, run, owner, "road", 150.0), BAND, [])
    assert judged.word == "on_plan"
    low, high = judged.told[0].finding.band
    assert (low, high) == (pytest.approx(139.4), pytest.approx(171.0))
    assert "at the wheels" in judged.told[-1].sentence


def test_a_curve_of_a_run_weighs_with_its_uncertainty(owner):
    job, run = job_in_run(owner)
    curve_of(job, run, owner)
    told = run_tests(run).curves[0].told
    assert told[0].finding.measured.uncertainty == pytest.approx(3.6)  # 2 % of 180 Nm


def test_smoke_before_and_after_with_both_meters(owner, limit, client):
    job, _ = job_in_run(owner)
    smoke(job, owner, "before", limit, 2.0, 2.0, 2.0)
    smoke(job, owner, "after", limit, 1.0, 1.0, 1.0)
    row = before_after_of(job).smoke_difference
    assert row.value == pytest.approx(-1.0)
    # 10 % of 2.0 and 0.15 as the least of 1.0, both of annex A.1.2; root of the sum of squares by GUM 5.1
    assert row.uncertainty == pytest.approx((0.2**2 + 0.15**2) ** 0.5)
    client.force_login(owner)
    for name in ("before_after", "hand_over_sheet"):
        page = client.get(reverse(f"measurements:{name}", args=[job.pk])).content.decode()
        assert "Smoke test" in page
        assert "−1.00" in page, name
