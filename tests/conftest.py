import os
from datetime import UTC, datetime, time

import pytest
import time_machine
from django.db import connection
from django.test import Client

from tests.budget import SAID
from tests.builders import make_person, make_workshop
from tests.things import things

__all__ = ["things"]  # the fixture

# At the turn of a year: before 05:00 UTC the workshop of the tests, in UTC-5, still writes the year before.
DAY = datetime(2027, 1, 1, tzinfo=UTC)
HOURS = ("00:30", "03:00", "12:00", "23:30")


def travel(hour: str = os.environ.get("TEST_CLOCK") or "12:00") -> time_machine.travel:
    return time_machine.travel(datetime.combine(DAY, time.fromisoformat(hour), UTC))


@pytest.fixture(scope="session", autouse=True)
def _clock_of_wider_fixtures():
    with travel():
        yield


@pytest.fixture(autouse=True)
def clock(request):
    """Every test begins at the same moment, whose hour (UTC) TEST_CLOCK changes; from there time runs on."""
    with travel(*filter(None, [getattr(request, "param", None)])) as traveller:
        yield traveller


def pytest_generate_tests(metafunc):
    if metafunc.definition.get_closest_marker("any_hour"):
        metafunc.parametrize("clock", HOURS, indirect=True)


@pytest.fixture(scope="session")
def django_db_modify_db_settings(tmp_path_factory):
    """SQLite in a file, as it is served: in memory all threads of the live server would share one transaction."""
    if connection.vendor == "sqlite":
        connection.settings_dict["TEST"]["NAME"] = str(tmp_path_factory.mktemp("database") / "test.sqlite3")
        options = connection.settings_dict["OPTIONS"]
        options["init_command"] = options["init_command"].replace("synchronous=FULL", "synchronous=OFF")
    elif "PYTEST_XDIST_WORKER" in os.environ:
        connection.settings_dict["TEST"]["NAME"] = f"test_workshop_{os.environ['PYTEST_XDIST_WORKER']}"


@pytest.fixture(autouse=True)
def _plain_settings(settings, tmp_path):
    """Files go to a folder of the test; passwords are hashed cheaply."""
    settings.MEDIA_ROOT = tmp_path / "files"
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.AXES_ENABLED = False
    settings.TASKS = {"default": {"BACKEND": "django_tasks.backends.immediate.ImmediateBackend"}}
    settings.DATA_DIR = tmp_path
    # Static files straight from their folders; that they can be collected is a test of its own.
    settings.STORAGES = settings.STORAGES | {
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
    }
    settings.SECURE_SSL_REDIRECT = False
    settings.ALLOWED_HOSTS = ["testserver", "localhost", "127.0.0.1", "workshop.test"]


@pytest.fixture
def workshop(db):
    return make_workshop()


@pytest.fixture
def desk(workshop):
    return make_person("front desk")


@pytest.fixture
def technician(workshop):
    return make_person("technician")


@pytest.fixture
def owner(workshop):
    return make_person("owner")


def _client(person) -> Client:
    client = Client()
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def desk_client(desk):
    return _client(desk)


@pytest.fixture
def technician_client(technician):
    return _client(technician)


@pytest.fixture
def owner_client(owner):
    return _client(owner)


def pytest_terminal_summary(terminalreporter):
    """Plain lines at the end: how far the long lists got, and that the browser tests were left out."""
    for report in [*terminalreporter.stats.get("passed", []), *terminalreporter.stats.get("failed", [])]:
        said = [str(value) for name, value in report.user_properties if name == SAID]
        if said:
            terminalreporter.write_line("; ".join(said))
    left_out = [r for r in terminalreporter.stats.get("skipped", []) if "no Chromium here" in str(r.longrepr)]
    if left_out:
        terminalreporter.write_line(
            f"Left out: {len(left_out)} browser tests, because no Chromium was found or could be had."
        )
