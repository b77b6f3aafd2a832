"""The app as it is really served: gunicorn in processes of its own, a database file, a folder that is thrown away."""

import json
import os
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
SET_UP = """
import json, os, django
os.environ["DJANGO_SETTINGS_MODULE"] = "shop.settings"
django.setup()
"""


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return found.getsockname()[1]


class LiveShop:
    def __init__(self, folder: Path, host: str = "localhost", debug: bool = True):
        self.port = free_port()
        self.base = f"http://{host}:{self.port}"
        self.env = os.environ | {
            "DATA_DIR": str(folder),
            "SECRET_KEY": "only-for-tests-" * 6,
            "PUBLIC_URL": self.base,
            "EXTRA_HOSTS": "localhost,127.0.0.1",
            "DEBUG": "true" if debug else "false",
            "PORT": str(self.port),
            "BIND": "127.0.0.1",
            "LONG_WORKERS": "0",
        }
        self.env.pop("DATABASE_URL", None)
        self.process = None
        self.call("manage.py", "migrate", "--verbosity", "0")

    def call(self, *words: str) -> str:
        done = subprocess.run(
            [sys.executable, *words], cwd=ROOT, env=self.env, capture_output=True, text=True, timeout=300
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    def run(self, code: str):
        """Run Python inside the shop and return what it prints as JSON last."""
        return json.loads(self.call("-c", SET_UP + code).strip().splitlines()[-1])

    def start(self):
        self.process = subprocess.Popen(
            [sys.executable, "-m", "gunicorn", "--config", "python:shop.serving", "shop.wsgi"],
            cwd=ROOT, env=self.env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        for _ in range(600):
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{self.port}/health/live", timeout=2)
                return self
            except OSError:
                time.sleep(0.1)
        raise AssertionError("the server did not start")

    def stop(self):
        if self.process:
            self.process.terminate()
            self.process.wait(20)
            self.process = None


MAKE_JOB = """
from tests.builders import make_job, make_person, make_workshop
make_workshop()
job = make_job(make_person("technician", "tarek"), facts={"rated_speed_rpm": (4000, 4000, "", "book")})
print(json.dumps(job.pk))
"""
VALUES = """
from measurements.models import Reading
print(json.dumps(sorted(Reading.objects.values_list("value", flat=True))))
"""
