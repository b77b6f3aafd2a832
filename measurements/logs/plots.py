"""A log drawn: light SVG made here for phone and paper, and a figure to look into at the desk."""

import json
from collections.abc import Iterable
from typing import Any

import numpy as np
import pandas as pd

from measurements.logs.models import LogPull
from measurements.logs.parsing.checks import GAP_SECONDS, GAP_STEPS
from measurements.logs.parsing.names import CHANNELS, TIME
from measurements.verdict.checks import Limit
from sizing.drawing.plots import STRIP_HEIGHT, Chart, Line
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
Drawn = tuple[list[float | None], list[float | None], str]  # times, values, unit
MOST_LINES = 4
BUCKETS = {"phone": 240, "desk": 600}
DATA_BYTES = PLOT_BYTES - 4000  # room for titles, axes and a handful of pulls


def thinned(times: np.ndarray, values: np.ndarray, buckets: int) -> tuple[np.ndarray, np.ndarray]:
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
        return [thinned(times, values, buckets)]
    pieces = zip(np.split(times, starts[1:]), np.split(values, starts[1:]), strict=True)
    return [thinned(t, v, max(1, round(buckets * len(t) / len(times)))) for t, v in pieces]


def _shown(slug: str, values: np.ndarray) -> tuple[np.ndarray, str]:
    if slug in QUANTITIES:
        return to_shown(values, slug), unit_of(slug)
    return values, CHANNELS[slug].unit


def drawn_channels(table: pd.DataFrame) -> list[str]:
    return [slug for slug in DRAWN if slug in table and table[slug].notna().any()][:MOST_LINES]


def strips(table: pd.DataFrame, pulls: Iterable[LogPull], limits: list[Limit]) -> list[Chart]:
    """One channel over time each, the pulls shaded, a limit where the channel comes near it."""
    spans = [(p.start_s, p.end_s) for p in pulls]
    return [_strip(slug, table[[TIME, slug]].dropna(), spans, limits) for slug in drawn_channels(table)]


def _strip(slug: str, seen: pd.DataFrame, spans: list[tuple[float, float]], limits: list[Limit]) -> Chart:
    times, (values, unit) = seen[TIME].to_numpy(), _shown(slug, seen[slug].to_numpy())
    lines = [Line("", t.tolist(), v.tolist(), "after") for t, v in unbroken(times, values, BUCKETS["phone"])]
    limit = next((float(to_shown(x.value, slug)) for x in limits if x.quantity == slug), None)
    low, high = float(values.min()), float(values.max())
    if limit is not None and min(low, 0.0) <= limit <= high:
        lines.append(Line(f"limit {limit:.4g}", [float(times[0]), float(times[-1])], [limit, limit], "limit"))
    title = f"{CHANNELS[slug].label}, {low:.4g} to {high:.4g} {unit}"
    return Chart(slug, title, "time, s", unit, lines, spans=spans, from_zero=True, height=STRIP_HEIGHT)


def _line(slug: str, table: pd.DataFrame, buckets: int) -> Drawn:
    """Times and values to draw, rounded to what a screen can show, with nothing where the log pauses; and the unit."""
    seen = table[[TIME, slug]].dropna()
    x: list[float | None] = []
    y: list[float | None] = []
    unit = ""
    for times, values in unbroken(seen[TIME].to_numpy(), seen[slug].to_numpy(), buckets):
        values, unit = _shown(slug, values)
        x += [*([None] if x else []), *(float(f"{t:.6g}") for t in times)]
        y += [*([None] if y else []), *(float(f"{v:.4g}") for v in values)]
    return x, y, unit


def _lines(table: pd.DataFrame, slugs: list[str]) -> list[Drawn]:
    """As many points as fit into the weight of a plot, whatever the length of the log."""
    buckets = BUCKETS["desk"]
    while True:
        lines = [_line(slug, table, buckets) for slug in slugs]
        weight = len(json.dumps([line[:2] for line in lines]))
        if weight <= DATA_BYTES or buckets <= 20:
            return lines
        buckets = min(buckets - 10, int(buckets * 0.95 * DATA_BYTES / weight))


def log_figure(table: pd.DataFrame, pulls: Iterable[LogPull], title: str) -> dict[str, Any]:
    """The same channels over time with more points, each in its own field below the other, pulls shaded."""
    slugs = drawn_channels(table)
    share = 1.0 / max(1, len(slugs))
    data: list[dict[str, Any]] = []
    layout: dict[str, Any] = {
        "title": {"text": title},
        "height": 190 * len(slugs) + 90,
        "showlegend": False,
        "margin": {"l": 70, "r": 20, "t": 50, "b": 45},
    }
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
