"""A speed over time made even, smoothed, and turned into a slope with its scatter."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.signal import savgol_coeffs, savgol_filter

from measurements.bench.dyno.run_errors import MeasurementRefused
from sizing.physics.errors import Floats, require
from sizing.said import Said

LEAST_SAMPLES = 12
GAP = 5.0  # a step so many times the usual one is a gap
BIN_RPM = 100.0


@dataclass(frozen=True)
class SpeedRecord:
    """Smoothed speed and its slope on even steps; `slope_scatter` is one standard deviation of the slope."""

    time_s: Floats
    speed: Floats
    slope: Floats  # per second
    slope_scatter: float

    def rising(self, what: str) -> "SpeedRecord":
        """The longest stretch in which the speed rises."""
        up = np.concatenate([[False], self.slope > 0, [False]])
        edges = np.flatnonzero(up[1:] != up[:-1]).reshape(-1, 2)
        gains = [self.speed[end - 1] - self.speed[start] for start, end in edges]
        if not gains or max(gains) < 0.1 * float(self.speed.max()):
            raise MeasurementRefused("run.no_pull", what=Said(f"run.of_{what}"))
        start, end = edges[int(np.argmax(gains))]
        return SpeedRecord(self.time_s[start:end], self.speed[start:end], self.slope[start:end], self.slope_scatter)


def smoothed(values: ArrayLike, step_s: float, window_s: float, order: int = 2) -> tuple[Floats, Floats, float]:
    """Local parabolas: the smoothed values, their slope, and the slope's standard deviation from the scatter seen.

    Parameters
    ----------
    values : array
        Values at even steps [any unit]
    step_s : float
        Step, 0.0001 to 10 [s]
    window_s : float
        Stretch of one parabola, 0.05 to 10 [s]
    order : int
        Degree of the polynomial, 1 to 4 [-]

    Returns
    -------
    tuple
        Smoothed values, slope per second, standard deviation of the slope.

    Raises
    ------
    OutOfRange
        If a figure is outside its range.
    MeasurementRefused
        If there are fewer samples than one window needs.

    References
    ----------
    Savitzky and Golay, Anal. Chem. 36 (1964) 1627; scipy.signal.savgol_filter.
    """
    step = float(require("step_s", step_s, 1e-4, 10.0, "s"))
    window = float(require("window_s", window_s, 0.05, 10.0, "s"))
    degree = int(require("order", order, 1, 4, ""))
    numbers = np.asarray(values, dtype=np.float64)
    samples = max(degree + 3, round(window / step))
    samples += 1 - samples % 2
    if numbers.size < samples:
        raise MeasurementRefused("run.too_few_to_smooth", samples=numbers.size, window_s=window, least=samples)
    calm = savgol_filter(numbers, samples, degree)
    slope = savgol_filter(numbers, samples, degree, deriv=1, delta=step)
    weights = savgol_coeffs(samples, degree, deriv=1, delta=step)
    # a parabola over n samples takes degree + 1 of them out of the scatter
    left = numbers - calm
    noise = float(np.sqrt(np.mean(left**2) / max(1e-9, 1.0 - (degree + 1) / samples)))
    return calm, slope, noise * float(np.sqrt(np.sum(weights**2)))


def speed_record(
    time_s: ArrayLike, speed: ArrayLike, window_s: float, name: str, low: float, high: float, unit: str
) -> SpeedRecord:
    """Check a record of speed, bring it to even steps and smooth it.

    Parameters
    ----------
    time_s : array
        Time of each sample [s]
    speed : array
        Speed [unit]
    window_s : float
        Stretch that is smoothed over, 0.05 to 10 [s]
    name, unit : str
        How the speed is called in a refusal [-]
    low, high : float
        Possible range of the speed [unit]

    Returns
    -------
    SpeedRecord
        Even steps of the usual length.

    Raises
    ------
    OutOfRange
        If a figure is outside its range.
    MeasurementRefused
        If the record is too short, times do not rise, or there is a gap in it.

    References
    ----------
    Straight lines between the samples, then `smoothed`.
    """
    clock = require("time_s", time_s, -1e9, 1e10, "s")
    values = require(name, speed, low, high, unit)
    if clock.shape != values.shape or clock.ndim != 1:
        raise MeasurementRefused("run.as_many_times", times=clock.size, speeds=values.size)
    if clock.size < LEAST_SAMPLES:
        raise MeasurementRefused("run.too_few", samples=clock.size, least=LEAST_SAMPLES)
    steps = np.diff(clock)
    if (steps <= 0).any():
        at = int(np.argmax(steps <= 0)) + 2
        raise MeasurementRefused("run.times_have_to_rise", sample=at, time_s=clock[at - 1], before_s=clock[at - 2])
    usual = float(np.median(steps))
    if steps.max() > GAP * usual:
        at = int(np.argmax(steps)) + 1
        ends = {"from_s": clock[at - 1], "to_s": clock[at]}
        raise MeasurementRefused("run.gap", **ends, gap_s=steps.max(), usual_s=usual)
    even = np.linspace(clock[0], clock[-1], max(2, round((clock[-1] - clock[0]) / usual) + 1))
    calm, slope, scatter = smoothed(np.interp(even, clock, values), float(even[1] - even[0]), window_s)
    return SpeedRecord(even, calm, slope, scatter)


def binned(speed_rpm: Floats, values: Floats, width: float = BIN_RPM) -> tuple[Floats, Floats]:
    """Mean speed and mean value in steps of engine speed; empty steps are left out.

    Parameters
    ----------
    speed_rpm, values : array
        Speed [rpm] and what was found there [any unit]
    width : float
        Width of a step [rpm]

    Returns
    -------
    tuple of arrays
        One speed and one value a step, by rising speed.

    Examples
    --------
    >>> binned(np.array([1010.0, 1030.0, 1170.0]), np.array([1.0, 3.0, 5.0]))[1].tolist()
    [2.0, 5.0]

    References
    ----------
    Arithmetic mean.
    """
    step = np.floor(speed_rpm / width).astype(int)
    steps, where = np.unique(step, return_inverse=True)
    counts = np.bincount(where, minlength=steps.size)
    return np.bincount(where, speed_rpm) / counts, np.bincount(where, values) / counts
