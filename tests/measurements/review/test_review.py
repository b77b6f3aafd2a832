"""The review's figures against small cases added up by hand."""

from datetime import timedelta

import pytest

from measurements.readings.actions import correct_reading, record_point, withdraw_point
from measurements.review.models import Outcome
from measurements.review.outcomes import plunger_class_mm
from measurements.review.review import DAYS_A_MONTH, cases, curve_of, pairings
from measurements.review.survival import TooFew
from shop.follow_up.actions import record_failure, record_follow_up
from shop.papers.models import HandOver
from tests.builders import NOW, make_cooler, make_job, make_turbo
from tests.measurements.review.cases import broke, curve, day, finished_job, fit, heard, plan_of, read_heat, run_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def turbo(owner):
    return make_turbo(name="T1")


def only(at_months: float = 24.0):
    (row,) = pairings(cases(), at_months)
    return row


@pytest.mark.parametrize(
    ("diameter", "middle"), [(5.74, 5.5), (5.75, 6.0), (6.0, 6.0), (6.24, 6.0), (6.25, 6.5), (7.5, 7.5)]
)
def test_plungers_belong_to_classes_half_a_millimetre_wide(diameter, middle):
    assert float(plunger_class_mm(diameter)) == middle


def test_jobs_are_put_together_by_turbo_plunger_and_cooler(owner, turbo):
    other, cooler = make_turbo(name="T2"), make_cooler()
    for kind, plunger, with_cooler in [
        (turbo, 6.0, None),
        (turbo, 6.2, None),
        (turbo, 6.5, None),
        (turbo, 6.0, cooler),
        (other, 6.0, None),
    ]:
        finished_job(owner, kind, plunger, with_cooler)
    found = {(row.turbo_name[-2:], row.key.plunger_mm, row.key.has_cooler): row.fitted for row in pairings(cases())}
    assert found == {("T1", 6.0, False): 2, ("T1", 6.5, False): 1, ("T1", 6.0, True): 1, ("T2", 6.0, False): 1}


def test_the_last_fitment_of_a_job_is_the_one_that_runs(owner, turbo):
    job = finished_job(owner, make_turbo(name="first"), 6.0)
    fit(job, owner, turbo, 7.0, later=2)
    row = only()
    assert (row.key.turbo, row.key.plunger_mm, row.fitted) == (turbo.pk, 7.0, 1)


def test_jobs_that_are_still_open_or_called_off_do_not_count(owner, turbo):
    for stage in ("proving", "called_off"):
        fit(make_job(owner, stage=stage), owner, turbo, 6.0)
    assert pairings(cases()) == []


def test_hours_and_kilometres_are_kept_apart(owner, turbo):
    for meter, handed, last in [("km", 1000, 13_000), ("km", 500, 4500), ("h", 100, 700), ("none", None, None)]:
        job = finished_job(owner, turbo, meter=meter, handed_meter=handed)
        heard(job, owner, 300, last)
    row = only()
    assert (row.running_km.value, row.running_km.known) == (16_000, 2)  # 12,000 + 4,000
    assert (row.running_h.value, row.running_h.known) == (600, 1)
    assert row.followed == 4


def test_a_meter_that_was_changed_or_not_read_is_not_known(owner, turbo):
    changed = finished_job(owner, turbo, handed_meter=90_000)
    heard(changed, owner, 200, 1200)
    heard(finished_job(owner, turbo, handed_meter=None), owner, 200, 5000)
    heard(finished_job(owner, turbo), owner, 200)
    assert (only().running_km.value, only().running_km.known) == (None, 0)


def test_a_vehicle_counts_until_it_was_last_heard_of_and_not_until_today(owner, turbo):
    job = finished_job(owner, turbo)
    heard(job, owner, 100)
    heard(job, owner, 400)
    finished_job(owner, turbo)  # never heard of since
    row = only()
    assert (row.fitted, row.followed) == (2, 1)
    assert row.service_months == pytest.approx(400 / DAYS_A_MONTH)


