"""Charts hold what a logger may send: figures of any size, all alike or almost."""

import pytest

from sizing.drawing.plots import Chart, Line, nice_ticks


@pytest.mark.parametrize(
    ("low", "high"),
    [(0.0, 1e-12), (1e12, 1e12 + 1e-4), (-1e-300, 0.0), (3.0, 3.0), (0.0, 0.0), (-5e8, 1e9), (0.1, 0.1 + 1e-16)],
)
def test_ticks_cover_any_range_and_differ(low, high):
    ticks = nice_ticks(low, high)
    assert ticks[0] <= low
    assert ticks[-1] >= high
    assert len(set(ticks)) == len(ticks) > 1


@pytest.mark.parametrize("values", [[0.0, 1e-12], [7.0, 7.0], [1e12, 1e12 + 1e-4]])
def test_a_chart_of_almost_nothing_is_drawn(values):
    chart = Chart("strip", "title", "time, s", "kPa", [Line("", [0.0, 1.0], values)], from_zero=True)
    assert "<svg" in chart.svg
    assert chart.figure["data"]
