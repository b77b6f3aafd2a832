"""Desk pages draw plots to look into; a phone keeps the light drawings of the server and never loads the library."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests.browser.phones import Phone
from tests.builders import make_person, make_workshop

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PAGES = [("measurements:log", "log", "#content svg"), ("measurements:before_after", "job", "#content svg"), ("sizing:plan", "plan", ".plot svg")]  # fmt: skip


@pytest.fixture
def owner():
    make_workshop()
    return make_person("owner", "olin")


@pytest.mark.parametrize("width", [390, 1280], ids=["phone", "desk"])
def test_plots_are_drawn_where_there_is_room(chromium, live_server, owner, things, width):
    person = Phone(chromium, live_server.url, "olin", service_workers="block")
    person.page.set_viewport_size({"width": width, "height": 900})
    asked = []
    person.page.on("request", lambda request: asked.append(request.url))
    for name, what, drawing in PAGES:
        asked.clear()
        person.go(reverse(name, args=things[what]))
        plots = person.page.locator("#content .js-plotly-plot")
        if width == 1280:
            expect(plots.first).to_be_visible()
            assert plots.first.locator("svg.main-svg").count()
        else:
            person.page.wait_for_load_state("networkidle")
            expect(person.page.locator(drawing).first).to_be_attached()
            assert not [url for url in asked if "plotly" in url], name
            assert plots.count() == 0
    assert not person.errors
    person.close()
