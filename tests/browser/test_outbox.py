"""Readings typed beside the engine: network cut, tab killed, answers lost, log-in ended. None lost, none twice."""

import re
import time
import uuid

import pytest
from django.contrib.sessions.models import Session
from playwright.sync_api import expect

from measurements.readings.models import Point, Reading, Withdrawal
from shop.jobs.models import JobCard
from tests.browser.phones import Phone
from tests.builders import make_job, make_person, make_workshop
from tests.measurements.phone.builders import make_proving_job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def technician():
    make_workshop()
    return make_person("technician", "tarek")


@pytest.fixture
def job(technician):
    return make_job(technician, facts={"rated_speed_rpm": (4000, 4000, "", "book")})


@pytest.fixture
def phone(chromium, live_server, technician):
    phone = Phone(chromium, live_server.url, "tarek")
    yield phone
    assert not phone.errors
    phone.close()


def sheet_of(phone, job, query="?phase=before"):
    phone.go(f"/jobs/{job.pk}/phone/{query}")


def test_what_is_saved_without_network_is_sent_when_it_is_back(phone, job):
    sheet_of(phone, job)
    phone.ready_without_network()
    phone.context.set_offline(True)
    for value in ("510", "520", "530"):
        phone.save(exhaust_temperature_c=value)
        expect(phone.page.locator("#answer")).to_contain_text("Saved on this phone.")
    phone.badge("3 saved here, not sent")
    assert not Point.objects.exists()
    phone.context.set_offline(False)
    phone.badge("All sent")
    assert sorted(Reading.objects.values_list("value", flat=True)) == [510, 520, 530]


def test_the_whole_sheet_starts_without_network_after_one_visit(phone, job):
    sheet_of(phone, job, "")
    phone.ready_without_network()
    phone.page.close()
    phone.context.set_offline(True)
    phone.new_tab()
    for query in ("?phase=before", ""):
        sheet_of(phone, job, query)
        expect(phone.page.locator("[name=exhaust_temperature_c]")).to_be_visible()
    phone.save(exhaust_temperature_c="515")
    phone.badge("1 saved here, not sent")
    phone.go("/jobs/outbox/")
    expect(phone.page.locator("#outbox-list")).to_contain_text("515")
    phone.context.set_offline(False)
    phone.page.click("#send-now")
    phone.badge("All sent")
    assert Point.objects.count() == 1


def test_the_card_scanned_without_network_leads_to_the_readings_that_are_kept(phone, job):
    sheet_of(phone, job)
    phone.ready_without_network()
    phone.context.set_offline(True)
    phone.page.close()
    phone.new_tab()
    phone.go(job.get_absolute_url())
    expect(phone.page).to_have_url(re.compile(rf"/jobs/{job.pk}/phone/$"))
    expect(phone.page.locator("#sheet-form")).to_be_visible()
    phone.go(f"/jobs/{job.pk + 1}/")  # of this one nothing is kept
    expect(phone.page).to_have_url(re.compile("/jobs/outbox/$"))
    phone.page.get_by_role("link", name=f"Readings, {job.number}").tap()
    expect(phone.page.locator("#sheet-form")).to_be_visible()
    phone.context.set_offline(False)


def test_a_guided_sheet_that_starts_without_network_shows_what_stands_there(phone, job):
    path = f"/jobs/{job.pk}/sheets/leak_test/"
    phone.go(path)
    phone.ready_without_network()
    phone.context.set_offline(True)
    for text in ("60", "70"):
        phone.page.fill("[name^=test_pressure]", text)
        phone.page.locator("#guided-form [type=radio][value=yes]").first.check()
        phone.page.locator("#guided-form > .save").evaluate("(b) => b.click()")
        expect(phone.page.locator("#answer")).to_contain_text(f"{text} kPa gauge")
    phone.page.close()
    phone.new_tab()
    phone.go(path)
    expect(phone.page.locator("[data-entry^=test_pressure] .last")).to_have_text("Stands there: 70 kPa gauge")
    expect(phone.page.locator(".picks .last").first).to_have_text("Stands there: yes")
    assert len(phone.kept()) == 4
    phone.context.set_offline(False)
    phone.badge("All sent")
    phone.go(path)
    expect(phone.page.locator("[data-entry^=test_pressure] .last")).to_contain_text("Stands there: 70 kPa gauge")