def test_a_failure_that_does_not_count_is_still_a_sign_of_life(owner, turbo):
    broke(finished_job(owner, turbo), owner, 250, counts=False)
    row = only()
    assert (row.failures, row.other_failures) == (0, 1)
    assert row.service_months == pytest.approx(250 / DAYS_A_MONTH)


def test_after_a_failure_that_counts_nothing_more_is_running_time(owner, turbo):
    job = finished_job(owner, turbo, handed_meter=1000)
    heard(job, owner, 100, 4000)
    broke(job, owner, 200, meter=9000)
    heard(job, owner, 500, 30_000)  # with another turbo by then
    broke(job, owner, 600)
    row = only()
    assert row.running_km.value == 8000
    assert row.service_months == pytest.approx(200 / DAYS_A_MONTH)
    assert row.failures == 2


def test_survival_by_hand(owner, turbo):
    """Ten vehicles: failures at 6, 12 and 12 months; two last heard of at 9 months, five at 30.

    At 6 months 10 are at risk: 9/10. At 12 months 7 are left, two fail: 9/10 x 5/7 = 0.642857.
    """
    for months, fails in [(6, True), (12, True), (12, True), (9, False), (9, False), *[(30, False)] * 5]:
        job = finished_job(owner, turbo)
        (broke if fails else heard)(job, owner, round(months * DAYS_A_MONTH))
    row = only(24.0)
    assert row.left.survival == pytest.approx(9 / 10 * 5 / 7)
    assert row.left.at_risk == 5
    assert only(6.5).left.survival == pytest.approx(0.9)
    assert only(36.0).left.survival is None
    found = cases()
    drawn = curve_of(found, found.plunger_mm == 6.0)
    same = drawn.at(24.0)
    assert (row.left.survival, row.left.low, row.left.high, row.left.at_risk) == pytest.approx(
        (same.survival, same.low, same.high, same.at_risk)
    )


def test_few_vehicles_give_words_and_no_figure(owner, turbo):
    for on in (100, 200, 300):
        broke(finished_job(owner, turbo), owner, on)
    assert isinstance(only().left, TooFew)
    assert "3 vehicles followed" in only().left.words


def test_heat_in_hand_is_the_limit_less_the_highest_reading_of_the_last_run(owner, turbo):
    job = finished_job(owner, turbo)
    first, second = run_of(job, owner, 1), run_of(job, owner, 2)
    read_heat(job, owner, 740, first)  # before something was changed
    read_heat(job, owner, 640, second)
    read_heat(job, owner, 655, second)
    read_heat(job, owner, 500, second, place="after_turbine")
    read_heat(job, owner, 780, None, place="exhaust_port", phase="before")
    row = only()
    # 700 °C: the usual limit for direct injection, see sizing/physics/limits/values.py
    assert (row.in_hand_c.value, row.in_hand_c.lowest, row.in_hand_c.known) == (45.0, 45.0, 1)


def test_a_corrected_reading_counts_as_corrected(owner, turbo):
    job = finished_job(owner, turbo)
    wrong = read_heat(job, owner, 695, run_of(job, owner))
    assert only().in_hand_c.value == 5.0
    correct_reading(wrong, 595.0, "typed one digit too high", owner)
    assert only().in_hand_c.value == 105.0


def test_without_readings_or_plan_the_heat_in_hand_is_not_known(owner, turbo):
    plan_of(finished_job(owner, turbo), owner)
    read_heat(finished_job(owner, turbo), owner, 650)
    assert (only().in_hand_c.value, only().in_hand_c.known) == (None, 0)


def test_gain_comes_from_curves_found_in_the_same_way(owner, turbo):
    # 100 Nm at 3,000 rpm is 31.416 kW and 150 Nm is 47.124 kW (P = T n / 9549.297, check DY-01).
    job = finished_job(owner, turbo)
    curve(job, owner, "before", "drum", [(2000, 110), (3000, 100)])
    curve(job, owner, "after", "drum", [(2000, 160), (3000, 150)])
    row = only()
    assert row.gain_kw.value == pytest.approx(47.124 - 31.416, abs=2e-3)
    assert row.gain_pct.value == pytest.approx(50.0)


