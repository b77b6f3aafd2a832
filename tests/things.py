"""One of each thing that a page can be about, by the name that the tables of pages give it."""

import pytest

from measurements.bench.curves.actions import record_curve
from measurements.bench.dyno.actions import record_dyno
from measurements.bench.dyno.runs import brake_curve
from measurements.bench.smoke.actions import add_snap, start_smoke_test
from measurements.bench.smoke.models import SmokeLimit
from measurements.intake.models import IntakeToken
from measurements.logs.actions import receive_log
from measurements.logs.reading import read_log
from measurements.proving.actions import start_run
from measurements.readings.actions import record_point
from measurements.readings.instruments import Instrument
from shop.fitting.actions import record_fitment
from shop.jobs.actions import add_photo
from shop.jobs.plans import attach_plan, plan_from_facts
from shop.long_work.models import Work
from shop.papers.actions import make_quote
from shop.safety.actions import sign_off
from shop.safety.notes import CHECKS
from shop.survey.actions import record_survey
from sizing.plans.actions import copy_plan
from tests.builders import FACTS, NOW, make_cooler, make_job, make_person, make_plunger, make_turbo
from tests.shop.jobs.test_jobs import PIXEL


@pytest.fixture
def things(owner):
    """One job with everything on it; the arguments of every address."""
    from django.core.files.base import ContentFile

    turbo, plunger = make_turbo(), make_plunger()
    job = make_job(owner, facts=FACTS)
    record_survey(job, owner, at=NOW, verdict="fit")
    quote = make_quote(job, [("part", "Turbo", 1, 450)], owner)
    photo = add_photo(job, ContentFile(PIXEL, name="bay.png"), "bay", owner)
    job_plan = plan_from_facts(
        job, owner, "First", (80, 90, "told"), turbo=turbo, cooler=make_cooler(), plunger=plunger
    )
    later = attach_plan(job, copy_plan(job_plan.plan, "Later"), owner)
    point = record_point(job, "before", 2500, 100, {"exhaust_temperature_c": 610.0}, owner)
    record_curve(job, "before", "brake", [(1500, 120), (2500, 126), (4000, 105)], owner)
    record_fitment(job, owner, turbo=turbo, plunger_diameter_mm=7.5)
    for check in CHECKS:
        sign_off(job, check.slug, owner)
    job.stage = "proving"
    job.save(update_fields=["stage"])
    run = start_run(job, owner)
    record_point(job, "after", 2500, 100, {"boost_kpa": 84.0, "exhaust_temperature_c": 590.0}, owner, run=run)
    rows = "".join(f"{i / 10},{1500 + 20 * i},{min(80, i)}\n" for i in range(120))
    log = receive_log(job, "after", "pull.csv", f"time_s,engine_speed_rpm,boost_kPa\n{rows}".encode(), owner)
    read_log(log, None, owner)
    work = Work.objects.create(kind="backup", by=owner, state="done", made_name="workshop.zip", ended_at=NOW)
    work.made.save("workshop.zip", ContentFile(b"a file"))
    token = IntakeToken.objects.create(name="Logger box", key_hash="0" * 64, by=owner, made_at=NOW)
    gauge = Instrument.objects.create(name="Gauge", quantity="boost_kpa", uncertainty=2)
    limit = SmokeLimit.objects.create(name="In use", value=2.5, source="local rule")
    smoke = start_smoke_test(job, "before", "free", 85.0, owner, limit=limit, limit_reason="paper")
    snap = add_snap(smoke, 1.2, owner)
    dyno = record_dyno(job, "before", brake_curve([1500, 3000], [130, 120], 2.0), b"a record", owner)
    return {
        "": [], "job": [job.pk], "photo": [photo.pk], "quote": [quote.pk], "customer": [job.vehicle.customer_id],
        "vehicle": [job.vehicle_id], "kind": ["turbo"], "kind turbo": ["turbo", turbo.pk], "turbo": [turbo.pk],
        "pump": [plunger.pump_id], "plunger": [plunger.pk], "plan": [job_plan.plan_id], "job_plan": [later.pk],
        "reading": [point.readings.get().pk], "log": [log.pk], "instrument": [gauge.pk], "run": [run.pk],
        "smoke test": [smoke.pk], "snap": [snap.pk], "smoke limit": [limit.pk], "job and way": [job.pk, "drum"], "dyno test": [dyno.pk],
        "pairing": [turbo.pk, 75, "without"], "token": [token.pk], "work": [work.pk], "job sheet": [job.pk, "leak_test"], "job work": [job.pk, "rollers"],
        "bundle": ["0" * 12, "js"],
        "calculator": ["air-at-the-place"], "person": [make_person("technician").pk],
    }  # fmt: skip
