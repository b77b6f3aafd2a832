"""A log drawn: nothing is lost that a screen could show, nothing is drawn where nothing was logged, and it stays light."""

import json

import numpy as np
import pandas as pd

from measurements.logs.plots import log_figure, strips, unbroken

DRAW = np.random.default_rng(8)


def table(rows: int) -> pd.DataFrame:
    return pd.DataFrame(
        {"time_s": np.arange(rows) * 0.01, "speed_rpm": DRAW.uniform(800, 4000, rows), "boost_kpa": DRAW.uniform(0, 90, rows),
         "exhaust_temperature_c": DRAW.uniform(200, 700, rows), "pedal_pct": DRAW.uniform(0, 100, rows)}
    )  # fmt: skip


def test_a_million_rows_weigh_less_than_forty_kilobytes_and_keep_their_extremes(db):
    whole = table(1_000_000)
    drawn = log_figure(whole, [], "title")
    assert len(json.dumps(drawn)) < 40_000
    for line, slug in zip(drawn["data"], ["speed_rpm", "boost_kpa", "exhaust_temperature_c", "pedal_pct"], strict=True):
        np.testing.assert_allclose(
            [min(line["y"]), max(line["y"])], [whole[slug].min(), whole[slug].max()], rtol=1e-3, atol=1e-3
        )


def test_the_strips_of_a_phone_stay_light_too(db):
    assert sum(len(strip.svg) for strip in strips(table(200_000), [], [])) < 40_000


def test_nothing_is_drawn_over_a_pause(db):
    late = table(400)
    late.loc[200:, "time_s"] += 180.0
    first, second = unbroken(late["time_s"].to_numpy(), late["boost_kpa"].to_numpy(), 600)
    assert (first[0].max(), second[0].min()) == (1.99, 182.0)
    [_, line, *_] = log_figure(late, [], "title")["data"]
    assert line["y"].count(None) == 1
    assert all(len(strip.lines) == 2 for strip in strips(late, [], []))


def test_channels_of_a_bus_are_whole_lines_although_every_other_cell_is_empty(db):
    sparse = table(400)
    sparse.loc[::2, "boost_kpa"] = np.nan
    assert None not in log_figure(sparse, [], "title")["data"][1]["y"]
