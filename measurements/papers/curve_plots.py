"""Torque and power over engine speed, before and after, with the plan as a band: SVG for phone and paper, a figure for the desk."""

from dataclasses import dataclass, replace

import numpy as np

from measurements.papers.before_after import BeforeAfter, Curve
from measurements.verdict.plan_side import bands_at
from sizing.plans.models import Plan
from sizing.units.figures import to_shown
from sizing.units.figures import unit as unit_of
from sizing.units.quantities import QUANTITIES

WIDTH, HEIGHT, LEFT, RIGHT, TOP, BOTTOM = 460, 260, 56, 64, 12, 40
COLOURS = {"before": "#6f6c62", "after": "#0e7a86"}


def shown(slug: str, values) -> np.ndarray:
    return np.asarray(to_shown(np.asarray(values, dtype=float), slug))


@dataclass(frozen=True)
class Line:
    kind: str  # before, after; of pulls: after
    points: str
    label: str
    label_x: float
    label_y: float
    bars: tuple[tuple[float, float, float], ...] = ()  # x, upper and lower end of what each point can be trusted with


@dataclass(frozen=True)
class Chart:
    title: str
    unit: str
    lines: list[Line]
    band: str
    ticks_x: list[tuple[float, str]]
    ticks_y: list[tuple[float, str]]
    width: int = WIDTH
    height: int = HEIGHT
    left: int = LEFT
    right: int = WIDTH - RIGHT
    top: int = TOP
    bottom: int = HEIGHT - BOTTOM


def nice_ticks(low: float, high: float, about: int = 5) -> list[float]:
    """Round steps of 1, 2 or 5 times a power of ten that cover a range."""
    step = 10 ** np.floor(np.log10(max(high - low, 1e-9) / about))
    for factor in (1, 2, 5, 10):
        if (high - low) / (step * factor) <= about:
            step *= factor
            break
    return [float(x) for x in np.arange(np.ceil(low / step) * step, high + step / 2, step)]


def _plan_band(page: BeforeAfter, slug: str, speeds: list[float]) -> tuple[list[float], list[float], list[float]]:
    found = bands_at(page.plan, speeds) if page.plan and speeds else {}
    known = [(s, *found[s][slug]) for s in sorted(found) if slug in found[s]]
    return tuple(list(column) for column in zip(*known, strict=True)) if known else ([], [], [])  # type: ignore[return-value]


def _speeds(page: BeforeAfter) -> list[float]:
    """Where the plan is drawn: over the curves, and up to rated speed, since above it the governor takes the fuel away."""
    both = [s for c in (page.before, page.after) if c for s in c.speeds_rpm]
    rated = (
        next((row.high for row in page.plan.inputs.all() if row.name == "rated_speed_rpm"), None) if page.plan else None
    )
    end = min(max(both), rated or max(both)) if both else 0.0
    return [float(s) for s in np.linspace(min(both), end, 12)] if both and end > min(both) else []


def _values(curve: Curve, slug: str) -> list[float]:
    return curve.torque_nm if slug == "torque_nm" else curve.power_kw


def _halves(curve: Curve, slug: str) -> list[float | None]:
    return curve.halves_nm if slug == "torque_nm" else curve.halves_kw


def chart(page: BeforeAfter, slug: str) -> Chart | None:
    curves = [(c, kind) for c, kind in ((page.before, "before"), (page.after, "after")) if c]
    if not curves:
        return None
    speeds, low, high = _plan_band(page, slug, _speeds(page))
    tops = [
        shown(slug, [v + (h or 0.0) for v, h in zip(_values(c, slug), _halves(c, slug), strict=True)])
        for c, _ in curves
    ]
    everything = np.concatenate([*tops, shown(slug, high)])
    ticks_y = nice_ticks(0.0, float(everything.max()))
    top = max(ticks_y[-1], float(everything.max()))
    all_speeds = np.concatenate([c.speeds_rpm for c, _ in curves] + [speeds])
    start, end = float(all_speeds.min()), float(all_speeds.max())
    across = lambda s: round(LEFT + (WIDTH - LEFT - RIGHT) * (s - start) / max(end - start, 1.0), 1)  # noqa: E731
    up = lambda v: round(HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * v / top, 1)  # noqa: E731
    lines = []
    for curve, kind in curves:
        values = shown(slug, _values(curve, slug))
        points = [(across(s), up(v)) for s, v in zip(curve.speeds_rpm, values, strict=True)]
        bars = [
            (x, up(float(v + shown(slug, half))), up(float(max(v - shown(slug, half), 0.0))))
            for (x, _), v, half in zip(points, values, _halves(curve, slug), strict=True) if half is not None
        ]  # fmt: skip
        lines.append(
            Line(kind, " ".join(f"{x},{y}" for x, y in points), kind, points[-1][0] + 4, points[-1][1] + 4, tuple(bars))
        )
    _part_labels(lines)
    band = [(across(s), up(v)) for s, v in zip(speeds, shown(slug, high), strict=True)]
    band += [(across(s), up(v)) for s, v in reversed(list(zip(speeds, shown(slug, low), strict=True)))]
    title = f"{QUANTITIES[slug].label} over engine speed"
    ticks_x = [(across(s), f"{s:,.0f}") for s in nice_ticks(start, end) if start <= s <= end]
    return Chart(
        title,
        unit_of(slug),
        lines,
        " ".join(f"{x},{y}" for x, y in band),
        ticks_x,
        [(up(v), f"{v:g}") for v in ticks_y],
    )