def test_the_light_is_chosen_without_network_and_taken_by_every_kept_page(phone, job):
    sheet_of(phone, job)
    phone.ready_without_network()
    phone.context.set_offline(True)
    theme = "document.documentElement.dataset.theme"
    assert phone.page.evaluate(theme) is None  # none is chosen: the device says which
    phone.page.get_by_role("button", name="Full sun").tap()
    assert phone.page.evaluate(theme) == "sun"
    phone.go("/jobs/outbox/")
    expect(phone.page.get_by_role("button", name="Full sun")).to_have_attribute("aria-pressed", "true")
    assert phone.page.evaluate(theme) == "sun"
    phone.context.set_offline(False)
    phone.go("/jobs/")  # the server reads the same cookie
    assert phone.page.evaluate(theme) == "sun"


def test_a_killed_tab_loses_nothing(phone, job):
    sheet_of(phone, job)
    phone.ready_without_network()
    phone.context.set_offline(True)
    for value in range(500, 520):
        phone.save(exhaust_temperature_c=str(value))
        phone.badge(f"{value - 499} saved here")
    phone.page.close()
    phone.context.set_offline(False)
    phone.new_tab()
    sheet_of(phone, job)
    phone.badge("All sent")
    assert sorted(Reading.objects.values_list("value", flat=True)) == list(range(500, 520))


def test_an_answer_lost_after_it_was_stored_makes_no_second_reading(phone, job):
    sheet_of(phone, job)
    lost = []

    def drop(route):
        if len(lost) < 5:
            route.fetch()
            lost.append(1)
            route.abort()
        else:
            route.continue_()

    phone.page.route("**/api/v1/entries", drop)
    for value in range(500, 505):
        phone.save(exhaust_temperature_c=str(value))
        phone.outbox("(outbox) => outbox.flush()")
    for _ in range(6):
        phone.outbox("(outbox) => outbox.flush()")
    phone.badge("All sent")
    assert len(lost) == 5
    assert sorted(Reading.objects.values_list("value", flat=True)) == list(range(500, 505))


def test_a_log_in_that_ended_keeps_the_queue_and_asks(phone, job):
    sheet_of(phone, job)
    Session.objects.all().delete()
    phone.save(exhaust_temperature_c="512")
    expect(phone.page.locator("#outbox-why")).to_contain_text("Log in again to send")
    phone.badge("1 saved here, not sent")
    phone.log_in("tarek")
    sheet_of(phone, job)
    phone.badge("All sent")
    assert Reading.objects.get().value == 512


def test_what_was_refused_stays_with_the_reason(phone, job):
    sheet_of(phone, job)
    JobCard.objects.filter(pk=job.pk).update(stage="called_off")
    phone.save(exhaust_temperature_c="512")
    phone.badge("1 refused")
    expect(phone.page.locator("#answer")).to_contain_text("called off")
    phone.go("/jobs/outbox/")
    expect(phone.page.locator("#outbox-list")).to_contain_text("called off")
    JobCard.objects.filter(pk=job.pk).update(stage="surveyed")
    phone.page.get_by_role("button", name="Send again").click()
    phone.badge("All sent")
    assert Reading.objects.get().value == 512


def test_another_log_in_does_not_send_what_is_not_its_own(phone, job):
    make_person("technician", "other")
    sheet_of(phone, job)
    phone.ready_without_network()
    phone.context.set_offline(True)
    phone.save(exhaust_temperature_c="512")
    phone.badge("1 saved here")
    phone.page.goto("about:blank")
    phone.context.clear_cookies()
    phone.context.set_offline(False)
    phone.log_in("other")
    sheet_of(phone, job)
    expect(phone.page.locator("#outbox-why")).to_contain_text("somebody else's log-in")
    assert not Point.objects.exists()
    phone.ready_without_network()
    phone.page.goto("about:blank")  # nothing of the page in flight may bring back a cookie
    phone.page.wait_for_timeout(500)
    phone.context.clear_cookies()
    phone.log_in("tarek")
    sheet_of(phone, job)
    phone.badge("All sent")
    assert Point.objects.get().by.username == "tarek"