@pytest.mark.parametrize(
    "curves",
    [[("before", "book"), ("after", "drum")], [("before", "brake"), ("after", "drum")], [("after", "drum")], []],
)
def test_gain_is_not_known_where_curves_cannot_be_compared(owner, turbo, curves):
    job = finished_job(owner, turbo)
    for phase, kind in curves:
        curve(job, owner, phase, kind, [(2000, 110), (3000, 100)])
    assert (only().gain_kw.value, only().gain_kw.known) == (None, 0)


def test_the_newest_curve_of_each_side_counts(owner, turbo):
    job = finished_job(owner, turbo)
    curve(job, owner, "before", "brake", [(2000, 100), (2200, 90)])
    curve(job, owner, "after", "brake", [(2000, 190), (2200, 180)])
    curve(job, owner, "after", "brake", [(2000, 150), (2200, 135)], at=NOW + timedelta(days=3))
    assert only().gain_pct.value == pytest.approx(50.0)


def test_averages_leave_out_what_is_not_known(owner, turbo):
    for power in (120, 140):
        job = finished_job(owner, turbo)
        curve(job, owner, "before", "brake", [(2000, 100), (2200, 90)])
        curve(job, owner, "after", "brake", [(2000, power), (2200, 100)])
    finished_job(owner, turbo)
    assert (only().gain_pct.value, only().gain_pct.known, only().fitted) == (pytest.approx(30.0), 2, 3)


def test_outcomes_are_made_when_missing_and_kept(owner, turbo, django_assert_num_queries):
    job = finished_job(owner, turbo)
    read_heat(job, owner, 600, run_of(job, owner))
    assert only().in_hand_c.value == 100.0
    assert Outcome.objects.get(pk=job.pk).in_hand_c == 100
    with django_assert_num_queries(4):
        assert only().in_hand_c.value == 100.0


def test_a_check_after_hand_over_counts_as_well(owner, turbo):
    job = finished_job(owner, turbo)
    read_heat(job, owner, 600, run_of(job, owner))
    assert only().in_hand_c.value == 100.0
    record_point(
        job,
        "after",
        3000,
        100,
        {"exhaust_temperature_c": 660},
        owner,
        places={"exhaust_temperature_c": "before_turbine"},
    )
    assert only().in_hand_c.value == 40.0


def test_a_point_that_was_taken_back_counts_no_more(owner, turbo):
    job = finished_job(owner, turbo)
    read_heat(job, owner, 600, run_of(job, owner))
    wrong = read_heat(job, owner, 690)
    assert only().in_hand_c.value == 10.0
    withdraw_point(wrong.point, owner)
    assert only().in_hand_c.value == 100.0


def test_a_vehicle_whose_meter_turns_out_to_count_hours_is_added_up_anew(owner, turbo):
    job = finished_job(owner, turbo, meter="km", handed_meter=100)
    heard(job, owner, 100, 700)
    assert (only().running_km.value, only().running_h.value) == (600, None)
    job.vehicle.meter = "h"
    job.vehicle.save()
    assert (only().running_km.value, only().running_h.value) == (None, 600)


def test_a_follow_up_is_in_the_review_at_once(owner, turbo):
    job = finished_job(owner, turbo)
    heard(job, owner, 100, 2000)
    assert only().running_km.value == 1000
    record_follow_up(job, day(200), "phone", "runs", owner, 5000)
    assert (only().running_km.value, only().service_months) == (4000, pytest.approx(200 / DAYS_A_MONTH))
    record_failure(job, day(250), "turbo_wheel", "customer", owner, 6000)
    assert (only().running_km.value, only().failures) == (5000, 1)


def test_a_job_handed_over_without_a_turbo_is_no_pairing(owner):
    job = make_job(owner, stage="handed_over")
    HandOver.objects.create(job=job, on=day(0), received_by="x", by=owner, at=NOW)
    assert pairings(cases()) == []
    assert Outcome.objects.filter(pk=job.pk, turbo=None).exists()
