"""A speed over time made even, smoothed, and turned into a slope with its scatter."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.signal import savgol_coeffs, savgol_filter

from measurements.bench.dyno.run_errors import MeasurementRefused
from sizing.physics.errors import Floats, require
from sizing.physics.ranges import Numbers, Span, takes
from sizing.said import Said

LEAST_SAMPLES = 12
GAP = 5.0  # a step so many times the usual one is a gap
BIN_RPM = 100.0
TIME_S = Span(-1e9, 1e10, "s", "time of each sample, rising")
WINDOW_S = Span(0.05, 10.0, "s", "stretch that is smoothed over")


@dataclass(frozen=True)
class SpeedRecord:
    """Smoothed speed and its slope on even steps; `slope_scatter` is one standard deviation of the slope."""

    time_s: Floats
    speed: Floats
    slope: Floats  # per second
    slope_scatter: float

    def rising(self, what: str) -> SpeedRecord:
        """The longest stretch in which the speed rises."""
        up = np.concatenate([[False], self.slope > 0, [False]])
        edges = np.flatnonzero(up[1:] != up[:-1]).reshape(-1, 2)
        gains = [self.speed[end - 1] - self.speed[start] for start, end in edges]
        if not gains or max(gains) < 0.1 * float(self.speed.max()):
            raise MeasurementRefused("run.no_pull", what=Said(f"run.of_{what}"))
        start, end = edges[int(np.argmax(gains))]
        return SpeedRecord(self.time_s[start:end], self.speed[start:end], self.slope[start:end], self.slope_scatter)


@takes(
    values="values at even steps [any unit]",
    step_s=Span(1e-4, 10.0, "s"),
    window_s=WINDOW_S.of("stretch of one parabola"),
    order=Span(1, 4, "", "degree of the polynomial"),
)
def smoothed(values: ArrayLike, step_s: float, window_s: float, order: int = 2) -> tuple[Floats, Floats, float]:
    """Local parabolas: the smoothed values, their slope, and the slope's standard deviation from the scatter seen.

    Returns: tuple: smoothed values, slope per second, standard deviation of the slope.
    Raises: MeasurementRefused if there are fewer samples than one window needs.
    Source: Savitzky and Golay, Anal. Chem. 36 (1964) 1627; scipy.signal.savgol_filter.
    """
    numbers = np.asarray(values, dtype=np.float64)
    samples = max(order + 3, round(window_s / step_s))
    samples += 1 - samples % 2
    if numbers.size < samples:
        raise MeasurementRefused("run.too_few_to_smooth", samples=numbers.size, window_s=window_s, least=samples)
    calm = savgol_filter(numbers, samples, order)
    slope = savgol_filter(numbers, samples, order, deriv=1, delta=step_s)
    weights = savgol_coeffs(samples, order, deriv=1, delta=step_s)
    # a parabola over n samples takes order + 1 of them out of the scatter
    left = numbers - calm
    noise = float(np.sqrt(np.mean(left**2) / max(1e-9, 1.0 - (order + 1) / samples)))
    return calm, slope, noise * float(np.sqrt(np.sum(weights**2)))


@takes(
    time_s=TIME_S,
    speed="speed [unit]",
    window_s=WINDOW_S,
    name="how the speed is called in a refusal [-]",
    low="lowest possible speed [unit]",
    high="highest possible speed [unit]",
    unit="unit of the speed, for a refusal [-]",
)
def speed_record(
    time_s: Numbers, speed: ArrayLike, window_s: float, name: str, low: float, high: float, unit: str
) -> SpeedRecord:
    """Check a record of speed, bring it to even steps and smooth it.

    Returns: even steps of the usual length.
    Raises: MeasurementRefused if the record is too short, times do not rise, or there is a gap in it.
    Source: Straight lines between the samples, then `smoothed`.
    """
    values = require(name, speed, low, high, unit)
    if time_s.shape != values.shape or time_s.ndim != 1:
        raise MeasurementRefused("run.as_many_times", times=time_s.size, speeds=values.size)
    if time_s.size < LEAST_SAMPLES:
        raise MeasurementRefused("run.too_few", samples=time_s.size, least=LEAST_SAMPLES)
    steps = np.diff(time_s)
    if (steps <= 0).any():
        at = int(np.argmax(steps <= 0)) + 2
        raise MeasurementRefused("run.times_have_to_rise", sample=at, time_s=time_s[at - 1], before_s=time_s[at - 2])
    usual = float(np.median(steps))
    if steps.max() > GAP * usual:
        at = int(np.argmax(steps)) + 1
        ends = {"from_s": time_s[at - 1], "to_s": time_s[at]}
        raise MeasurementRefused("run.gap", **ends, gap_s=steps.max(), usual_s=usual)
    even = np.linspace(time_s[0], time_s[-1], max(2, round((time_s[-1] - time_s[0]) / usual) + 1))
    calm, slope, scatter = smoothed(np.interp(even, time_s, values), float(even[1] - even[0]), window_s)
    return SpeedRecord(even, calm, slope, scatter)


def binned(speed_rpm: Floats, values: Floats, width: float = BIN_RPM) -> tuple[Floats, Floats]:
    """Mean speed and mean value in steps of engine speed; empty steps are left out.

    Takes:
        speed_rpm, values: speed [rpm] and what was found there [any unit]
        width: width of a step [rpm]
    Returns: tuple of arrays: one speed and one value a step, by rising speed.
    Source: Arithmetic mean.

    >>> binned(np.array([1010.0, 1030.0, 1170.0]), np.array([1.0, 3.0, 5.0]))[1].tolist()
    [2.0, 5.0]
    """
    step = np.floor(speed_rpm / width).astype(int)
    steps, where = np.unique(step, return_inverse=True)
    counts = np.bincount(where, minlength=steps.size)
    return np.bincount(where, speed_rpm) / counts, np.bincount(where, values) / counts