def _part_labels(lines: list[Line]) -> None:
    if (
        len(lines) == 2
        and abs(lines[0].label_y - lines[1].label_y) < 16
        and abs(lines[0].label_x - lines[1].label_x) < 50
    ):
        upper = 0 if lines[0].label_y <= lines[1].label_y else 1
        for i, line in enumerate(lines):
            lines[i] = replace(line, label_y=line.label_y + (-8 if i == upper else 8))


def pulls_chart(curves: list[tuple[str, list[list[float]]]], plan: Plan | None) -> Chart | None:
    """Boost over engine speed of pulls over each other, each with its name at its end, the plan as a band.

    `curves` hold a name with pairs of engine speed in rpm and boost in kPa.
    """
    curves = [(name, points) for name, points in curves if len(points) > 1]
    if not curves:
        return None
    slug = "boost_kpa"
    every = [s for _, points in curves for s, _ in points]
    start, end = min(every), max(every)
    found = bands_at(plan, [float(s) for s in np.linspace(start, end, 12)]) if plan else {}
    known = [(s, *found[s][slug]) for s in sorted(found) if slug in found[s]]
    tops = [float(shown(slug, v)) for _, points in curves for _, v in points] + [
        float(shown(slug, high)) for _, _, high in known
    ]
    ticks_y = nice_ticks(0.0, max(*tops, 1e-6))
    top = max(ticks_y[-1], *tops)
    across = lambda s: round(LEFT + (WIDTH - LEFT - RIGHT) * (s - start) / max(end - start, 1.0), 1)  # noqa: E731
    up = lambda v: round(HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * max(v, 0.0) / top, 1)  # noqa: E731
    lines, taken = [], []
    for name, points in curves:
        drawn = [(across(s), up(float(shown(slug, v)))) for s, v in points]
        x, y = drawn[-1][0] + 4, drawn[-1][1] + 4
        while any(abs(y - other) < 13 for other in taken):
            y += 13
        taken.append(y)
        lines.append(Line("after", " ".join(f"{a},{b}" for a, b in drawn), name, x, y))
    band = [(across(s), up(float(shown(slug, high)))) for s, _, high in known]
    band += [(across(s), up(float(shown(slug, low)))) for s, low, _ in reversed(known)]
    ticks_x = [(across(s), f"{s:,.0f}") for s in nice_ticks(start, end) if start <= s <= end]
    return Chart(
        "Boost over engine speed, pulls over each other",
        unit_of(slug),
        lines,
        " ".join(f"{x},{y}" for x, y in band),
        ticks_x,
        [(up(v), f"{v:g}") for v in ticks_y],
    )


def figure(page: BeforeAfter, slug: str, title: str) -> dict | None:
    curves = [(c, kind) for c, kind in ((page.before, "before"), (page.after, "after")) if c]
    if not curves:
        return None
    speeds, low, high = _plan_band(page, slug, _speeds(page))
    data: list[dict] = []
    if speeds:
        data.append({
            "type": "scatter", "x": [*speeds, *speeds[::-1]], "y": [*shown(slug, high).tolist(), *shown(slug, low)[::-1].tolist()],
            "fill": "toself", "mode": "none", "fillcolor": "rgba(14,122,134,0.15)", "hoverinfo": "skip", "name": "plan",
        })  # fmt: skip
    for curve, kind in curves:
        values = shown(slug, _values(curve, slug))
        trace = {
            "type": "scatter", "mode": "lines+markers", "x": curve.speeds_rpm, "y": np.round(values, 3).tolist(), "name": kind,
            "line": {"color": COLOURS[kind], "width": 2.5 if kind == "after" else 1.5},
        }  # fmt: skip
        halves = _halves(curve, slug)
        if any(h is not None for h in halves):
            trace["error_y"] = {
                "type": "data",
                "array": [round(float(shown(slug, h or 0.0)), 3) for h in halves],
                "thickness": 1,
            }
        data.append(trace)
    notes = [
        {"x": c.speeds_rpm[-1], "y": float(shown(slug, _values(c, slug))[-1]), "text": kind, "xanchor": "left", "showarrow": False, "xshift": 8}
        for c, kind in curves
    ]  # fmt: skip
    if speeds:
        notes.append(
            {
                "x": speeds[0],
                "y": float(shown(slug, high)[0]),
                "text": "plan",
                "xanchor": "left",
                "yanchor": "bottom",
                "showarrow": False,
            }
        )
    layout = {
        "title": {"text": title}, "height": 380, "showlegend": False, "margin": {"l": 70, "r": 70, "t": 50, "b": 50}, "annotations": notes,
        "xaxis": {"title": {"text": "engine speed, rpm"}}, "yaxis": {"title": {"text": f"{QUANTITIES[slug].label.lower()}, {unit_of(slug)}"}, "rangemode": "tozero"},
    }  # fmt: skip
    return {"data": data, "layout": layout}
