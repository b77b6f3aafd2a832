"""The outbox against the app as it is served: many entries through trouble of every kind, a restart, no TLS."""

import random
from itertools import chain, repeat

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import FLAGS, system_chromium
from tests.browser.phones import Phone
from tests.budget import Budget
from tests.live import MAKE_JOB, VALUES, LiveShop

pytestmark = pytest.mark.browser
TYPE_MANY = """async (outbox, [job, start, end]) => {
  for (let i = start; i < end; i++) {
    await outbox.saveFact({ kind: "point", id: outbox.newId(), job, phase: "before", speed_rpm: 1000 + (i % 50) * 50, load_pct: 100,
      values: { exhaust_temperature_c: i / 20 }, places: {}, gauges: {}, gear: "", note: "" }, `entry ${i}`);
  }
}"""

WRONG_CLOCK = """(off) => {
  const Right = Date;
  window.Date = class extends Right {
    constructor(...given) { if (given.length) super(...given); else super(Right.now() + off); }
    static now() { return Right.now() + off; }
  };
}"""


@pytest.fixture
def shop(tmp_path):
    live = LiveShop(tmp_path)
    yield live
    live.stop()


def test_many_entries_none_lost_none_twice(chromium, shop, record_property):
    """Each spell has its trouble: no network, tab killed, answers dropped after they were stored, server stopped, clock off.

    Five hundred come with every run, up to ten thousand with `OUTBOX_SECONDS=90`.
    """
    budget = Budget("OUTBOX", "entries of the outbox", record_property, least=500, most=10_000)
    job = shop.run(MAKE_JOB)
    shop.start()
    phone, chance = Phone(chromium, shop.base, "tarek"), random.Random(budget.seed)
    path = f"/jobs/{job}/phone/?phase=before"
    phone.go(path)
    phone.ready_without_network()

    def drop_some(route):
        if chance.random() < 0.3:
            route.fetch()
            route.abort()
        else:
            route.continue_()

    for number, spell in enumerate(budget.shares(chain(repeat(50, 10), repeat(250)))):
        phone.context.set_offline(number % 3 == 0)
        if number % 4 == 1:
            phone.page.evaluate(WRONG_CLOCK, 864e5 if number % 8 == 1 else -864e5)
        if number % 5 == 2:
            shop.stop()
        phone.page.route("**/api/v1/entries", drop_some)
        phone.outbox(TYPE_MANY, [job, spell.start, spell.stop])
        phone.page.close()
        phone.context.set_offline(False)
        if shop.process is None:
            shop.start()
        phone.new_tab()
        phone.go(path)
        if len(spell) > 50:  # what waits is sent within the budget, too
            phone.outbox("(outbox) => outbox.flush()")
    count = spell.stop
    for _ in range(count):
        phone.outbox("(outbox) => outbox.flush()")
        if "All sent" in phone.page.inner_text("#outbox-state"):
            break
    phone.badge("All sent")
    phone.close()
    assert [round(v * 20) for v in shop.run(VALUES)] == list(range(count))


def test_a_host_name_without_tls_keeps_the_outbox_and_says_what_it_cannot_do(chromium, tmp_path):
    shop = LiveShop(tmp_path, host="workshop.test")
    job = shop.run(MAKE_JOB)
    shop.start()
    mapped = chromium.browser_type.launch(
        executable_path=system_chromium(), args=[*FLAGS, "--host-resolver-rules=MAP workshop.test 127.0.0.1"]
    )
    try:
        phone = Phone(mapped, shop.base, "tarek")
        phone.go(f"/jobs/{job}/phone/?phase=before")
        expect(phone.page.locator("#offline-state")).to_contain_text("cannot start without network")
        assert phone.page.evaluate("[isSecureContext, 'serviceWorker' in navigator]") == [False, False]
        phone.context.set_offline(True)
        phone.save(exhaust_temperature_c="512")
        phone.badge("1 saved here, not sent")
        phone.page.close()
        phone.context.set_offline(False)
        phone.new_tab()
        phone.go(f"/jobs/{job}/phone/?phase=before")
        phone.badge("All sent")
        assert shop.run(VALUES) == [512]
        assert not phone.errors
    finally:
        mapped.close()
        shop.stop()
