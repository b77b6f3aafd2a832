"""Drawing and reading logs: beside a bare NumPy minimum and maximum, and beside a bare CSV read."""

import numpy as np

from measurements.standards.thinning import PLOT_BYTES, kept, plot_data

from .timing import best_of

ROWS, BUCKETS = 1_000_000, 1000


def bench_thinning():
    whole = np.random.default_rng(7).normal(150.0, 40.0, ROWS)
    gaps = whole.copy()
    gaps[::9] = np.nan
    table = whole.reshape(BUCKETS, -1), gaps.reshape(BUCKETS, -1)
    bare = best_of(lambda: (table[0].min(axis=1), table[0].max(axis=1)), 15)
    bare_gaps = best_of(lambda: (np.nanmin(table[1], axis=1), np.nanmax(table[1], axis=1)), 15)
    yield "a million points thinned / NumPy minimum and maximum", best_of(lambda: kept(whole, BUCKETS), 15) / bare, 3
    yield "the same with every ninth missing / NumPy nanmin and nanmax", best_of(lambda: kept(gaps, BUCKETS), 15) / bare_gaps, 6
    times = np.arange(ROWS) * 0.02
    packed = plot_data(times, {"boost_kpa": whole, "speed_rpm": whole.cumsum(), "exhaust_temperature_c": gaps, "lambda_ratio": whole})
    yield "plot data of a million rows, four channels / 40 kB", len(packed) / PLOT_BYTES, 1
