"""The demo workshop as it stands in the database."""

from datetime import date, timedelta
from tempfile import TemporaryDirectory

import pytest
from django.contrib.auth.hashers import check_password
from django.core.management import CommandError, call_command
from django.db import transaction
from django.db.models import F, Q
from django.test import TestCase, override_settings
from django.utils import timezone

from measurements.bench.curves.models import PowerCurve
from measurements.bench.dyno.models import DynoTest
from measurements.demo.load import RealData, load_demo
from measurements.logs.models import LogFile, LogPull
from measurements.proving.models import ProvingRun
from measurements.readings.models import Point, Reading
from measurements.review.review import cases, pairings
from shop.access.demo_logins import DEMO_LOGINS
from shop.access.models import Person
from shop.fitting.models import Fitment
from shop.follow_up.models import Failure, FollowUp
from shop.jobs.models import JobCard, JobEvent
from shop.jobs.stages import STAGES
from shop.papers.models import HandOver, Quote
from shop.people.models import Customer
from shop.safety.models import SafetySignOff
from shop.safety.notes import CHECKS, missing_sign_offs
from shop.survey.models import EngineFact, Survey
from shop.workshop.models import Workshop
from sizing.catalogue.models import AirCleaner, Cooler, Plunger, Pump, Turbo
from sizing.plans.models import Plan, PlanInput
from sizing.units.quantities import QUANTITIES

HASHERS = ["django.contrib.auth.hashers.PBKDF2PasswordHasher"]


class TestDemo(TestCase):
    """The whole demo, loaded once and rolled back at the end."""

    @classmethod
    def setUpTestData(cls):
        cls.said = []
        with TemporaryDirectory() as files, override_settings(MEDIA_ROOT=files, DEMO=True, PASSWORD_HASHERS=HASHERS):
            load_demo(timezone.localdate(), cls.said.append)

    def test_there_are_at_least_240_jobs_over_six_years_and_every_stage(self):
        assert JobCard.objects.count() >= 240
        first = JobCard.objects.earliest("opened_at").opened_at
        assert timezone.now() - first > timedelta(days=365 * 6 - 10)
        assert set(JobCard.objects.values_list("stage", flat=True)) == {slug for slug, _ in STAGES}
        assert JobCard.objects.latest("opened_at").opened_at > timezone.now() - timedelta(days=5)

    def test_each_kind_of_sheet_is_there(self):
        for model, least in [
            (Survey, 230), (Quote, 200), (Fitment, 190), (HandOver, 180), (FollowUp, 500), (Failure, 20), (PowerCurve, 60),
            (LogFile, 3), (Plan, 220), (ProvingRun, 190), (Reading, 6000), (SafetySignOff, 1500),
        ]:  # fmt: skip
            assert model.objects.count() >= least, model.__name__
        assert set(Survey.objects.values_list("verdict", flat=True)) == {"fit", "repairs", "unfit"}
        assert {"agreed", "declined"} <= set(Quote.objects.values_list("state", flat=True))
        assert {"keep", "change", "next"} <= set(ProvingRun.objects.values_list("decision", flat=True))
        assert {True, False} == set(Failure.objects.values_list("ends_pairing", flat=True))
        assert Failure.objects.filter(cause="").exists()
        assert {"told", "book", "measured", "guessed"} <= set(EngineFact.objects.values_list("origin", flat=True))

    def test_facts_and_plans_hold_ranges(self):
        assert EngineFact.objects.filter(name="plunger_diameter_mm", low__lt=F("high")).exists()
        assert PlanInput.objects.filter(low__lt=F("high")).count() > 1000

    def test_no_reading_is_impossible_and_none_lies_in_the_future(self):
        now = timezone.now()
        for reading in Reading.objects.select_related("point"):
            quantity = QUANTITIES[reading.quantity]
            assert quantity.low <= reading.value <= quantity.high
            assert reading.at <= now
        for point in Point.objects.all():
            assert QUANTITIES["air_pressure_kpa"].low < point.air_pressure_kpa < 80  # 2,600 m, not the coast
            assert -10 < point.air_temperature_c < 35
        assert not JobEvent.objects.filter(at__gt=now).exists()

    def test_nothing_was_read_after_the_fit_before_it_was_fitted(self):
        first = {}
        for job, at in Fitment.objects.order_by("-at").values_list("job", "at"):
            first[job] = at
        assert Point.objects.filter(phase="after", job__in=first).count() > 20
        for point in Point.objects.all():
            assert (
                (point.taken_at > first[point.job_id])
                if point.phase == "after"
                else (point.job_id not in first or point.taken_at < first[point.job_id])
            )

    def test_verdicts_stand_and_most_jobs_are_handed_over_on_plan(self):
        decided = ProvingRun.objects.exclude(decision="")
        assert not decided.filter(verdict="").exists()
        kept = decided.exclude(decision="change")
        assert kept.exclude(verdict__in=["on_plan", "near_edge"]).count() < 0.35 * kept.count()
        assert not kept.filter(verdict="stop").exists()

    def test_nothing_ran_without_all_safety_checks(self):
        for job in JobCard.objects.filter(stage__in=["proving", "handed_over"]).order_by("?")[:25]:
            assert missing_sign_offs(job) == []
        assert SafetySignOff.objects.values("check_slug").distinct().count() == len(CHECKS)
        assert not JobEvent.objects.exclude(override_reason="").exists()

    def test_a_fitting_job_waits_for_something(self):
        fitting = JobCard.objects.filter(stage="fitting")
        assert all(missing_sign_offs(job) for job in fitting)

    def test_the_catalogue_is_invented_and_says_so(self):
        assert Turbo.objects.count() >= 10
        with_map = Turbo.objects.filter(map_points__isnull=False).distinct().count()
        assert 1 <= with_map < Turbo.objects.count() / 2
        assert (Pump.objects.count(), AirCleaner.objects.count(), Cooler.objects.count()) == (5, 4, 5)
        diameters = set(Plunger.objects.values_list("diameter_mm", flat=True))
        assert (min(diameters), max(diameters)) == (5.0, 9.0)
        for model in (Turbo, Pump, AirCleaner, Cooler):
            assert set(model.objects.values_list("source", flat=True)) == {"demo"}

    def test_logs_were_read_and_hold_pulls(self):
        logs = LogFile.objects.all()
        assert set(logs.values_list("state", flat=True)) == {"read"}
        for log in logs:
            pulls = LogPull.objects.filter(log=log)
            assert pulls.count() == 3
            assert all(30 < pull.boost_highest_kpa < 160 for pull in pulls)

    def test_no_power_is_corrected_where_the_air_is_too_thin_and_each_run_says_so(self):
        """2,600 m has about 73.5 kPa by the US Standard Atmosphere 1976; the standards end at 80 kPa (from memory)."""
        tests = list(DynoTest.objects.all())
        assert tests
        for test in tests:
            assert test.corrected_kw is None
            assert test.air_pressure_kpa < 80
            assert "is outside 80 to 110 kPa" in test.refusal
            assert "nothing is claimed of what the engine would give at sea level" in test.refusal

    def test_brake_runs_name_their_load_cell_and_are_as_exact_as_it(self):
        """14 Nm at the take-off over the speed ratio, at every speed."""
        curves = PowerCurve.objects.filter(kind="brake", instrument__isnull=False)
        assert curves
        for curve in curves:
            assert {p.uncertainty_nm for p in curve.points.all()} == {round(14.0 / curve.instrument_ratio, 2)}

    @override_settings(PASSWORD_HASHERS=HASHERS)
    def test_three_people_can_log_in(self):
        assert {w.role for w in DEMO_LOGINS} == {"front desk", "technician", "owner"}
        for worker in DEMO_LOGINS:
            person = Person.objects.get(username=worker.username)
            assert check_password(worker.password, person.password)
            assert len(worker.password) >= 12
            assert [g.name for g in person.groups.all()] == [worker.role]
        assert Workshop.objects.get().is_demo

    def test_progress_is_told(self):
        told = [text for text in self.said if isinstance(text, str)]
        assert any("job 1 of" in text for text in told)
        assert "done" in told[-1]

    def test_the_review_has_curves_and_says_too_few_elsewhere(self):
        rows = pairings(cases())
        assert any(row.left.too_few for row in rows)
        assert any(not row.left.too_few and row.left.survival < 1 for row in rows)
        assert any(row.gain_kw.known for row in rows)
        assert any(row.running_h.known for row in rows)
        assert any(row.running_km.known for row in rows)
        assert all(row.in_hand_c.lowest > -60 for row in rows if row.in_hand_c.known)

    def test_a_database_with_the_demo_refuses_a_second_one(self):
        count = JobCard.objects.count()
        with pytest.raises(RealData, match="not empty"):
            load_demo(timezone.localdate(), print)
        with pytest.raises(CommandError, match="here already") as caught:
            call_command("load_demo")
        assert caught.value.returncode == 2
        call_command("load_demo", "--if-empty")
        assert JobCard.objects.count() == count


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Customer.objects.create(name="Real", phone="1"), "1 customers"),
        (lambda: Person.objects.create_user("real", password="x"), "1 people"),
        (lambda: Turbo.objects.create(make="Real", name="T"), "1 turbos"),
        (
            lambda: Workshop.objects.create(name="Real", altitude_m=0, time_zone="UTC", currency="EUR"),
            "1 workshop that is not the demo's",
        ),
    ],
)
def test_real_data_is_refused_and_left_alone(make, words):
    make()
    with pytest.raises(CommandError, match=words) as caught:
        call_command("load_demo")
    assert caught.value.returncode == 2
    assert not JobCard.objects.exists()
    assert Workshop.objects.filter(is_demo=True).count() == 0


