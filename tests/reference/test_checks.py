"""Each row of `checks.csv`, a figure from outside the project, against our own code."""

import csv
from pathlib import Path

import numpy as np
import pytest

from .computed import COMPUTED, NO_TEST

with (Path(__file__).parent / "checks.csv").open(encoding="utf-8") as lines:
    ROWS = list(csv.DictReader(lines))
BY_ID = {row["id"]: row for row in ROWS}


def _numbers(text: str) -> list[float]:
    return [float(part) for part in text.split("/")]


def _slack(tolerance: str, expected: float) -> float:
    """How far off a figure may be: in its own unit, in per cent of it, or nothing but the last digits of a float."""
    if tolerance == "exact":
        return 1e-6 * abs(expected)
    return float(tolerance[:-1]) / 100 * abs(expected) if tolerance.endswith("%") else float(tolerance)


def _each(found: object, wanted: list) -> list[np.ndarray]:
    """One array for each figure of the row; a row with one figure holds for all that was computed."""
    parts = [found] if len(wanted) == 1 else list(found)
    return [np.atleast_1d(np.asarray(part, dtype=float)) for part in parts]


@pytest.mark.parametrize("name", COMPUTED)
def test_a_figure_from_outside_is_what_our_code_gives(name):
    row, found = BY_ID[name], COMPUTED[name]()
    assert row["expected"]
    tolerance, said = row["tolerance"], f"{row['what']}: {row['source']}"
    if tolerance == "within":
        ranges = [tuple(map(float, part.split(" to "))) for part in row["expected"].split("/")]
        for (low, high), values in zip(ranges, _each(found, ranges), strict=True):
            assert values.size, said
            assert np.all((values >= low - 1e-9) & (values <= high + 1e-9)), (values, said)
        return
    wanted = _numbers(row["expected"])
    for expected, values in zip(wanted, _each(found, wanted), strict=True):
        assert values.size, said
        if tolerance == "at least":
            assert np.all(values >= expected), said
        elif tolerance == "at most":
            assert np.all(values <= expected), said
        elif tolerance.startswith("not within "):  # a trap: the figure that a wrong way would give
            assert np.all(np.abs(values - expected) > float(tolerance.removeprefix("not within "))), said
        else:
            assert values == pytest.approx(np.full(values.shape, expected), abs=_slack(tolerance, expected)), said


def test_every_row_is_either_computed_or_says_why_not():
    assert len(BY_ID) == len(ROWS) > 140
    assert not COMPUTED.keys() & NO_TEST.keys()
    assert COMPUTED.keys() | NO_TEST.keys() == BY_ID.keys()
    assert all(len(why) > 20 for why in NO_TEST.values())


def test_every_row_says_where_its_figure_comes_from():
    assert not [row["id"] for row in ROWS if len(row["source"]) < 10 or not row["expected"] or not row["tolerance"]]
