"""Day, night or full sun: the device says which until a person chooses one."""

import pytest

from tests.browser.phones import Phone
from tests.builders import make_job, make_person, make_workshop

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PAPER = "getComputedStyle(document.documentElement).getPropertyValue('--sheet').trim()"
# From the style sheet: the paper of each light.
DAY, NIGHT, SUN = "#fffdf8", "#1a201d", "#ffffff"


@pytest.fixture
def phone(chromium, live_server):
    make_workshop()
    make_person("technician", "tarek")
    phone = Phone(chromium, live_server.url, "tarek", color_scheme="dark", service_workers="block")
    yield phone
    assert not phone.errors
    phone.close()


@pytest.mark.parametrize("path", ["/jobs/", "/jobs/{}/phone/"])
def test_the_device_is_followed_until_a_light_is_chosen(phone, path):
    path = path.format(make_job().pk)
    phone.go(path)
    assert phone.page.evaluate(PAPER) == NIGHT
    assert phone.page.evaluate("getComputedStyle(document.documentElement).colorScheme") == "dark"
    phone.page.emulate_media(color_scheme="light")
    assert phone.page.evaluate(PAPER) == DAY
    phone.page.emulate_media(color_scheme="dark")
    assert phone.page.evaluate(PAPER) == NIGHT
    phone.page.emulate_media(media="print", color_scheme="dark")  # on paper it is day
    assert phone.page.evaluate(PAPER) == DAY


@pytest.mark.parametrize(
    ("name", "device", "paper"), [("Day", "dark", DAY), ("Full sun", "dark", SUN), ("Night bay", "light", NIGHT)]
)
def test_a_chosen_light_wins_over_the_device(phone, name, device, paper):
    sheet = f"/jobs/{make_job().pk}/phone/"
    phone.page.emulate_media(color_scheme=device)
    phone.go("/light/")
    phone.page.get_by_role("button", name=name).click()
    for path in ("/jobs/", sheet):
        phone.go(path)
        assert phone.page.evaluate(PAPER) == paper, path


def test_a_light_chosen_on_the_sheet_itself_wins_at_once_and_afterwards(phone):
    phone.go(f"/jobs/{make_job().pk}/phone/")
    key = phone.page.get_by_role("button", name="Day", exact=True)
    assert key.get_attribute("aria-pressed") is None
    key.click()
    assert phone.page.evaluate(PAPER) == DAY
    assert key.get_attribute("aria-pressed") == "true"
    phone.go("/jobs/")
    assert phone.page.evaluate(PAPER) == DAY
