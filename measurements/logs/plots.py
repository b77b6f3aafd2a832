"""A log drawn: light SVG made here for phone and paper, and a figure to look into at the desk."""

import json
from dataclasses import dataclass

import numpy as np
import pandas as pd

from measurements.logs.parsing.checks import GAP_SECONDS, GAP_STEPS
from measurements.logs.parsing.names import CHANNELS, TIME
from measurements.verdict.checks import Limit
from sizing.drawing.thinning import PLOT_BYTES, kept
from sizing.units.figures import to_shown
from sizing.units.figures import unit as unit_of
from sizing.units.quantities import QUANTITIES

DRAWN = [
    "speed_rpm",
    "boost_kpa",
    "exhaust_temperature_c",
    "pedal_pct",
    "load_pct",
    "smoke_opacity_pct",
    "lambda_ratio",
    "oil_pressure_kpa",
]
MOST_LINES = 4
BUCKETS = {"phone": 240, "desk": 600}
DATA_BYTES = PLOT_BYTES - 4000  # room for titles, axes and a handful of pulls
WIDTH, HEIGHT, LEFT, RIGHT, TOP, BOTTOM = 360, 130, 48, 8, 8, 24


def thin(times: np.ndarray, values: np.ndarray, buckets: int) -> tuple[np.ndarray, np.ndarray]:
    """Keep the lowest and the highest of each bucket in their order, so that no peak is lost."""
    where = kept(values, buckets)
    return times[where], values[where]


def unbroken(times: np.ndarray, values: np.ndarray, buckets: int) -> list[tuple[np.ndarray, np.ndarray]]:
    """The thinned line in pieces: over a pause of the logger nothing is drawn."""
    if not len(times):
        return []
    steps = np.diff(times)
    forward = steps[steps > 0]
    least = max(GAP_STEPS * float(np.median(forward)), GAP_SECONDS) if len(forward) else np.inf
    starts = np.concatenate(([0], np.flatnonzero(steps > least) + 1))
    if len(starts) > buckets / 2:  # a log of single samples: there is no line to keep whole
        return [thin(times, values, buckets)]
    pieces = zip(np.split(times, starts[1:]), np.split(values, starts[1:]), strict=True)
    return [thin(t, v, max(1, round(buckets * len(t) / len(times)))) for t, v in pieces]


def _shown(slug: str, values: np.ndarray) -> tuple[np.ndarray, str]:
    if slug in QUANTITIES:
        return to_shown(values, slug), unit_of(slug)
    return values, CHANNELS[slug].unit


@dataclass(frozen=True)
class Strip:
    """One channel over time as SVG: a path, its ends in words, and where pulls lie."""

    label: str
    unit: str
    path: str
    low: str
    high: str
    end: str
    bands: list[tuple[float, float]]
    limit_y: float | None
    limit: str
    width: int = WIDTH
    height: int = HEIGHT
    left: int = LEFT
    bottom: int = HEIGHT - BOTTOM
    right: int = WIDTH - RIGHT
    top: int = TOP


def drawn_channels(table: pd.DataFrame) -> list[str]:
    return [slug for slug in DRAWN if slug in table and table[slug].notna().any()][:MOST_LINES]


def _scale(values: np.ndarray) -> tuple[float, float]:
    low, high = float(min(values.min(), 0.0)), float(values.max())
    return low, high if high > low else low + 1.0


def strips(table: pd.DataFrame, pulls, limits: list[Limit]) -> list[Strip]:
    length = float(table[TIME].max()) or 1.0
    across = lambda t: LEFT + (WIDTH - LEFT - RIGHT) * t / length  # noqa: E731
    found = []
    for slug in drawn_channels(table):
        seen = table[[TIME, slug]].dropna()
        values, unit = _shown(slug, seen[slug].to_numpy())
        low, high = _scale(values)
        limit = next((x for x in limits if x.quantity == slug), None)
        at = float(to_shown(limit.value, slug)) if limit else None
        up = lambda v, a=low, b=high: HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * (v - a) / (b - a)  # noqa: E731
        points = " ".join(
            "M" + " ".join(f"{across(t):.1f},{up(v):.1f}" for t, v in zip(*piece, strict=True))
            for piece in unbroken(seen[TIME].to_numpy(), values, BUCKETS["phone"])
        )
        line = at is not None and low <= at <= high
        found.append(
            Strip(
                CHANNELS[slug].label, unit, points, f"{low:.4g}", f"{high:.4g}", f"{length:.4g} s",
                [(round(across(p.start_s), 1), round(across(p.end_s) - across(p.start_s), 1)) for p in pulls],
                round(up(at), 1) if line else None, f"limit {at:.4g}" if line else "",
            )
        )  # fmt: skip
    return found


def _line(slug: str, table: pd.DataFrame, buckets: int) -> tuple[list, list, str]:
    """Times and values to draw, rounded to what a screen can show, with nothing where the log pauses; and the unit."""
    seen = table[[TIME, slug]].dropna()
    x, y, unit = [], [], ""
    for times, values in unbroken(seen[TIME].to_numpy(), seen[slug].to_numpy(), buckets):
        values, unit = _shown(slug, values)
        x += [*([None] if x else []), *(float(f"{t:.6g}") for t in times)]
        y += [*([None] if y else []), *(float(f"{v:.4g}") for v in values)]
    return x, y, unit


def _lines(table: pd.DataFrame, slugs: list[str]) -> list[tuple[list, list, str]]:
    """As many points as fit into the weight of a plot, whatever the length of the log."""
    buckets = BUCKETS["desk"]
    while True:
        lines = [_line(slug, table, buckets) for slug in slugs]
        weight = len(json.dumps([line[:2] for line in lines]))
        if weight <= DATA_BYTES or buckets <= 20:
            return lines
        buckets = min(buckets - 10, int(buckets * 0.95 * DATA_BYTES / weight))


def figure(table: pd.DataFrame, pulls, title: str) -> dict:
    """The same channels over time with more points, each in its own field below the other, pulls shaded."""
    slugs = drawn_channels(table)
    share = 1.0 / max(1, len(slugs))
    data, layout = (
        [],
        {
            "title": {"text": title},
            "height": 190 * len(slugs) + 90,
            "showlegend": False,
            "margin": {"l": 70, "r": 20, "t": 50, "b": 45},
        },
    )
    for i, (slug, (x, y, unit)) in enumerate(zip(slugs, _lines(table, slugs), strict=True)):
        axis = "" if i == 0 else str(i + 1)
        data.append({
            "type": "scatter", "mode": "lines", "x": x, "y": y,
            "yaxis": f"y{axis}", "name": CHANNELS[slug].label, "line": {"width": 1.5, "color": "#0e7a86"},
        })  # fmt: skip
        layout[f"yaxis{axis}"] = {
            "title": {"text": f"{QUANTITIES[slug].label if slug in QUANTITIES else CHANNELS[slug].label}, {unit}"},
            "domain": [1 - share * (i + 1) + 0.03, 1 - share * i - 0.01],
        }
    layout["xaxis"] = {"title": {"text": "time, s"}, "anchor": f"y{len(slugs) if len(slugs) > 1 else ''}"}
    layout["shapes"] = [
        {
            "type": "rect",
            "xref": "x",
            "yref": "paper",
            "x0": p.start_s,
            "x1": p.end_s,
            "y0": 0,
            "y1": 1,
            "fillcolor": "#0e4f58",
            "opacity": 0.12,
            "line": {"width": 0},
        }
        for p in pulls
    ]
    return {"data": data, "layout": layout}