def test_log_out_asks_while_something_is_not_sent(phone, job):
    sheet_of(phone, job)
    JobCard.objects.filter(pk=job.pk).update(stage="called_off")
    phone.save(exhaust_temperature_c="512")
    phone.badge("1 refused")
    asked = []
    phone.page.once("dialog", lambda d: (asked.append(d.message), d.dismiss()))
    phone.page.get_by_role("button", name="Log out").click()
    phone.page.wait_for_timeout(300)
    assert "not stored yet" in asked[0]
    assert "/phone/" in phone.page.url
    phone.page.once("dialog", lambda d: d.accept())
    phone.page.get_by_role("button", name="Log out").click()
    phone.page.wait_for_url(re.compile("log-in"))
    assert (
        phone.page.evaluate("async () => (await caches.keys()).filter((n) => n.startsWith('phone-pages')).length") == 0
    )
    # What the pages are made of stays, so that the next log-in is ready without network again.
    phone.log_in("tarek")
    sheet_of(phone, job)
    phone.ready_without_network()
    phone.context.set_offline(True)
    sheet_of(phone, job)
    expect(phone.page.locator("#guide, #taken").first).to_be_attached()
    assert phone.outbox("(outbox) => typeof outbox.saveFact") == "function"
    phone.context.set_offline(False)


def test_a_phone_that_stores_nothing_says_so_and_sends_at_once(phone, job):
    phone.context.add_init_script(
        "Object.defineProperty(window, 'indexedDB', { value: { open() { throw new Error('refused'); } } })"
    )
    sheet_of(phone, job)
    phone.badge("This phone keeps nothing")
    phone.save(exhaust_temperature_c="512")
    expect(phone.page.locator("#answer")).to_contain_text("Sent and stored")
    assert Reading.objects.get().value == 512
    phone.page.route("**/api/**", lambda route: route.abort())
    phone.save(exhaust_temperature_c="513")
    expect(phone.page.locator("#refused")).to_contain_text("cannot be reached")
    expect(phone.page.locator("[name=exhaust_temperature_c]")).to_have_value("513")
    phone.page.unroute("**/api/**")
    phone.save()
    expect(phone.page.locator("#answer")).to_contain_text("513")
    assert sorted(Reading.objects.values_list("value", flat=True)) == [512, 513]


def test_undo_takes_back_and_keeps_the_history(phone, job):
    sheet_of(phone, job)
    phone.save(exhaust_temperature_c="900")
    phone.page.get_by_role("button", name="Undo").click()
    expect(phone.page.locator("#answer")).to_contain_text("Taken back")
    expect(phone.page.locator("[name=exhaust_temperature_c]")).to_have_value("900")
    phone.badge("All sent")
    assert Withdrawal.objects.count() == 1
    assert not Point.objects.exists()


def test_a_phone_that_keeps_nothing_takes_back_only_what_the_server_took(phone, job):
    phone.context.add_init_script(
        "Object.defineProperty(window, 'indexedDB', { value: { open() { throw new Error('refused'); } } })"
    )
    sheet_of(phone, job)
    phone.save(exhaust_temperature_c="512")
    expect(phone.page.locator("#answer")).to_contain_text("Sent and stored")
    phone.page.route("**/api/**", lambda route: route.abort())
    phone.page.get_by_role("button", name="Undo").click()
    expect(phone.page.locator("#answer")).to_contain_text("It was not taken back and counts.")
    assert Point.objects.count() == 1
    phone.page.unroute("**/api/**")
    phone.page.get_by_role("button", name="Undo").click()
    expect(phone.page.locator("#answer")).to_contain_text("Taken back. It does not count")
    assert not Point.objects.exists()


def test_a_page_that_starts_without_network_goes_on_where_it_was_left(phone, technician):
    job, _ = make_proving_job(technician, warm=True)
    sheet_of(phone, job, "?phase=after")
    phone.ready_without_network()
    phone.context.set_offline(True)
    for temperature in ("410", "520", "530"):
        phone.save(exhaust_temperature_c=temperature)
        expect(phone.page.locator("#answer")).to_contain_text(f"{temperature} °C")
        expect(phone.page.locator("#taken")).to_contain_text(f"{temperature} °C")
    phone.page.get_by_role("button", name="Undo").click()
    expect(phone.page.locator("#taken .back del").first).to_be_attached()
    picked = phone.page.locator("[name=step]:checked").get_attribute("value")
    phone.page.close()
    phone.new_tab()
    sheet_of(phone, job, "?phase=after")
    taken = phone.page.locator("#taken article")
    expect(taken).to_have_count(3)
    assert "530" in taken.first.inner_text()
    expect(phone.page.locator("#taken .back")).to_have_count(1)
    expect(phone.page.locator("[name=step]:checked")).to_have_value(picked)
    expect(phone.page.locator("[data-entry=exhaust_temperature_c] .last")).to_contain_text("520")
    phone.context.set_offline(False)
    phone.outbox("(outbox) => outbox.flush()")
    phone.badge("All sent")
    sheet_of(phone, job, "?phase=after")
    expect(taken).to_have_count(3)
    expect(phone.page.locator("#taken .back")).to_have_count(1)


