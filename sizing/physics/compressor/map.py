"""A compressor map: speed lines with their reference state, smooth along and between the lines.

Each point is held in similarity coordinates: flow over speed (x) and isentropic work over speed
squared (y), both scaled to about one. A speed line is then r(angle) seen from the origin, which is
single-valued from the flat surge end to the steep choke end, and hardly moves from line to line.
Along a line and between lines the interpolation is a monotone cubic (Fritsch and Carlson).

Outside the measured part: below the slowest and above the fastest line the similarity laws hold
(x, y and efficiency stay); past the choke end the line falls straight down at constant flow and
constant work; past the surge end pressure ratio and work stay level. Every answer says so.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike
from scipy.interpolate import PchipInterpolator

from sizing.physics import spans
from sizing.physics.air import ZERO_CELSIUS_K
from sizing.physics.compressor.work import AIR_EXPONENT
from sizing.physics.errors import Floats, OutOfRange, require
from sizing.physics.ranges import Numbers, Span, takes

POWER = (AIR_EXPONENT - 1.0) / AIR_EXPONENT
SAME_LINE_RATIO = 0.015  # a measured line never holds its speed to the last turn
LOWEST_SPEED_SHARE = 0.15  # of the slowest line; similarity is not trusted below
CHOKE_TOLERANCE = 0.005  # flow scatter of a good measured map at choke
HIGHEST_SPEED_SHARE = 1.05  # of the fastest line
_ANGLES = np.radians(np.concatenate([np.linspace(0.5, 15, 30), np.linspace(15.5, 80, 259), np.linspace(81, 89.5, 18)]))
_SPEED_ROWS = 96
_GUESS_WIDTH = 0.002  # of the logarithm of speed, the error of the quick tables


@dataclass(frozen=True)
class MapState:
    """Where points lie on a map; all arrays of one shape.

    `surge_margin_ratio` is how far the flow is above the surge flow at the same speed, over the
    flow; below 0 the compressor surges. `choke_margin_ratio` is how far it is below the largest
    flow at that speed, over the largest; near 0 the wheel is choked. `outside` is true where the
    answer rests on extrapolation.
    """

    speed_rpm: Floats
    flow_kg_s: Floats
    pressure_ratio: Floats
    efficiency_ratio: Floats
    surge_margin_ratio: Floats
    choke_margin_ratio: Floats
    outside: np.typing.NDArray[np.bool_]


@dataclass(frozen=True)
class CompressorMap:
    """Speed lines ready to be asked; made by `build_map`. Flow and speed are corrected ones."""

    reference_temperature_c: float
    reference_pressure_kpa: float
    origin: str  # "measured" or "estimated"
    error: str  # how far it may be off, in words
    line_speeds_rpm: Floats
    lines: tuple[tuple[Floats, Floats, Floats], ...]  # flow, pressure ratio, efficiency, surge to choke
    flow_scale: float
    work_scale: float
    log_speeds: Floats = field(repr=False)
    radius: Floats = field(repr=False)  # (speeds, angles)
    work: Floats = field(repr=False)
    surge_angle: Floats = field(repr=False)
    choke_angle: Floats = field(repr=False)

    def surge_flow_kg_s(self, speed_rpm: ArrayLike) -> Floats:
        """Corrected flow at the surge end of the line of a corrected speed [kg/s]."""
        speed = self._speed(speed_rpm)
        angle = np.interp(np.log(speed), self.log_speeds, self.surge_angle)
        return self._look(self.radius, np.log(speed), angle) * np.cos(angle) * self.flow_scale * speed

    def choke_flow_kg_s(self, speed_rpm: ArrayLike) -> Floats:
        """Largest corrected flow at a corrected speed [kg/s]."""
        speed = self._speed(speed_rpm)
        angle = np.interp(np.log(speed), self.log_speeds, self.choke_angle)
        return self._look(self.radius, np.log(speed), angle) * np.cos(angle) * self.flow_scale * speed

    @takes(
        speed_rpm="corrected speed, from 15 % of the slowest to 105 % of the fastest line [rpm]",
        flow_kg_s=spans.MAP_FLOW_KG_S.of("corrected flow, up to the choke flow of that speed"),
    )
    def at_speed(self, speed_rpm: ArrayLike, flow_kg_s: Numbers) -> MapState:
        """Pressure ratio and efficiency at a corrected speed and flow.

        No measured map knows choke better than half a per cent, so flows from half a per cent below it to half a
        per cent above are spread over the last half per cent of the line.

        Returns: arrays with the shape of the inputs together.
        Raises: OutOfRange if a speed is off the map or a flow is more than the compressor can pass.
        Source: See the head of this file.
        """
        speed = self._speed(speed_rpm)
        most = self.choke_flow_kg_s(speed)
        require("flow_over_choke_flow", flow_kg_s / most, 0.0, 1.0 + CHOKE_TOLERANCE, "")
        beyond = np.maximum(flow_kg_s - most * (1.0 - CHOKE_TOLERANCE), 0.0)
        speed, flow = np.broadcast_arrays(speed, flow_kg_s - 0.5 * beyond)
        logarithm = np.log(speed)
        # Flow falls steadily with the angle: bisect.
        low, high = np.full(flow.shape, _ANGLES[0]), np.full(flow.shape, _ANGLES[-1])
        for _ in range(40):
            angle = 0.5 * (low + high)
            x = self._look(self.radius, logarithm, angle) * np.cos(angle) * self.flow_scale * speed
            low, high = np.where(x > flow, angle, low), np.where(x > flow, high, angle)
        angle = 0.5 * (low + high)
        choked = np.interp(logarithm, self.log_speeds, self.choke_angle)
        return self._state(speed, np.where(flow >= most * (1.0 - 1e-6), choked, angle))

    @takes(
        flow_kg_s=Span(1e-6, 100.0, "kg/s", "corrected flow, above 0"),
        pressure_ratio=Span(1.005, 8.0, "", "outlet over inlet pressure"),
    )
    def at(self, flow_kg_s: Numbers, pressure_ratio: Numbers) -> MapState:
        """Speed and efficiency at a corrected flow and pressure ratio.

        Returns: arrays with the shape of the inputs together.
        Raises: OutOfRange if a point lies above the fastest or below the slowest speed that the map can answer for.
        Source: See the head of this file.
        """
        flow_kg_s, pressure_ratio = np.broadcast_arrays(flow_kg_s, pressure_ratio)
        low = np.full(flow_kg_s.shape, self.log_speeds[0])
        high = np.full(flow_kg_s.shape, self.log_speeds[-1])
        for name, end, bad in (("fastest", high, 1.0), ("slowest", low, -1.0)):
            gap = self._gap(end, flow_kg_s, pressure_ratio)
            if np.any(bad * gap > 0.0):
                worst = int(np.argmax(np.ravel(bad * gap)))
                raise OutOfRange(
                    f"pressure_ratio_beyond_the_{name}_line_at_{np.ravel(flow_kg_s)[worst]:.3g}_kg/s",
                    float(np.ravel(pressure_ratio)[worst]), *self._ratios_at(float(np.ravel(flow_kg_s)[worst])), "",
                )  # fmt: skip
        return self.nearest(flow_kg_s, pressure_ratio)

    def nearest(self, flow_kg_s: ArrayLike, pressure_ratio: ArrayLike, log_speed: Floats | None = None) -> MapState:
        """As `at`, but a point off the map gets the state of the nearest speed, marked `outside`.

        For callers that search: they look at `outside` and at the pressure ratio that came back,
        which differs from the one asked for where the map does not reach. `log_speed` is where the
        logarithm of speed is thought to lie; it only saves time.
        """
        flow = require("flow_kg_s", flow_kg_s, 1e-6, 100.0, "kg/s")
        ratio = require("pressure_ratio", pressure_ratio, 1.0, 20.0, "")
        flow, ratio = np.broadcast_arrays(flow, ratio)
        ends = self.log_speeds[0], self.log_speeds[-1]
        if log_speed is None:
            logarithm, off = self._search(flow, ratio, np.full(flow.shape, ends[0]), np.full(flow.shape, ends[1]))
        else:
            low, high = (np.clip(log_speed + step, *ends) for step in (-_GUESS_WIDTH, _GUESS_WIDTH))
            logarithm, off = self._search(flow, ratio, low, high, 1)
            wrong = off.copy()  # not where it was thought to be
            if np.any(wrong):
                size = int(np.sum(wrong))
                logarithm[wrong], off[wrong] = self._search(
                    flow[wrong], ratio[wrong], np.full(size, ends[0]), np.full(size, ends[1])
                )
        _, angle = self._polar(np.exp(logarithm), flow, ratio)
        found = self._state(np.exp(logarithm), angle)
        return replace(found, outside=found.outside | off)

    def _search(
        self, flow: Floats, ratio: Floats, low: Floats, high: Floats, rounds: int = 12
    ) -> tuple[Floats, np.typing.NDArray[np.bool_]]:
        """Logarithm of speed, and where it lies outside the two ends.

        The distance from the origin shrinks as speed rises: bisect on the logarithm of speed, then
        one straight step, for over so short a stretch the distance is straight.
        """
        gap_low, gap_high = self._gap(low, flow, ratio), self._gap(high, flow, ratio)
        off = (gap_low < 0.0) | (gap_high > 0.0)
        for _ in range(rounds):
            middle = 0.5 * (low + high)
            gap = self._gap(middle, flow, ratio)
            slow = gap > 0.0
            low, high = np.where(slow, middle, low), np.where(slow, high, middle)
            gap_low, gap_high = np.where(slow, gap, gap_low), np.where(slow, gap_high, gap)
        span = gap_low - gap_high
        step = np.where(off, 0.5, gap_low / np.where(np.abs(span) < 1e-15, 1.0, span))
        return low + np.clip(step, 0.0, 1.0) * (high - low), off

    def line(self, row: int) -> tuple[Floats, Floats, Floats]:
        """Flow over speed, work over speed squared and work asked of one of `log_speeds`, from choke to surge [-]."""
        return self.radius[row] * np.cos(_ANGLES), self.radius[row] * np.sin(_ANGLES), self.work[row]

    def correct(self, flow_kg_s: ArrayLike, inlet_temperature_c: ArrayLike, inlet_pressure_kpa: ArrayLike) -> Floats:
        """Real flow at a real inlet state as corrected flow of this map [kg/s]."""
        kelvin = require("inlet_temperature_c", inlet_temperature_c, -60.0, 100.0, "°C") + ZERO_CELSIUS_K
        pressure = require("inlet_pressure_kpa", inlet_pressure_kpa, 30.0, 200.0, "kPa")
        flow = require("flow_kg_s", flow_kg_s, 0.0, 100.0, "kg/s")
        base = self.reference_temperature_c + ZERO_CELSIUS_K
        return flow * np.sqrt(kelvin / base) * self.reference_pressure_kpa / pressure

    def real_speed_rpm(self, speed_rpm: ArrayLike, inlet_temperature_c: ArrayLike) -> Floats:
        """Corrected speed of this map as real wheel speed at an inlet temperature [rpm]."""
        kelvin = require("inlet_temperature_c", inlet_temperature_c, -60.0, 100.0, "°C") + ZERO_CELSIUS_K
        return np.asarray(speed_rpm) * np.sqrt(kelvin / (self.reference_temperature_c + ZERO_CELSIUS_K))

    def _speed(self, speed_rpm: ArrayLike) -> Floats:
        ends = np.exp(self.log_speeds[[0, -1]])
        return require("speed_rpm", speed_rpm, ends[0] * (1 - 1e-9), ends[1] * (1 + 1e-9), "rpm")

    def _polar(self, speed: Floats, flow: Floats, ratio: Floats) -> tuple[Floats, Floats]:
        x = flow / (self.flow_scale * speed)
        y = (ratio**POWER - 1.0) / (self.work_scale * speed * speed)
        return np.hypot(x, y), np.arctan2(y, x)

    def _gap(self, logarithm: Floats, flow: Floats, ratio: Floats) -> Floats:
        """Distance of a point from the line of a speed; above 0 the speed is too low for the point."""
        distance, angle = self._polar(np.exp(logarithm), flow, ratio)
        return distance - self._look(self.radius, logarithm, angle)

    def _ratios_at(self, flow: float) -> tuple[float, float]:
        """Pressure ratios on the slowest and the fastest line at a flow, for a message."""
        found: list[float] = []
        for row in (0, -1):
            speed = float(np.exp(self.log_speeds[row]))
            x = self.radius[row] * np.cos(_ANGLES) * self.flow_scale * speed
            y = self.radius[row] * np.sin(_ANGLES) * self.work_scale * speed**2
            found.append(float(np.interp(flow, x[::-1], (1.0 + y[::-1]) ** (1.0 / POWER), right=1.0)))
        return found[0], found[1]

    def _look(self, table: Floats, logarithm: Floats, angle: Floats) -> Floats:
        """Bilinear look-up in the fine table that the monotone cubics filled."""
        step = self.log_speeds[1] - self.log_speeds[0]
        row = np.clip((logarithm - self.log_speeds[0]) / step, 0.0, len(self.log_speeds) - 1.000001)
        column = np.interp(angle, _ANGLES, np.arange(len(_ANGLES)))
        column = np.minimum(column, len(_ANGLES) - 1.000001)
        i, j = row.astype(np.intp), column.astype(np.intp)
        u, v = row - i, column - j
        low: Floats = table[i, j] + v * (table[i, j + 1] - table[i, j])
        high: Floats = table[i + 1, j] + v * (table[i + 1, j + 1] - table[i + 1, j])
        blended: Floats = low + u * (high - low)
        return blended

    def _state(self, speed: Floats, angle: Floats) -> MapState:
        logarithm = np.log(speed)
        radius = self._look(self.radius, logarithm, angle)
        flow = radius * np.cos(angle) * self.flow_scale * speed
        y = radius * np.sin(angle)
        surge, choke = self.surge_flow_kg_s(speed), self.choke_flow_kg_s(speed)
        ends = self.line_speeds_rpm[[0, -1]]
        outside = (
            (speed < ends[0] * (1 - SAME_LINE_RATIO))
            | (speed > ends[1] * (1 + SAME_LINE_RATIO))
            | (angle > np.interp(logarithm, self.log_speeds, self.surge_angle) + 1e-6)
            | (angle < np.interp(logarithm, self.log_speeds, self.choke_angle) - 1e-6)
        )
        return MapState(
            speed_rpm=speed,
            flow_kg_s=flow,
            pressure_ratio=(1.0 + y * self.work_scale * speed * speed) ** (1.0 / POWER),
            efficiency_ratio=y / self._look(self.work, logarithm, angle),
            surge_margin_ratio=(flow - surge) / flow,
            choke_margin_ratio=(choke - flow) / choke,
            outside=outside,
        )


@takes(
    speed_rpm=Span(1000.0, 400_000.0, "rpm", "corrected speed of each point"),
    flow_kg_s=Span(1e-4, 100.0, "kg/s", "corrected flow of each point"),
    pressure_ratio=Span(1.01, 8.0, "", "total to total pressure ratio"),
    efficiency_ratio=Span(0.1, 0.95, "(a fraction, not per cent)", "isentropic efficiency of each point"),
    reference_temperature_c=Span(-20.0, 100.0, "°C", "of speed and flow; it cannot be guessed, bases differ by 8 %"),
    reference_pressure_kpa=spans.MAP_REFERENCE_KPA,
    origin="'measured' or 'estimated' [-]",
    error="how far it may be off, in words [-]",
)
def build_map(
    speed_rpm: Numbers,
    flow_kg_s: Numbers,
    pressure_ratio: Numbers,
    efficiency_ratio: Numbers,
    reference_temperature_c: float,
    reference_pressure_kpa: float,
    origin: str = "measured",
    error: str = "as measured",
) -> CompressorMap:
    """Make a compressor map from points.

    Returns: ready to be asked.
    Raises: OutOfRange if a figure is impossible, such as an efficiency in per cent; ValueError if there are fewer than
        two lines, a line has fewer than three points, or two lines cross.
    Source: Similarity coordinates: Cumpsty, Compressor Aerodynamics; interpolation: Fritsch and Carlson 1980.

    >>> speeds = [100e3] * 3 + [120e3] * 3
    >>> chart = build_map(speeds, [0.05, 0.07, 0.08, 0.06, 0.085, 0.097], [1.9, 1.85, 1.5, 2.5, 2.4, 1.8],
    ...                   [0.68, 0.74, 0.6, 0.66, 0.74, 0.6], 25.0, 100.0)
    >>> 0.6 < float(chart.at(0.07, 2.1).efficiency_ratio) < 0.78
    True
    """
    columns = [np.atleast_1d(x) for x in (speed_rpm, flow_kg_s, pressure_ratio, efficiency_ratio)]
    if len({c.shape for c in columns}) != 1 or columns[0].ndim != 1:
        raise ValueError("a map needs four columns of equal length: speed, flow, pressure ratio, efficiency")
    groups = _group(columns[0])
    if len(groups) < 2:
        raise ValueError("a map needs two speed lines or more; this one has one")
    means = np.array([columns[0][g].mean() for g in groups])
    flow_scale = float(max(np.max(columns[1][g] / columns[0][g]) for g in groups))
    works = (columns[2] ** POWER - 1.0) / columns[0] ** 2
    work_scale = float(np.max(works))
    rows = []
    lines = []
    for group, mean in zip(groups, means, strict=True):
        if len(group) < 3:
            raise ValueError(f"the speed line at {mean:,.0f} rpm has {len(group)} points; it needs three or more")
        x = columns[1][group] / (columns[0][group] * flow_scale)
        y = works[group] / work_scale
        rows.append(_line(x, y, y / columns[3][group]))
        order = np.argsort(columns[1][group])
        _, flow, ratio, efficiency = (c[group][order] for c in columns)
        lines.append((flow, ratio, efficiency))
    _refuse_crossing(means, rows, flow_scale, work_scale)
    return _fill(
        reference_temperature_c, reference_pressure_kpa, origin, error, means, tuple(lines), flow_scale, work_scale, rows
    )  # fmt: skip


Row = tuple[Floats, Floats, float, float]  # radius and work over the angles, surge and choke angle


def _group(speed: Floats) -> list[np.typing.NDArray[np.intp]]:
    order = np.argsort(speed)
    cuts = np.flatnonzero(np.diff(speed[order]) > SAME_LINE_RATIO * speed[order][:-1]) + 1
    return list(np.split(order, cuts))


def _line(x: Floats, y: Floats, work: Floats) -> Row:
    angle = np.arctan2(y, x)
    order = np.argsort(angle)
    angle, x, y, work = angle[order], x[order], y[order], work[order]
    keep = np.concatenate([[True], np.diff(angle) > 1e-4])
    angle, x, y, work = angle[keep], x[keep], y[keep], work[keep]
    if len(angle) < 3:
        raise ValueError("a speed line has points that coincide; it needs three that differ")
    # Flow, pressure and work each run monotone between the points, over the length along the line.
    along = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
    fine = np.unique(np.concatenate([along, np.linspace(0.0, along[-1], 400)]))
    fine_x, fine_y, fine_work = (PchipInterpolator(along, c)(fine) for c in (x, y, work))
    fine_angle = np.arctan2(fine_y, fine_x)
    if np.any(np.diff(fine_angle) <= 0.0):
        raise ValueError("a speed line turns back on itself; check the order and figures of its points")
    radius = np.interp(_ANGLES, fine_angle, np.hypot(fine_x, fine_y))
    across = np.interp(_ANGLES, fine_angle, fine_work)
    radius = np.where(angle[0] > _ANGLES, x[0] / np.cos(_ANGLES), radius)  # straight down at choke
    radius = np.where(angle[-1] < _ANGLES, y[-1] / np.sin(_ANGLES), radius)  # level past surge
    return radius, across, float(angle[-1]), float(angle[0])


def _refuse_crossing(means: Floats, rows: list[Row], flow_scale: float, work_scale: float) -> None:
    """At one flow the faster line must give more pressure wherever both have been measured."""
    for k in range(len(means) - 1):
        curves = []
        for speed, (radius, _, surge, choke) in zip(means[k : k + 2], rows[k : k + 2], strict=True):
            angles = np.linspace(choke, surge, 60)
            r = np.interp(angles, _ANGLES, radius)
            curves.append((r * np.cos(angles) * speed, r * np.sin(angles) * speed**2))
        (slow_x, slow_y), (fast_x, fast_y) = curves
        shared = (slow_x >= fast_x.min()) & (slow_x <= fast_x.max())
        order = np.argsort(fast_x)
        above = np.interp(slow_x[shared], fast_x[order], fast_y[order])
        if np.any(slow_y[shared] > above * 1.001):
            raise ValueError(
                f"the speed lines at {means[k]:,.0f} and {means[k + 1]:,.0f} rpm cross; "
                "check speed, flow and pressure ratio of their points"
            )


def _fill(
    base_c: float,
    base_kpa: float,
    origin: str,
    error: str,
    means: Floats,
    lines: tuple[tuple[Floats, Floats, Floats], ...],
    flow_scale: float,
    work_scale: float,
    rows: list[Row],
) -> CompressorMap:
    ends = np.log([means[0] * LOWEST_SPEED_SHARE, means[-1] * HIGHEST_SPEED_SHARE])
    grid = np.linspace(ends[0], ends[1], _SPEED_ROWS * 2)
    inside = np.clip(grid, np.log(means[0]), np.log(means[-1]))

    def over_speed(values: Floats) -> Floats:
        return np.asarray(PchipInterpolator(np.log(means), values, axis=0)(inside), dtype=np.float64)

    return CompressorMap(
        base_c, base_kpa, origin, error, means, lines, flow_scale, work_scale, grid,
        over_speed(np.array([r[0] for r in rows])), over_speed(np.array([r[1] for r in rows])),
        over_speed(np.array([r[2] for r in rows])), over_speed(np.array([r[3] for r in rows])),
    )  # fmt: skip
