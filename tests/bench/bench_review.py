"""The owner's review over 10,000 finished jobs in 200 pairings, and how long the demo workshop takes to load."""

import random
import statistics
import tempfile
import time
import uuid
from contextlib import contextmanager
from datetime import timedelta

from django.conf import settings
from django.db import connection, transaction
from django.test import Client, override_settings
from django.test.utils import CaptureQueriesContext, setup_test_environment, teardown_test_environment
from django.utils import timezone

JOBS, PAIRINGS, VISITS = 10_000, 200, 60
PLUNGERS = (5.5, 6.0, 6.5, 7.0)


@contextmanager
def _empty_database():
    """A database of its own, plain static files, and files in a folder that goes away."""
    plain = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
    with (
        tempfile.TemporaryDirectory() as files,
        override_settings(
            STORAGES={**settings.STORAGES, "staticfiles": plain}, MEDIA_ROOT=files, SECURE_SSL_REDIRECT=False, DEMO=True
        ),
    ):
        setup_test_environment(debug=False)
        name = connection.settings_dict["NAME"]
        connection.creation.create_test_db(verbosity=0, autoclobber=True)
        try:
            yield
        finally:
            connection.creation.destroy_test_db(name, verbosity=0)
            teardown_test_environment()


def _fill(owner) -> None:
    """Finished jobs with three follow-ups, twelve readings and now and then a failure each."""
    from measurements.readings.models import Point, Reading
    from shop.fitting.models import Fitment
    from shop.follow_up.models import Failure, FollowUp
    from shop.jobs.models import JobCard, JobPlan
    from shop.papers.models import HandOver
    from shop.people.models import Customer, Vehicle
    from sizing.catalogue.models import Turbo
    from sizing.plans.models import Plan
    from tests.builders import make_cooler

    draw, now = random.Random(1), timezone.now()
    today = now.date()
    turbos = Turbo.objects.bulk_create(Turbo(make="Bench", name=f"T{i}") for i in range(PAIRINGS // 8))
    cooler = make_cooler()
    customer = Customer.objects.create(name="x", phone="1")
    rows: dict[type, list] = {
        m: [] for m in (Vehicle, JobCard, Plan, JobPlan, HandOver, Fitment, FollowUp, Failure, Point, Reading)
    }
    for i in range(JOBS):
        vehicle = Vehicle(
            customer=customer,
            registration=f"B{i}",
            make_and_model="m",
            use="road",
            meter=draw.choice(["km", "h", "none"]),
        )
        job = JobCard(number=f"B{i}", vehicle=vehicle, stage="handed_over", wish="w", opened_by=owner, opened_at=now)
        plan = Plan(title="p", injection="direct", made_at=now, changed_at=now)
        on, kind = today - timedelta(days=draw.randint(30, 2100)), i % PAIRINGS
        rows[Vehicle].append(vehicle)
        rows[JobCard].append(job)
        rows[Plan].append(plan)
        rows[JobPlan].append(JobPlan(job=job, plan=plan, position=1, is_current=True, by=owner, at=now))
        rows[HandOver].append(
            HandOver(job=job, on=on, meter_reading=1000 * draw.random(), received_by="x", by=owner, at=now)
        )
        rows[Fitment].append(
            Fitment(
                job=job, turbo=turbos[kind // 8], plunger_diameter_mm=PLUNGERS[kind % 4],
                cooler=cooler if kind % 8 >= 4 else None, by=owner, at=now,
            )
        )  # fmt: skip
        rows[FollowUp] += [
            FollowUp(
                job=job,
                on=on + timedelta(days=200 * k),
                way="phone",
                meter_reading=1000 + 900 * k,
                text="x",
                by=owner,
                at=now,
            )
            for k in (1, 2, 3)
        ]
        if draw.random() < 0.2:
            rows[Failure].append(
                Failure(
                    job=job, on=on + timedelta(days=draw.randint(1, 600)), part="other", said_by="x", meter_reading=2500,
                    ends_pairing=draw.random() < 0.7, by=owner, at=now,
                )
            )  # fmt: skip
        for k in range(4):
            point = Point(
                id=uuid.UUID(int=draw.getrandbits(128)), job=job, phase="after", speed_rpm=1000 + 500 * k, load_pct=100, by=owner,
                taken_at=now, received_at=now,
            )  # fmt: skip
            rows[Point].append(point)
            rows[Reading] += [
                Reading(point=point, quantity=slug, value=draw.uniform(100, 690), place=place, by=owner, at=now)
                for slug, place in (
                    ("boost_kpa", ""),
                    ("charge_temperature_c", ""),
                    ("exhaust_temperature_c", "before_turbine"),
                )
            ]
    with transaction.atomic():
        for model, made in rows.items():
            model.objects.bulk_create(made, batch_size=500)


def bench_review():
    from tests.builders import make_person, make_workshop

    with _empty_database():
        make_workshop()
        owner = make_person("owner")
        _fill(owner)
        client = Client()
        client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
        client.get("/review/")  # works out what was never asked for before
        times = []
        for _ in range(VISITS):
            started = time.perf_counter()
            assert client.get("/review/").status_code == 200
            times.append((time.perf_counter() - started) * 1000)
        yield "review, 10,000 jobs: server time, half of the visits, ms", statistics.median(times), ""
        yield (
            "review, 10,000 jobs: server time, 95 of 100 visits, ms",
            statistics.quantiles(times, n=20)[-1],
            "150 or less",
        )
        with CaptureQueriesContext(connection) as counted:
            client.get("/review/")
        yield "review, 10,000 jobs: queries", len(counted), "15 or less"


def bench_demo():
    from measurements.demo.load import load_demo

    with _empty_database():
        started = time.perf_counter()
        load_demo(timezone.localdate(), lambda text: None)
        yield "demo workshop: seconds to load", time.perf_counter() - started, "20 or less"
