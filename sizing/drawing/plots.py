"""One chart, drawn twice: light SVG for phone and paper, a plotly figure for the desk. Labels stand at line ends.

Tones stand in the drawing too, for a PDF, where no style sheet reaches into it; on a screen the theme wins.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from sizing.drawing.map_lines import OnMap, speed_lines

WIDTH, HEIGHT = 360, 250
LEFT, RIGHT, TOP, BOTTOM = 46, 84, 10, 40
LINE_HEIGHT = 13
STRIP_HEIGHT = 150  # one channel over time, several below each other

# Seen on a light and on a dark ground; what a line is stands beside it in words.
PLAN, SOFT = "#1b8391", "#857f71"
COLOURS = {"plan": PLAN, "after": PLAN, "before": SOFT, "limit": "#c8452f", "edge": SOFT, "map": SOFT}
DASHES = {"before": "dash", "limit": "dot", "edge": "dot"}
SVG_DASHES = {"dash": "5 3", "dot": "2 3"}


@dataclass(frozen=True)
class Line:
    label: str
    x: Sequence[float]
    y: Sequence[float]
    role: str = "plan"
    halves: Sequence[float | None] = ()  # plus or minus at each point, where it is known

    @property
    def width(self) -> float:
        return 2.4 if self.role in ("plan", "after") else 1.6

    @property
    def dash(self) -> str:
        return DASHES.get(self.role, "solid")


@dataclass(frozen=True)
class Band:
    x: Sequence[float]
    low: Sequence[float]
    high: Sequence[float]


@dataclass(frozen=True)
class Chart:
    slug: str
    title: str  # a sentence that says what the chart answers
    x_label: str
    y_label: str
    lines: Sequence[Line]
    bands: Sequence[Band] = ()
    marks: Sequence[tuple[float, float, str]] = field(default=())  # x, y, label of single points
    spans: Sequence[tuple[float, float]] = ()  # stretches of x that are shaded from top to bottom
    from_zero: bool = False
    height: int = HEIGHT

    @property
    def figure(self) -> dict[str, Any]:
        return plotly_figure(self)

    @property
    def svg(self) -> SafeString:
        return draw_svg(self)

    @property
    def figure_id(self) -> str:
        return f"figure-{self.slug}"


def nice_ticks(low: float, high: float, about: int = 5) -> list[float]:
    """Round numbers that cover the range.

    >>> nice_ticks(0, 97)
    [0.0, 20.0, 40.0, 60.0, 80.0, 100.0]
    """
    if high - low <= 1e-9 * max(abs(low), abs(high)):  # nothing between them that a chart could show
        high = max(high, low + (abs(low) or 1.0))
    raw = (high - low) / about
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(m * power for m in (1, 2, 2.5, 5, 10) if m * power >= raw * 0.999)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    digits = 2 - math.floor(math.log10(step))
    return [round(i * step, digits) for i in range(first, last + 1)]


def tick_text(value: float) -> str:
    return f"{value:,.10g}".replace("-", "−")


def spread_labels(wanted: Sequence[float], gap: float) -> list[float]:
    """Move label positions apart so that none covers another, keeping their order.

    >>> spread_labels([10, 11, 40], 13)
    [4.0, 17.0, 40.0]
    """
    order = sorted(range(len(wanted)), key=lambda i: wanted[i])
    groups: list[list[float]] = []  # centre, count
    for i in order:
        groups.append([wanted[i], 1])
        while len(groups) > 1:
            (upper, n), (lower, m) = groups[-2], groups[-1]
            if lower - (m - 1) * gap / 2 - (upper + (n - 1) * gap / 2) >= gap:
                break
            groups[-2:] = [[(upper * n + lower * m) / (n + m), n + m]]
    placed = [centre + (k - (n - 1) / 2) * gap for centre, n in groups for k in range(int(n))]
    result = [0.0] * len(wanted)
    for position, i in zip(placed, order, strict=True):
        result[i] = round(position, 1)
    return result


@dataclass(frozen=True)
class _Scale:
    x_ticks: list[float]
    y_ticks: list[float]
    height: int

    def x(self, value: float) -> float:
        low, high = self.x_ticks[0], self.x_ticks[-1]
        return round(LEFT + (value - low) / (high - low) * (WIDTH - LEFT - RIGHT), 1)

    def y(self, value: float) -> float:
        low, high = self.y_ticks[0], self.y_ticks[-1]
        return round(self.height - BOTTOM - (value - low) / (high - low) * (self.height - TOP - BOTTOM), 1)

    def path(self, xs: Sequence[float], ys: Sequence[float]) -> str:
        return "M" + "L".join(f"{self.x(a)} {self.y(b)}" for a, b in zip(xs, ys, strict=True))


def _scale(chart: Chart) -> _Scale:
    xs = [x for line in chart.lines for x in line.x] + [m[0] for m in chart.marks]
    ys = [y for line in chart.lines for y in line.y] + [m[1] for m in chart.marks]
    ys += [y for band in chart.bands for y in (*band.low, *band.high)]
    ys += [end for line in chart.lines for _, *ends in _bars(line) for end in ends]
    low = min(0.0, *ys) if chart.from_zero else min(ys)
    about = 5 if chart.height >= HEIGHT else 2
    return _Scale(nice_ticks(min(xs), max(xs), 4), nice_ticks(low, max(ys), about), chart.height)


def _bars(line: Line) -> list[tuple[float, float, float]]:
    """Where each point may lie: x, lowest and highest."""
    halves = line.halves or [None] * len(line.x)
    return [(x, y - half, y + half) for x, y, half in zip(line.x, line.y, halves, strict=True) if half is not None]


def draw_svg(chart: Chart) -> SafeString:
    if not any(len(line.x) for line in chart.lines):
        return SafeString("")
    scale = _scale(chart)
    top, bottom = TOP, chart.height - BOTTOM
    spans = format_html_join(
        "",
        '<path class="span" fill="{}" fill-opacity="0.14" d="M{} {}H{}V{}H{}Z"/>',
        ((PLAN, scale.x(a), top, scale.x(b), bottom, scale.x(a)) for a, b in chart.spans),
    )
    bands = format_html_join(
        "",
        '<path class="band" fill="{}" fill-opacity="0.16" d="{}Z"/>',
        ((PLAN, scale.path([*b.x, *reversed(b.x)], [*b.low, *reversed(b.high)])) for b in chart.bands),
    )
    bars = format_html_join(
        "",
        '<path class="bar {}" stroke="{}" d="M{} {}V{}"/>',
        (
            (line.role, COLOURS[line.role], scale.x(x), scale.y(low), scale.y(high))
            for line in chart.lines
            for x, low, high in _bars(line)
        ),
    )
    lines = format_html_join(
        "",
        '<path class="line {}" fill="none" stroke="{}" stroke-width="{}" stroke-dasharray="{}" d="{}"/>',
        (
            (n.role, COLOURS[n.role], n.width, SVG_DASHES.get(n.dash, "none"), scale.path(n.x, n.y))
            for n in chart.lines
            if len(n.x)
        ),
    )
    marks = format_html_join(
        "",
        '<circle class="mark" fill="{}" cx="{}" cy="{}" r="3"/>',
        ((PLAN, scale.x(x), scale.y(y)) for x, y, _ in chart.marks),
    )
    return format_html(
        '<svg class="curve" viewBox="0 0 {} {}" font-size="11" role="img" aria-label="{}">{}{}{}{}{}{}{}</svg>',
        WIDTH,
        chart.height,
        chart.title,
        _axes(chart, scale),
        spans,
        bands,
        bars,
        lines,
        marks,
        _end_labels(chart, scale),
    )


def _axes(chart: Chart, scale: _Scale) -> SafeString:
    bottom, right = chart.height - BOTTOM, WIDTH - RIGHT
    grid = format_html_join(
        "",
        '<path class="grid" stroke="#c9c3b5" stroke-width="0.6" d="M{} {}H{}"/>',
        ((LEFT, scale.y(t), right) for t in scale.y_ticks),
    )
    y_text = format_html_join(
        "",
        '<text class="tick" x="{}" y="{}" text-anchor="end">{}</text>',
        ((LEFT - 5, scale.y(t) + 4, tick_text(t)) for t in scale.y_ticks),
    )
    x_text = format_html_join(
        "",
        '<text class="tick" x="{}" y="{}" text-anchor="middle">{}</text>',
        ((scale.x(t), bottom + 14, tick_text(t)) for t in scale.x_ticks),
    )
    return format_html(
        '{}{}{}<text class="axis" x="{}" y="{}" text-anchor="middle">{}</text>'
        '<text class="axis" x="11" y="{}" text-anchor="middle" transform="rotate(-90 11 {})">{}</text>',
        grid,
        y_text,
        x_text,
        (LEFT + right) / 2,
        chart.height - 8,
        chart.x_label,
        (TOP + bottom) / 2,
        (TOP + bottom) / 2,
        chart.y_label,
    )


def _ends(chart: Chart) -> list[tuple[float, float, str]]:
    ends = [(line.x[-1], line.y[-1], line.label) for line in chart.lines if line.label and len(line.x)]
    return ends + [mark for mark in chart.marks if mark[2]]


def _end_labels(chart: Chart, scale: _Scale) -> SafeString:
    ends = _ends(chart)
    places = spread_labels([scale.y(y) for _, y, _ in ends], LINE_HEIGHT)
    return format_html_join(
        "",
        '<text class="end" x="{}" y="{}">{}</text>',
        ((scale.x(x) + 4, place + 4, label) for (x, _, label), place in zip(ends, places, strict=True)),
    )


def plotly_figure(chart: Chart) -> dict[str, Any]:
    """Plain dicts and lists, ready for json_script; the page's script adds the colours of the theme."""
    data = [
        {
            "type": "scatter",
            "mode": "lines",
            "x": [*b.x, *reversed(b.x)],
            "y": [*b.low, *reversed(b.high)],
            "fill": "toself",
            "fillcolor": "rgba(27,131,145,0.18)",
            "line": {"width": 0},
            "hoverinfo": "skip",
            "showlegend": False,
        }
        for b in chart.bands
    ]
    data += [_trace(line) for line in chart.lines]
    if chart.marks:
        data.append(
            {
                "type": "scatter",
                "mode": "markers",
                "x": [m[0] for m in chart.marks],
                "y": [m[1] for m in chart.marks],
                "marker": {"color": COLOURS["plan"], "size": 8},
                "text": [m[2] for m in chart.marks],
                "showlegend": False,
            }
        )
    return {"data": data, "layout": _layout(chart)}


