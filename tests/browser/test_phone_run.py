"""A whole proving run with no network from the first visit on: signed, started, warmed up, read, cooled down, then sent."""

import re

import pytest
from playwright.sync_api import expect

from measurements.phone.models import Act
from measurements.proving.models import ProvingRun
from measurements.readings.models import Point
from shop.fitting.actions import record_fitment
from shop.jobs.models import JobCard
from shop.safety.models import SafetySignOff
from shop.safety.notes import CHECKS
from tests.browser.phones import Phone
from tests.builders import make_person, make_turbo, make_workshop
from tests.measurements.phone.builders import make_fitted_job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def technician():
    make_workshop()
    return make_person("technician", "tarek")


@pytest.fixture
def job(technician):
    return make_fitted_job(technician)


@pytest.fixture
def phone(chromium, live_server, technician, job):
    """At the vehicle, with the sheet kept and the network gone."""
    phone = Phone(chromium, live_server.url, "tarek")
    phone.go(f"/jobs/{job.pk}/phone/?phase=after")
    phone.ready_without_network()
    phone.context.set_offline(True)
    yield phone
    assert not phone.errors
    phone.close()


def again(phone, job):
    """The tab is killed and the sheet opened anew, still without network."""
    phone.page.close()
    phone.new_tab()
    phone.go(f"/jobs/{job.pk}/phone/?phase=after")


def sign(phone, checks):
    for check in checks:
        phone.page.locator(f"[data-check={check.slug}] .sign").tap()
        expect(phone.page.locator(f"[data-check={check.slug}] .signed")).to_contain_text("Signed by you")


def start(phone):
    sign(phone, CHECKS)
    phone.page.get_by_role("button", name="Start a proving run").tap()
    expect(phone.page.locator("#run-line")).to_contain_text("started on this phone")


def test_a_whole_run_without_network(phone, job):
    go = phone.page.get_by_role("button", name="Start a proving run")
    expect(go).to_be_hidden()
    sign(phone, CHECKS[:-1])
    expect(go).to_be_hidden()
    expect(phone.page.locator(".why-not")).to_contain_text(f"Not signed yet: {CHECKS[-1].title}")
    again(phone, job)
    sign(phone, CHECKS[-1:])
    phone.page.get_by_role("button", name="Start a proving run").tap()
    expect(phone.page.locator("#run-line")).to_contain_text("started on this phone")
    again(phone, job)
    phone.ready_without_network()
    expect(phone.page.locator("#run-line")).to_contain_text("started on this phone")

    full = phone.page.locator("[name=step][value='1600x100']")
    expect(full).to_be_disabled()
    phone.save(oil_temperature_c="85", oil_pressure_kpa="300")
    expect(full).to_be_enabled()
    again(phone, job)
    for rpm in (1600, 2200, 2800, 3400, 4000):
        phone.page.locator(f"[name=step][value='{rpm}x100']").check()
        phone.save(exhaust_temperature_c="600")
        expect(phone.page.locator("#answer")).to_contain_text("Saved on this phone")
    phone.page.locator("#step-cool").check()
    expect(phone.page.locator("fieldset.readings")).to_be_hidden()
    phone.page.evaluate("() => { const now = Date.now; Date.now = () => now() + (window.later || 0); }")
    phone.page.get_by_role("button", name="start the clock").tap()
    expect(phone.page.locator(".clock")).to_contain_text("2:5")
    phone.page.evaluate("() => { window.later = 181000; }")
    expect(phone.page.locator("#cool-down .told")).to_contain_text("switch off now")
    assert not ProvingRun.objects.exists()

    phone.context.set_offline(False)
    phone.badge("All sent")
    run = ProvingRun.objects.get()
    assert Point.objects.filter(run=run).count() == 6
    assert SafetySignOff.objects.filter(job=job).count() == len(CHECKS)
    assert Act.objects.get(kind="run_step").content == {"step": "cool_down", "seconds": 180}
    assert JobCard.objects.get().stage == "proving"
    assert max(s.at for s in SafetySignOff.objects.all()) <= run.started_at
    phone.go(f"/jobs/{job.pk}/phone/?phase=after")
    expect(phone.page.locator("#run-line")).to_contain_text("Proving run 1")


def test_full_load_waits_for_warm_oil_or_the_word_that_it_cannot_be_read(phone):
    start(phone)
    phone.page.locator("[name=step][value=other]").check()
    phone.save(speed_rpm="3000", load_pct="100", boost_kpa="40")
    expect(phone.page.locator("#refused")).to_contain_text("Full load waits for warm oil, 70 °C or more")
    expect(phone.page.locator("[name=boost_kpa]")).to_have_value("40")
    phone.page.locator("#warm-up summary").tap()
    expect(phone.page.locator("#warm-up")).to_contain_text("common practice")
    phone.page.locator("[data-unreadable]").tap()
    expect(phone.page.locator("#warm-up")).to_be_hidden()
    phone.save()
    expect(phone.page.locator("#answer")).to_contain_text("Saved on this phone")
    phone.context.set_offline(False)
    phone.badge("All sent")
    assert Act.objects.get(kind="run_step").content["step"] == "oil_unreadable"
    for _ in range(100):  # the list may say so before the last of them was sent
        if Point.objects.exists():
            break
        phone.page.wait_for_timeout(100)
    assert Point.objects.get().run == ProvingRun.objects.get()


def test_cold_oil_opens_nothing_and_an_undone_warm_one_closes_it_again(phone):
    start(phone)
    full = phone.page.locator("[name=step][value='1600x100']")
    phone.save(oil_temperature_c="69")
    expect(phone.page.locator("#answer")).to_contain_text("69")
    expect(full).to_be_disabled()
    phone.page.locator("[name=step][value='1200x0']").check()
    phone.save(oil_temperature_c="71")
    expect(full).to_be_enabled()
    phone.page.get_by_role("button", name="Undo").tap()
    expect(full).to_be_disabled()


def test_what_was_fitted_meanwhile_makes_the_signatures_count_no_more(phone, job, technician):
    start(phone)
    phone.save(oil_temperature_c="80")
    record_fitment(job, technician, turbo=make_turbo(name="Gust 52"), plunger_diameter_mm=6)
    phone.context.set_offline(False)
    phone.badge("refused")
    assert not ProvingRun.objects.exists()
    assert not SafetySignOff.objects.exists()
    phone.go("/jobs/outbox/")
    expect(phone.page.locator("#outbox-list")).to_contain_text("Something else was fitted")
    expect(phone.page.locator("#outbox-list")).to_contain_text(re.compile("Safety checks not signed"))
    phone.go(f"/jobs/{job.pk}/phone/?phase=after")
    expect(phone.page.locator(".why-not")).to_contain_text("Not signed yet")
    # Looked at again and started anew, the readings of the first start are sent once more and find the run.
    for check in CHECKS:
        phone.page.locator(f"[data-check={check.slug}] .sign").tap()
    phone.page.get_by_role("button", name="Start a proving run").tap()
    expect(phone.page.locator("#run-line")).to_contain_text("Proving run")
    phone.go("/jobs/outbox/")
    phone.page.get_by_role("button", name="Send all refused again").tap()
    expect(phone.page.locator("#outbox-list")).to_contain_text("Refused (8)")  # the signatures for the first fitment
    assert Point.objects.get().run == ProvingRun.objects.get()
