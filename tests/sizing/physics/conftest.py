"""Measured data beside the repository is used where it is present; nothing here needs it to pass."""

import os
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[3]


@pytest.fixture(scope="session")
def shared_data() -> Path:
    folder = Path(os.environ.get("SHARED_DATA") or ROOT.parent / "shared" / "data")
    if not folder.is_dir():
        pytest.skip("the measured data is not beside the repository")
    return folder
