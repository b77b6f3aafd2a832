"""Configuration comes from the environment; what is wrong stops start-up and names the variable."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
GOOD = {"SECRET_KEY": "s" * 60, "PATH": os.environ["PATH"]}


def _check(tmp_path, **env):
    """Start Django in a process of its own with this environment and nothing else."""
    full = {"DATA_DIR": str(tmp_path)} | GOOD | env
    return subprocess.run(
        [sys.executable, "manage.py", "check"],
        cwd=ROOT,
        env={k: v for k, v in full.items() if v is not None},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


def test_good_environment_starts(tmp_path):
    result = _check(tmp_path)
    assert result.returncode == 0, result.stderr


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("SECRET_KEY", None),
        ("SECRET_KEY", "short"),
        ("DEBUG", "maybe"),
        ("PUBLIC_URL", "workshop"),
        ("DATABASE_URL", "oracle://x"),
        ("MAX_UPLOAD_MB", "a lot"),
        ("MAX_UPLOAD_MB", "0"),
        ("SECRET_KEY_FILE", "/nowhere/at/all"),
    ],
)
def test_wrong_or_missing_value_stops_start_up_and_names_the_variable(tmp_path, name, value):
    result = _check(tmp_path, **{name: value})
    assert result.returncode != 0
    assert name in result.stderr.splitlines()[-1]


def test_secret_may_stand_in_a_file(tmp_path):
    (tmp_path / "key").write_text("k" * 60)
    assert _check(tmp_path, SECRET_KEY=None, SECRET_KEY_FILE=str(tmp_path / "key")).returncode == 0


SEE_HSTS = """
import os, django
os.environ["DJANGO_SETTINGS_MODULE"] = "shop.settings"
django.setup()
from django.test import Client
print(Client().get("/health/live", secure=True, headers={"Host": "workshop.lan"}).headers.get("Strict-Transport-Security", "none"))
"""


@pytest.mark.parametrize(
    ("address", "told"), [("https://workshop.lan", f"max-age={30 * 86400}"), ("http://workshop.lan", "none")]
)
def test_tls_is_asked_of_this_name_alone_and_not_for_ever(tmp_path, address, told):
    """Preloading is for public names and cannot be taken back (hstspreload.org); it needs a year and subdomains."""
    env = GOOD | {"DATA_DIR": str(tmp_path), "PUBLIC_URL": address}
    done = subprocess.run(
        [sys.executable, "-c", SEE_HSTS], cwd=ROOT, env=env, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == told


def test_every_variable_is_in_the_contributor_guide():
    read = set()
    for name in ("settings.py", "serving.py"):
        text = (ROOT / "shop" / name).read_text()
        read |= set(re.findall(r'env_(?:text|bool|int|secret|url|database)\(\s*"([A-Z_]+)"', text))
        read |= set(re.findall(r'environ\.get\(\s*[\'"]([A-Z_]+)', text))
        read |= {f"{secret}_FILE" for secret in re.findall(r'env_secret\(\s*"([A-Z_]+)"', text)}
    guide = (ROOT / "DEVELOPERS.md").read_text()
    listed = set(re.findall(r"^\| `([A-Z_]+)` \|", guide, re.MULTILINE))
    assert read == listed
