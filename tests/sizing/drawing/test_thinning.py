"""Thinning against plain NumPy: whatever is dropped, the lowest and the highest of every bucket stay."""

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from sizing.drawing.thinning import PLOT_BYTES, kept, plot_data, thin
from sizing.physics.errors import OutOfRange

SAMPLES = st.one_of(st.floats(-1e9, 1e9), st.just(float("nan")))


@given(arrays(np.float64, st.integers(0, 600), elements=SAMPLES), st.integers(1, 60))
def test_every_bucket_keeps_its_extremes(values, buckets):
    where = kept(values, buckets)
    assert np.all(np.diff(where) > 0)
    if values.size <= 2 * buckets:
        assert where.size == values.size
        return
    length = -(-values.size // buckets)
    for start in range(0, values.size, length):
        bucket = values[start : start + length]
        left = values[where[(where >= start) & (where < start + length)]]
        if np.isnan(bucket).all():
            assert np.isnan(left).all()
            assert left.size >= 1  # the line breaks here
        else:  # NumPy's own minimum and maximum are the oracle
            assert np.nanmin(left) == np.nanmin(bucket)
            assert np.nanmax(left) == np.nanmax(bucket)
    assert where.size <= 2 * buckets + 2


def test_first_and_last_stay():
    times, values = thin(np.arange(1001.0), np.arange(1001.0) ** 2, 7)
    assert (times[0], times[-1]) == (0.0, 1000.0)
    assert values[-1] == 1_000_000.0


def test_one_sample_spike_in_a_million_is_drawn():
    values = np.sin(np.arange(1_000_000) / 5e3)
    values[654_321] = 17.0
    times, drawn = thin(np.arange(1_000_000) * 0.01, values, 300)
    assert drawn.max() == 17.0
    assert times[drawn.argmax()] == pytest.approx(6543.21)


def test_infinite_samples_are_kept_beside_gaps():
    values = np.array([np.nan, np.inf, 1.0, np.nan, 2.0, -np.inf, 3.0, 4.0])
    assert set(kept(values, 2)) >= {1, 2, 5}


def test_a_million_rows_of_four_channels_weigh_under_40_kb():
    random = np.random.default_rng(4)
    times = np.arange(1_000_000) * 0.02
    channels = {f"channel_{i}": random.normal(200, 40, times.size).cumsum() for i in range(4)}
    channels["channel_0"][1000:400_000] = np.nan
    text = plot_data(times, channels)
    assert len(text) < PLOT_BYTES == 40_000
    for name, drawn in json.loads(text).items():
        values = [v for v in drawn["v"] if v is not None]
        span = np.nanmax(channels[name]) - np.nanmin(channels[name])
        assert max(values) == pytest.approx(np.nanmax(channels[name]), abs=span / 5000)
        assert min(values) == pytest.approx(np.nanmin(channels[name]), abs=span / 5000)
        assert len(drawn["t"]) == len(drawn["v"]) > 300


@pytest.mark.parametrize("values", [[], [3.0], [float("nan")] * 5000, [0.0] * 5000, [1e-9, 2e-9] * 3000, [1e12] * 9])
def test_odd_channels_make_valid_json(values):
    drawn = json.loads(plot_data(np.arange(len(values)), {"x": values}))["x"]
    assert len(drawn["t"]) == len(drawn["v"])


def test_bad_input_is_refused():
    with pytest.raises(OutOfRange, match="buckets is 0; allowed is 1 to 100000"):
        kept([1.0], 0)
    with pytest.raises(ValueError, match="times hold 2 samples, values 3"):
        thin([1, 2], [1, 2, 3], 5)
    with pytest.raises(ValueError, match="2 dimensions"):
        kept([[1.0]], 5)
    with pytest.raises(ValueError, match="choose fewer"):
        plot_data(np.arange(100), {f"c{i}": np.random.default_rng(i).normal(size=100) for i in range(200)}, 1000)