def _trace(line: Line) -> dict[str, Any]:
    trace = {
        "type": "scatter",
        "mode": "lines+markers" if line.halves else "lines",
        "x": list(line.x),
        "y": list(line.y),
        "name": line.label,
        "showlegend": False,
        "line": {"color": COLOURS[line.role], "dash": line.dash, "width": round(line.width * 1.25, 1)},
    }
    if any(half is not None for half in line.halves):
        trace["error_y"] = {"type": "data", "array": [half or 0.0 for half in line.halves], "thickness": 1}
    return trace


def _layout(chart: Chart) -> dict[str, Any]:
    scale = _scale(chart)
    ends = _ends(chart)
    pixel = (scale.y_ticks[-1] - scale.y_ticks[0]) / 290  # height of the drawing area on the page
    places = spread_labels([y / pixel for _, y, _ in ends], 17)
    return {
        "margin": {"l": 64, "r": 130, "t": 16, "b": 60},
        "height": 368,
        "xaxis": {"title": {"text": chart.x_label, "standoff": 10}, "range": [scale.x_ticks[0], scale.x_ticks[-1]]},
        # A little room above, so that a label at the top edge is not cut.
        "yaxis": {"title": {"text": chart.y_label}, "range": [scale.y_ticks[0], scale.y_ticks[-1] + 12 * pixel]},
        "annotations": [
            {
                "x": x,
                "y": place * pixel,
                "text": label,
                "showarrow": False,
                "xanchor": "left",
                "xshift": 6,
                "yanchor": "middle",
                "align": "left",
            }
            for (x, _, label), place in zip(ends, places, strict=True)
        ],
    }


def map_chart(points: Iterable[OnMap], title: str, operating: Line | None = None) -> Chart:
    """Speed lines of a compressor map; `points` are rows with speed, flow and pressure ratio."""
    by_speed = speed_lines(points)
    lines = [
        Line(f"{speed:,.0f}", [p.flow_kg_s for p in line], [p.pressure_ratio for p in line], "map")
        for speed, line in by_speed.items()
    ]
    surge = [line[0] for line in by_speed.values()]
    edge = Line("", [p.flow_kg_s for p in surge], [p.pressure_ratio for p in surge], "limit")
    return Chart(
        "map",
        title,
        "Flow at the reference state, kg/s",
        "Pressure ratio",
        [*lines, edge, *([operating] if operating else [])],
    )
