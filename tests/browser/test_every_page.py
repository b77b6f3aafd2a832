"""Every page, on a phone's width: nothing that axe objects to, no wider than the screen, no error in the console."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse

from tests.browser.phones import Phone
from tests.builders import make_person, make_workshop
from tests.test_all_pages import OWNER_ROLE, PAGES

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
NO_PAGES = (
    "_panel",
    "_file",
    "_csv",
    "_parquet",
    "_pdf",
    ":export",
    ":photo",
    ":worker",
    ":phone_bundle",
    ":leave_script",
    ":health_live",
    ":health_ready",
)


@pytest.fixture
def owner():
    make_workshop()
    return make_person("owner", "olin")


def _faults(phone, path: str) -> list[str]:
    answer = phone.page.goto(phone.base + path)
    if answer.status == 404 and "/review/" in path:
        return []  # a pairing exists only once a job with it was handed over
    assert (answer.status, answer.headers["content-type"].split(";")[0]) == (200, "text/html"), path
    wide = phone.page.evaluate("document.documentElement.scrollWidth - innerWidth")
    found = Axe().run(phone.page).response["violations"]
    told = [f"{path}: {v['id']} ({len(v['nodes'])}), {v['nodes'][0]['html'][:120]}" for v in found]
    return told + ([f"{path}: {wide} px too wide"] if wide > 0 else [])


def test_every_page_for_the_owner(chromium, live_server, settings, owner, things):
    settings.DEMO = True  # with the line that says so
    phone = Phone(chromium, live_server.url, "olin", bypass_csp=True, service_workers="block")
    paths = [
        reverse(name, args=things[what])
        for name, (what, may) in PAGES.items()
        if OWNER_ROLE in may and not name.endswith(NO_PAGES)
    ]
    faults = [fault for path in paths for fault in _faults(phone, path)]
    assert not faults, "\n".join(faults)
    assert not phone.errors
    phone.close()