@pytest.mark.django_db
def test_outside_the_demo_passwords_are_random(settings):
    settings.DEMO = False
    log_ins = load_demo(date(2026, 11, 25), lambda text: None, finished=1)
    assert all(len(item.password) >= 12 for item in log_ins)
    assert not {item.password for item in log_ins} & {worker.password for worker in DEMO_LOGINS}
    assert all(check_password(i.password, Person.objects.get(username=i.username).password) for i in log_ins)


def _stand() -> list:
    """Everything that was decided, read and heard, without ids that are made at random."""
    return [
        list(JobCard.objects.order_by("number").values_list("number", "stage", "wish", "vehicle__registration")),
        list(Reading.objects.order_by("point__job__number", "at", "quantity").values_list("quantity", "value")),
        list(FollowUp.objects.order_by("job__number", "on").values_list("on", "text", "meter_reading")),
        list(Failure.objects.order_by("job__number", "on").values_list("on", "part", "cause")),
        list(
            ProvingRun.objects.filter(~Q(decision=""))
            .order_by("job__number", "number")
            .values_list("verdict", "reason")
        ),
    ]


@pytest.mark.django_db
def test_the_same_seed_and_day_give_the_same_workshop():
    found = []
    for _ in range(2):
        with transaction.atomic():
            load_demo(date(2026, 11, 25), lambda text: None, finished=9)
            found.append(_stand())
            transaction.set_rollback(True)
    assert found[0] == found[1]
    assert len(found[0][1]) > 100
