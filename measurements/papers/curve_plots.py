"""Torque and power over engine speed, before and after, and pulls over each other, with the plan as a band."""

import numpy as np

from measurements.papers.before_after import BeforeAfter, CurveBeside
from measurements.verdict.plan_side import bands_at
from sizing.drawing.plots import Band, Chart, Line
from sizing.plans.models import Plan
from sizing.units.figures import to_shown
from sizing.units.figures import unit as unit_of
from sizing.units.quantities import QUANTITIES

SPEED_LABEL = "engine speed, rpm"


def _shown(slug: str, values) -> list[float]:
    return np.round(to_shown(np.asarray(values, dtype=float), slug), 3).tolist()


def _plan_bands(plan: Plan | None, slug: str, start: float, end: float) -> list[Band]:
    if plan is None or end <= start:
        return []
    found = bands_at(plan, np.linspace(start, end, 12).tolist())
    known = [(speed, *found[speed][slug]) for speed in sorted(found) if slug in found[speed]]
    if not known:
        return []
    speeds, low, high = zip(*known, strict=True)
    return [Band(speeds, _shown(slug, low), _shown(slug, high))]


def _ends(page: BeforeAfter) -> tuple[float, float]:
    """Where the plan is drawn: over the curves, and up to rated speed, since above it the governor takes the fuel away."""
    speeds = [s for c in (page.before, page.after) if c for s in c.speeds_rpm]
    inputs = page.plan.inputs.all() if page.plan else []
    rated = next((row.high for row in inputs if row.name == "rated_speed_rpm"), None)
    return float(min(speeds)), float(min(max(speeds), rated or max(speeds)))


def _line(curve: CurveBeside, kind: str, slug: str) -> Line:
    values, halves = (curve.torque_nm, curve.halves_nm) if slug == "torque_nm" else (curve.power_kw, curve.halves_kw)
    half = [None if h is None else _shown(slug, h) for h in halves]
    return Line(kind, [float(s) for s in curve.speeds_rpm], _shown(slug, values), kind, half)


def curve_chart(page: BeforeAfter, slug: str, title: str = "") -> Chart | None:
    curves = [(c, kind) for c, kind in ((page.before, "before"), (page.after, "after")) if c]
    if not curves:
        return None
    label = QUANTITIES[slug].label
    return Chart(
        f"curve-{slug}",
        title or f"{label} over engine speed",
        SPEED_LABEL,
        f"{label.lower()}, {unit_of(slug)}",
        [_line(curve, kind, slug) for curve, kind in curves],
        _plan_bands(page.plan, slug, *_ends(page)),
        from_zero=True,
    )


def pulls_chart(curves: list[tuple[str, list[list[float]]]], plan: Plan | None) -> Chart | None:
    """Boost over engine speed of pulls over each other, each with its name at its end.

    `curves` hold a name with pairs of engine speed in rpm and boost in kPa.
    """
    curves = [(name, points) for name, points in curves if len(points) > 1]
    if not curves:
        return None
    slug = "boost_kpa"
    every = [speed for _, points in curves for speed, _ in points]
    lines = []
    for name, points in curves:
        speeds, boost = zip(*points, strict=True)
        lines.append(Line(name, speeds, _shown(slug, boost), "after"))
    return Chart(
        "pulls",
        "Boost over engine speed, pulls over each other",
        SPEED_LABEL,
        f"boost, {unit_of(slug)}",
        lines,
        _plan_bands(plan, slug, min(every), max(every)),
        from_zero=True,
    )
