"""A real Chromium: the system's, else Playwright's own, else (as root on Debian) the system's package is fetched once."""

import os
import shutil
import subprocess

import pytest

from tests.browser.requests_in_flight import RequestsInFlight

REQUIRED = os.environ.get("BROWSER_TESTS", "") == "required"
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
# Playwright's own loop runs in the test's thread; Django would take that for a mistake.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")


def system_chromium() -> str | None:
    found = next(filter(None, map(shutil.which, NAMES)), None)
    if not found and hasattr(os, "geteuid") and os.geteuid() == 0 and shutil.which("apt-get"):
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "timeout": 600, "check": False}
        subprocess.run(["apt-get", "update", "-qq"], **quiet)
        subprocess.run(
            ["apt-get", "install", "-y", "-qq", "chromium"],
            **quiet,
            env=os.environ | {"DEBIAN_FRONTEND": "noninteractive"},
        )
        found = next(filter(None, map(shutil.which, NAMES)), None)
    return found


@pytest.fixture(scope="session")
def chromium(tmp_path_factory):
    from playwright.sync_api import Error, sync_playwright

    with sync_playwright() as playwright:
        path = system_chromium()
        try:
            if not path:
                subprocess.run(["playwright", "install", "chromium"], capture_output=True, timeout=600, check=False)
            browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        except Error as error:
            if REQUIRED:
                raise
            pytest.skip(f"no Chromium here: {str(error).splitlines()[0]}")
        yield browser
        browser.close()


@pytest.fixture(params=[390, 1280], ids=["phone", "desk"])
def page(request, chromium):
    """A page at phone or desk width that fails the test on any error in the console."""
    context = chromium.new_context(viewport={"width": request.param, "height": 844 if request.param == 390 else 900})
    context.set_default_timeout(15_000)
    opened = context.new_page()
    opened.console_errors = []
    opened.on("console", lambda m: opened.console_errors.append(m.text) if m.type == "error" else None)
    opened.on("pageerror", lambda e: opened.console_errors.append(str(e)))
    yield opened
    context.close()


@pytest.fixture(scope="session")
def requests_in_flight():
    requests = RequestsInFlight()
    yield requests
    requests.stop()


@pytest.fixture(autouse=True)
def _idle_before_tables_are_emptied(request):
    """After a test with the live server: close every page, then let the server finish what they had asked for."""
    if "live_server" not in request.fixturenames:
        yield
        return
    for name in ("transactional_db", "requests_in_flight"):  # set up before, so torn down after
        request.getfixturevalue(name)
    yield
    for context in request.getfixturevalue("chromium").contexts:
        context.close()
    request.getfixturevalue("requests_in_flight").wait_for_none()


def pytest_collection_modifyitems(items):
    for item in items:
        if "tests/browser" in str(item.path):
            item.add_marker(pytest.mark.browser)