def test_stop_fills_the_screen_without_network(phone, technician):
    job, _ = make_proving_job(technician, warm=True)
    sheet_of(phone, job, "?phase=after")
    phone.ready_without_network()
    phone.context.set_offline(True)
    phone.page.locator("[name=step][value='4000x100']").check()
    phone.save(exhaust_temperature_c="790")
    stop = phone.page.locator("#stop-now")
    expect(stop).to_contain_text("Take the load off now")
    expect(stop).to_contain_text("common practice")  # where the limit comes from
    box = stop.bounding_box()
    assert (box["width"], box["height"]) == (390, 844)
    stop.get_by_role("button", name="The load is off").click()
    expect(stop).to_be_hidden()
    expect(phone.page.locator("#answer .word")).to_contain_text("stop")


def test_no_name_plate_or_wish_of_the_customer_is_in_any_storage(phone, job):
    job = JobCard.objects.with_people().get(pk=job.pk)
    sheet_of(phone, job)
    phone.ready_without_network()
    phone.save(exhaust_temperature_c="512")
    phone.badge("All sent")
    kept = phone.outbox(
        """async (outbox) => {
          const texts = [JSON.stringify(await outbox.allItems()), JSON.stringify({ ...localStorage }), JSON.stringify({ ...sessionStorage })];
          for (const name of await caches.keys()) {
            const cache = await caches.open(name);
            for (const request of await cache.keys()) texts.push(request.url, await (await cache.match(request)).text());
          }
          return texts.join("\\n");
        }"""
    )
    assert "exhaust" in kept.lower()
    customer = job.vehicle.customer
    for private in (job.vehicle.registration, customer.name, customer.phone, job.wish):
        assert private not in kept, private


def test_pressing_save_twice_and_typing_on_at_once_saves_each_value_once(phone, job):
    sheet_of(phone, job)
    phone.ready_without_network()
    phone.context.set_offline(True)
    left = phone.page.evaluate(
        """() => {
          const form = document.getElementById("sheet-form"), box = form.elements.exhaust_temperature_c;
          for (const value of ["510", "520", "530"]) {
            box.value = value;
            form.requestSubmit();
            form.requestSubmit();
          }
          box.value = "540";
          return new Promise((done) => setTimeout(() => done(box.value), 500));
        }"""
    )
    assert left == "540"
    phone.badge("3 saved here, not sent")
    phone.context.set_offline(False)
    phone.badge("All sent")
    assert sorted(Reading.objects.values_list("value", flat=True)) == [510, 520, 530]


def test_a_run_that_was_started_is_not_hidden_by_the_page_that_was_kept(phone, technician):
    job, _ = make_proving_job(technician, with_run=False)
    sheet_of(phone, job, "?phase=after")
    phone.ready_without_network()
    phone.page.route(re.compile(r"/phone/"), lambda route: (time.sleep(1), route.continue_()))
    phone.page.get_by_role("button", name="Start a proving run").click()
    expect(phone.page.locator("#sheet-form")).to_be_visible()
    phone.context.set_offline(True)
    sheet_of(phone, job, "?phase=after")
    expect(phone.page.locator("#content")).to_be_visible()
    phone.context.set_offline(False)
    sheet_of(phone, job, "?phase=after")
    expect(phone.page.locator("#sheet-form")).to_be_visible()


def test_a_newer_sheet_does_not_wipe_what_is_being_typed(phone, technician):
    """The page comes with a run, the answer of the server a second later with another one."""
    job, _ = make_proving_job(technician)
    phone.go(f"/jobs/{job.pk}/phone/?phase=after")
    phone.ready_without_network()

    def later(route):
        answer = route.fetch()
        told = answer.json() | {"run": str(uuid.uuid4())}
        time.sleep(1)
        route.fulfill(response=answer, json=told)

    phone.page.route("**/sheet?phase=after", later)
    phone.go(f"/jobs/{job.pk}/phone/?phase=after")
    boost = phone.page.locator("[name=boost_kpa]")
    boost.fill("78")
    phone.page.wait_for_timeout(2500)
    expect(boost).to_have_value("78")
