"""The worker as it really runs: a process beside the server, killed, started again, stopped, and two of them."""

import json
import os
import signal
import subprocess
import sys
import time
import urllib.request

import pytest

from tests.live import ROOT, SET_UP, LiveShop

ASK = """
from tests.builders import make_person, make_workshop
from shop.access.models import Person
from shop.long_work.queue import ask
make_workshop() if not Person.objects.exists() else None
by = Person.objects.first() or make_person("owner")
print(json.dumps([ask("backup", None if i else by, about=f"{i}").pk for i in range(MANY)]))
"""
STATES = """
from shop.long_work.models import Work, WorkerSeen
print(json.dumps({"works": list(Work.objects.order_by("pk").values_list("state", "tries", "worker", "trouble")),
                  "workers": list(WorkerSeen.objects.values_list("name", flat=True))}))
"""
# A worker that knows a piece of work which takes long, and has its first word forgotten at once.
SLOW_WORKER = (
    SET_UP
    + """
from tests.shop.long_work.builders import known_kinds
from shop.long_work.worker import Worker
with known_kinds():
    Worker(0.2).run()
"""
)
ASK_SLOW = """
from tests.builders import make_person, make_workshop
from tests.shop.long_work.builders import known_kinds
from shop.long_work.queue import ask
make_workshop()
with known_kinds():
    print(json.dumps(ask("hang", make_person("owner"), what="long").pk))
"""
LONG_AGO = """
from datetime import timedelta
from django.utils import timezone
from shop.long_work.models import LOST_S, Work, WorkerSeen
WorkerSeen.objects.filter(name__in=list(Work.objects.values_list("worker", flat=True))).delete()
Work.objects.update(started_at=timezone.now() - timedelta(seconds=LOST_S + 5))
print(json.dumps(None))
"""


@pytest.fixture
def served(tmp_path):
    served = LiveShop(tmp_path / "shop")
    yield served
    served.stop()


def _until(look, seconds=60.0):
    """What is looked for, as soon as it is there."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if found := look():
            return found
        time.sleep(0.3)
    raise AssertionError("it did not come")


def _children(pid: int) -> list[int]:
    found = subprocess.run(["pgrep", "-P", str(pid)], capture_output=True, text=True, check=False).stdout
    return [int(line) for line in found.split()]


def _command(pid: int) -> str:
    try:
        with open(f"/proc/{pid}/cmdline", "rb") as file:
            return file.read().replace(b"\0", b" ").decode()
    except OSError:
        return ""


def _workers(server: int) -> list[int]:
    keepers = [pid for pid in _children(server) if "shop.long_work.keeper" in _command(pid)]
    return [pid for keeper in keepers for pid in _children(keeper) if "manage.py work" in _command(pid)]


def _worker_process(served) -> subprocess.Popen:
    return subprocess.Popen([sys.executable, "-c", SLOW_WORKER], cwd=ROOT, env=served.env)


def _all_done(served) -> dict | None:
    now = served.run(STATES)
    return now if all(state == "done" for state, *_ in now["works"]) else None


def _ready(served) -> dict:
    with urllib.request.urlopen(f"http://127.0.0.1:{served.port}/health/ready", timeout=5) as answer:
        return json.load(answer)


@pytest.mark.skipif(not os.path.isdir("/proc"), reason="looks at processes as Linux shows them")
def test_the_server_brings_two_workers_renews_a_killed_one_and_takes_them_along_when_it_stops(served):
    served.env["LONG_WORKERS"] = "2"
    served.start()
    first = _until(lambda: len(found := _workers(served.process.pid)) == 2 and found)
    asked = served.run(ASK.replace("MANY", "6"))
    states = _until(lambda: _all_done(served))
    assert len(states["works"]) == len(asked) == 6
    assert {tries for _, tries, _, _ in states["works"]} == {1}  # each was done once, whoever took it
    assert _ready(served) == {"database": "ok", "worker": "ok"}
    os.kill(first[0], signal.SIGKILL)
    renewed = _until(lambda: len(found := _workers(served.process.pid)) == 2 and first[0] not in found and found)
    served.stop()
    assert _until(lambda: not any(_command(pid) for pid in renewed))
    assert served.run(STATES)["workers"] != []  # the killed one did not say good-bye; the others did
    assert len(served.run(STATES)["workers"]) == 1


@pytest.mark.skipif(not os.path.isdir("/proc"), reason="looks at processes as Linux shows them")
def test_workers_do_not_outlive_a_server_that_was_killed(served):
    served.env["LONG_WORKERS"] = "1"
    served.start()
    workers = _until(lambda: _workers(served.process.pid))
    served.process.kill()
    served.process.wait(10)
    assert _until(lambda: not any("manage.py work" in _command(pid) for pid in workers))


def test_a_worker_killed_in_the_middle_loses_nothing(served):
    served.run(ASK_SLOW)
    worker = _worker_process(served)
    try:
        killed = _until(lambda: (now := served.run(STATES)["works"][0])[0] == "doing" and now)
    finally:
        worker.kill()
        worker.wait(10)
    assert served.run(STATES)["works"][0][:2] == ["doing", 1]
    served.run(LONG_AGO)  # as if a minute had gone by
    other = _worker_process(served)
    try:
        taken = _until(lambda: (now := served.run(STATES)["works"][0])[1] == 2 and now)
        assert taken[0] == "doing"
        assert taken[2] != killed[2]
    finally:
        other.terminate()
        other.wait(30)
    assert served.run(STATES)["works"][0][:2] == ["waiting", 1]  # told to stop, it put it back
