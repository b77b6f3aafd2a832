"""One chart, drawn twice: light SVG for phone and paper, a plotly figure for the desk. Labels stand at line ends."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from sizing.drawing.map_lines import speed_lines

WIDTH, HEIGHT = 360, 250
LEFT, RIGHT, TOP, BOTTOM = 46, 84, 10, 40
LINE_HEIGHT = 13

# Seen on a light and on a dark ground; what a line is stands beside it in words.
COLOURS = {"plan": "#1b8391", "before": "#857f71", "limit": "#c8452f", "edge": "#857f71", "map": "#857f71"}
DASHES = {"plan": "solid", "before": "dash", "limit": "dot", "edge": "dot", "map": "solid"}


@dataclass(frozen=True)
class Line:
    label: str
    x: Sequence[float]
    y: Sequence[float]
    role: str = "plan"


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

    @property
    def figure(self) -> dict:
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
    if high <= low:
        high = low + (abs(low) or 1.0)
    raw = (high - low) / about
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(m * power for m in (1, 2, 2.5, 5, 10) if m * power >= raw * 0.999)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [round(i * step, 10) for i in range(first, last + 1)]


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

    def x(self, value: float) -> float:
        low, high = self.x_ticks[0], self.x_ticks[-1]
        return round(LEFT + (value - low) / (high - low) * (WIDTH - LEFT - RIGHT), 1)

    def y(self, value: float) -> float:
        low, high = self.y_ticks[0], self.y_ticks[-1]
        return round(HEIGHT - BOTTOM - (value - low) / (high - low) * (HEIGHT - TOP - BOTTOM), 1)

    def path(self, xs: Sequence[float], ys: Sequence[float]) -> str:
        return "M" + "L".join(f"{self.x(a)} {self.y(b)}" for a, b in zip(xs, ys, strict=True))


def _scale(chart: Chart) -> _Scale:
    xs = [x for line in chart.lines for x in line.x] + [m[0] for m in chart.marks]
    ys = [y for line in chart.lines for y in line.y] + [m[1] for m in chart.marks]
    ys += [y for band in chart.bands for y in (*band.low, *band.high)]
    return _Scale(nice_ticks(min(xs), max(xs), 4), nice_ticks(min(ys), max(ys)))


def draw_svg(chart: Chart) -> SafeString:
    if not any(len(line.x) for line in chart.lines):
        return SafeString("")
    scale = _scale(chart)
    bands = format_html_join(
        "",
        '<path class="band" d="{}Z"/>',
        ((scale.path([*b.x, *reversed(b.x)], [*b.low, *reversed(b.high)]),) for b in chart.bands),
    )
    lines = format_html_join(
        "", '<path class="line {}" d="{}"/>', ((n.role, scale.path(n.x, n.y)) for n in chart.lines)
    )
    marks = format_html_join(
        "", '<circle class="mark" cx="{}" cy="{}" r="3"/>', ((scale.x(x), scale.y(y)) for x, y, _ in chart.marks)
    )
    return format_html(
        '<svg class="curve" viewBox="0 0 {} {}" role="img" aria-label="{}">{}{}{}{}{}</svg>',
        WIDTH,
        HEIGHT,
        chart.title,
        _axes(chart, scale),
        bands,
        lines,
        marks,
        _end_labels(chart, scale),
    )


def _axes(chart: Chart, scale: _Scale) -> SafeString:
    bottom, right = HEIGHT - BOTTOM, WIDTH - RIGHT
    grid = format_html_join(
        "", '<path class="grid" d="M{} {}H{}"/>', ((LEFT, scale.y(t), right) for t in scale.y_ticks)
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
        HEIGHT - 8,
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


def plotly_figure(chart: Chart) -> dict:
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
    data += [
        {
            "type": "scatter",
            "mode": "lines",
            "x": list(n.x),
            "y": list(n.y),
            "name": n.label,
            "showlegend": False,
            "line": {"color": COLOURS[n.role], "dash": DASHES[n.role], "width": 3 if n.role == "plan" else 2},
        }
        for n in chart.lines
    ]
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


def _layout(chart: Chart) -> dict:
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


def map_chart(points, title: str, operating: Line | None = None) -> Chart:
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
