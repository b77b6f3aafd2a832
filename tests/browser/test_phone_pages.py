"""Phone pages: nothing that axe objects to, targets and gaps for a gloved hand, text and numbers to be read in the sun."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from PIL import Image
from playwright.sync_api import expect

from measurements.bench.smoke.actions import add_snap, start_smoke_test
from measurements.bench.smoke.models import SmokeLimit
from measurements.guided.models import SheetEntry, SheetPhoto
from measurements.readings.actions import record_point
from measurements.readings.models import Point
from tests.browser.phones import Phone
from tests.builders import make_person, make_workshop
from tests.measurements.phone.builders import make_fitted_job, make_proving_job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SHEETS = ["survey", "pump_bench", "injector_bench", "leak_test", "free_acceleration", "oil_feed"]
MEASURE = """() => {
  const shown = (e) => e.checkVisibility() && e.getBoundingClientRect().width > 2 && !e.closest(".skip");
  const targets = [...document.querySelectorAll("a[href], button, input:not([type=hidden]), select, summary")].filter(shown)
    .map((e) => (e.matches("[type=radio], [type=checkbox]") ? e.closest("label") || e.labels[0] || e : e));
  const unique = [...new Set(targets)];
  const name = (e) => (e.innerText || e.name || e.id || e.tagName).trim().slice(0, 30);
  const boxes = unique.map((e) => ({ name: name(e), e, box: e.getBoundingClientRect() }));
  const small = boxes.filter(({ box }) => box.height < 55.9 || box.width < 55.9).map(({ name, box }) => `${name} ${Math.round(box.width)}x${Math.round(box.height)}`);
  const near = [];
  boxes.forEach((a, i) => boxes.slice(i + 1).forEach((b) => {
    if (a.e.contains(b.e) || b.e.contains(a.e) || a.e.closest(".pad, .stop-line") !== b.e.closest(".pad, .stop-line")) return;
    const across = Math.max(a.box.left, b.box.left) - Math.min(a.box.right, b.box.right);
    const down = Math.max(a.box.top, b.box.top) - Math.min(a.box.bottom, b.box.bottom);
    if (Math.max(across, down) < 11.9) near.push(`${a.name} | ${b.name} ${Math.round(Math.max(across, down))}`);
  }));
  const texts = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const holder = walker.currentNode.parentElement;
    if (!walker.currentNode.textContent.trim() || !shown(holder) || holder.closest("script, template, .visually-hidden")) continue;
    const size = parseFloat(getComputedStyle(holder).fontSize);
    if (size < 17.9) texts.push(`${walker.currentNode.textContent.trim().slice(0, 30)} ${size}`);
  }
  const numbers = [...document.querySelectorAll("input[data-pad], .pad button:not(.word), .figure")].filter(shown)
    .filter((e) => parseFloat(getComputedStyle(e).fontSize) < 27.9 && !e.closest("del")).map(name);
  return { small, near, texts, numbers, wide: document.documentElement.scrollWidth - innerWidth };
}"""


@pytest.mark.parametrize("theme", ["day", "night", "sun"])
def test_phone_pages_suit_a_gloved_hand_and_axe(chromium, live_server, theme):
    make_workshop()
    technician = make_person("technician", "tarek")
    job, run = make_proving_job(technician, warm=True)
    phone = Phone(chromium, live_server.url, "tarek")
    phone.context.add_cookies([{"name": "theme", "value": theme, "url": live_server.url}])
    base, unsigned = f"/jobs/{job.pk}", make_fitted_job(technician)
    cold, _ = make_proving_job(technician)
    stop = record_point(job, "after", 4000, 100, {"exhaust_temperature_c": 790.0}, technician, run=run)
    smoke = start_smoke_test(
        job,
        "after",
        "free",
        85.0,
        technician,
        limit=SmokeLimit.objects.create(name="In use", value=2.5, source="local rule"),
        limit_reason="paper",
    )
    snap = add_snap(smoke, 1.2, technician)
    others = [
        reverse("measurements:correct", args=[stop.readings.get().pk]),
        reverse("measurements:smoke_snaps", args=[smoke.pk]),
        reverse("measurements:smoke_correct", args=[snap.pk]),
        f"{base}/phone/?phase=after&saved={stop.pk}",
    ]

    def holds(what: str):
        found = phone.page.evaluate(MEASURE)
        assert found == {"small": [], "near": [], "texts": [], "numbers": [], "wide": 0}, f"{what}: {found}"
        result = Axe().run(phone.page, options={"rules": {"color-contrast-enhanced": {"enabled": True}}})
        assert result.violations_count == 0, f"{what}: {result.generate_report()}"

    for path in (
        f"{base}/phone/?phase=before",
        f"{base}/phone/?phase=after",
        f"/jobs/{unsigned.pk}/phone/?phase=after",
        f"/jobs/{cold.pk}/phone/?phase=after",
        f"{base}/smoke-test/",
        "/jobs/outbox/",
        *(f"{base}/sheets/{s}/" for s in SHEETS),
        *others,
    ):
        phone.go(path)
        phone.page.wait_for_timeout(200)
        holds(path)
    phone.go(f"{base}/sheets/pump_bench/")
    phone.page.locator("[name^=delivery]").first.fill("a lot")
    phone.page.locator("#guided-form > .save").click()
    expect(phone.page.locator("#refused")).to_contain_text("Not saved.")
    holds("a guided sheet that was refused")
    phone.go(f"{base}/phone/?phase=after")
    phone.page.locator("#sheet-form > details.more summary").click()
    phone.page.locator("details.cautions summary").click()
    holds("all opened")
    phone.page.locator("#step-cool").check()
    holds("cool down")
    phone.page.locator("[name=step][value='1200x0']").check()
    phone.page.locator("[name=boost_kpa]").focus()
    phone.save(boost_kpa="82", exhaust_temperature_c="640")
    phone.badge("All sent")
    holds("after a save")
    phone.save(exhaust_temperature_c="790")
    result = Axe().run(
        phone.page, context="#stop-now", options={"rules": {"color-contrast-enhanced": {"enabled": True}}}
    )
    assert result.violations_count == 0, result.generate_report()
    phone.close()


def test_from_the_card_to_the_saved_reading_in_three_taps(chromium, live_server):
    """The code on the card opens the job page; the next step is picked already."""
    make_workshop()
    job, _ = make_proving_job(make_person("technician", "tarek"))
    phone = Phone(chromium, live_server.url, "tarek")
    phone.go(job.get_absolute_url())
    phone.page.get_by_role("link", name="Take readings").first.tap()
    phone.page.locator("[name=oil_pressure_kpa]").tap()
    for digit in "210":
        phone.page.locator(f"#pad [data-key='{digit}']").tap()
    phone.page.locator("#pad [data-key=save]").tap()
    expect(phone.page.locator("#answer")).to_contain_text("Sent and stored")
    assert "Oil pressure 210 kPa" in phone.page.inner_text("#answer")
    assert Point.objects.get().speed_rpm == 1200
    phone.close()


def test_the_pad_opens_again_for_the_field_that_was_typed_last(chromium, live_server):
    make_workshop()
    job, _ = make_proving_job(make_person("technician", "tarek"))
    phone = Phone(chromium, live_server.url, "tarek")
    phone.go(f"/jobs/{job.pk}/phone/?phase=before")
    expect(phone.page.locator("[name=exhaust_temperature_c]")).to_have_attribute(
        "inputmode", "none"
    )  # the phone's own keys stay away
    for text in ("41", "42"):
        phone.page.locator("[name=exhaust_temperature_c]").tap()
        for digit in text + "0":
            phone.page.locator(f"#pad [data-key='{digit}']").tap()
        phone.page.locator("#pad [data-key=save]").tap()
        expect(phone.page.locator("#answer")).to_contain_text(f"{text}0 °C")
        expect(phone.page.locator("#pad")).to_be_hidden()
    phone.close()


def test_the_phone_keeps_its_screen_on_and_shakes_when_settled_and_at_a_stop(chromium, live_server):
    make_workshop()
    job, _ = make_proving_job(make_person("technician", "tarek"), warm=True)
    phone = Phone(chromium, live_server.url, "tarek", service_workers="block")
    phone.context.add_init_script("""
      window.shaken = []; window.keptOn = [];
      navigator.vibrate = (ms) => shaken.push(ms);
      Object.defineProperty(navigator, "wakeLock", { value: { request: async (what) => keptOn.push(what) } });
    """)
    phone.page.clock.install()
    phone.go(f"/jobs/{job.pk}/phone/?phase=after")
    assert phone.page.evaluate("keptOn") == ["screen"]
    phone.page.locator("[name=step][value='4000x100']").check()
    hold = phone.page.locator("#settle")
    hold.click()
    expect(hold).to_have_text("Hold: 30 s")
    phone.page.clock.run_for(29_000)
    assert phone.page.evaluate("shaken") == []
    phone.page.clock.run_for(2_000)
    expect(hold).to_have_text("Settled: read now")
    phone.save(exhaust_temperature_c="790")
    expect(phone.page.locator("#stop-now")).to_be_visible()
    assert phone.page.evaluate("shaken") == [300, [600, 200, 600]]
    phone.close()


def test_the_minus_is_there_only_where_it_means_something(chromium, live_server):
    make_workshop()
    job, _ = make_proving_job(make_person("technician", "tarek"))
    phone = Phone(chromium, live_server.url, "tarek")
    phone.go(f"/jobs/{job.pk}/phone/?phase=after")
    for name, means in (("boost_kpa", True), ("oil_pressure_kpa", False)):
        phone.page.locator(f"[name={name}]").tap()
        assert phone.page.locator("#pad [data-key=minus]").is_enabled() == means
    phone.page.locator("[name=boost_kpa]").tap()
    for key in ("minus", "1", ",", "5"):
        phone.page.locator(f"#pad [data-key='{key}']").tap()
    assert phone.page.locator("[name=boost_kpa]").input_value() == "−1,5"
    phone.close()


def test_a_guided_sheet_keeps_what_was_found_and_a_photo(chromium, live_server, tmp_path):
    make_workshop()
    job, _ = make_proving_job(make_person("technician", "tarek"))
    photo = tmp_path / "gauge.png"
    Image.new("RGB", (40, 30), "white").save(photo)
    phone = Phone(chromium, live_server.url, "tarek")
    phone.go(f"/jobs/{job.pk}/sheets/leak_test/")
    phone.ready_without_network()
    phone.context.set_offline(True)
    phone.page.fill("[name=test_pressure_kpa-0]", "100")
    phone.page.locator("[name=soap_tight-0][value=yes]").check()
    phone.page.locator("#guided-form button.save").evaluate("b => b.click()")
    phone.badge("2 saved here, not sent")
    phone.page.set_input_files("#photo", photo)
    phone.page.get_by_role("button", name="Keep the photo").click()
    phone.badge("3 saved here, not sent")
    phone.context.set_offline(False)
    phone.badge("All sent")
    assert sorted(SheetEntry.objects.values_list("item", "value", "choice")) == [
        ("soap_tight", None, "yes"),
        ("test_pressure_kpa", 100.0, ""),
    ]
    assert SheetPhoto.objects.get().photo.job_id == job.pk
    phone.close()
