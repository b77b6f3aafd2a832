"""The worked examples of DEVELOPERS.md are followed to the letter: their diffs are put on a copy, and the copy must do it."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
EXAMPLES = ("a limit", "a calculator", "a unit and a word of logs", "a guided sheet", "a language", "a page")
COPIED = ("manage.py", "pyproject.toml", "sizing", "shop", "measurements", "templates", "tests")


def diffs() -> dict[str, list[str]]:
    """The diffs under each heading 'Add …' of the guide."""
    guide = (ROOT / "DEVELOPERS.md").read_text()
    parts = re.split(r"^### Add (.+)$", guide, flags=re.MULTILINE)[1:]
    return {
        title: re.findall(r"^```diff\n(.*?)^```$", text, flags=re.MULTILINE | re.DOTALL)
        for title, text in zip(parts[::2], parts[1::2], strict=True)
    }


def test_each_example_has_its_diffs():
    found = diffs()
    assert tuple(found) == EXAMPLES
    assert all(found.values())


@pytest.fixture(scope="module")
def copy(tmp_path_factory):
    folder = tmp_path_factory.mktemp("copy")
    for name in COPIED:
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__", "fonts", "vendor"))
        else:
            shutil.copy(ROOT / name, folder / name)
    for title, parts in diffs().items():
        for diff in parts:
            done = subprocess.run(
                ["git", "apply", "-"], input=diff, text=True, capture_output=True, cwd=folder, check=False
            )
            assert done.returncode == 0, f"Add {title}: {done.stderr}"
    return folder


def test_what_the_examples_add_is_there(copy):
    checks = [
        "tests/guide/examples.py",
        "tests/test_all_pages.py::test_every_address_stands_in_a_table",
        "tests/test_architecture.py",
    ]
    arguments = ["-q", "-p", "no:cacheprovider", "-p", "no:xdist", *checks]
    environment = {
        **{name: value for name, value in os.environ.items() if not name.startswith(("PYTEST_", "DATABASE_URL"))},
        "DATA_DIR": str(copy / "var"),
    }
    (copy / "var").mkdir()
    done = subprocess.run(
        [sys.executable, "-m", "pytest", *arguments],
        cwd=copy,
        env=environment,
        text=True,
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-3000:] + done.stderr[-1000:]
