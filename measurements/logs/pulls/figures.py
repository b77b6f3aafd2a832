"""What one pull shows: how boost comes up, settles, overshoots, falls off and swings; how fast heat rises. Pure.

Steady steps first: channels are read onto even times by straight lines. Noise is taken off by the local parabola of
Savitzky and Golay (Anal. Chem. 36 (1964) 1627), so peaks of a single sample do not count. A figure that the log cannot
carry stays None. The bounds of a swing that looks like surge are common practice and only say where to listen.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.signal import find_peaks, savgol_filter

Floats = NDArray[np.float64]
MOST_EVEN = 20  # even steps for each sample; more would be made up
LEAST_SAMPLES = 20
COARSEST_STEP_S = 0.5  # slower than two rows a second nothing is said of a rise
SETTLED_SHARE = 0.5  # the last half of a pull is where boost should stand
STEADY_SHARE = 0.15  # it stands when its middle 90 % lie within this share of it
RISE_SHARE = 0.9
SMOOTH_S, TREND_S, HEAT_S = 0.5, 1.5, 2.0
LEAST_SWINGS, SWING_KPA, SWING_SHARE = 4, 2.0, 0.02
LEAST_HZ = 1.0
TOP_SHARE = 0.05  # of the speeds: the top of the pull
CURVE_STEP_RPM = 100.0


@dataclass(frozen=True)
class Swing:
    """A regular swing of boost about its trend, after boost is in."""

    frequency_hz: float
    height_kpa: float  # from crest to trough, middle of all
    count: int
    dies_away: bool  # the last third is under half of the first third: a knock that rings out, no surge


@dataclass(frozen=True)
class PullFigures:
    settled_kpa: float | None = None
    settled_at_rpm: float | None = None
    rise_s: float | None = None  # from the pull's start to 90 % of the settled boost
    rise_at_rpm: float | None = None
    overshoot_pct: float | None = None
    fall_off_kpa: float | None = None  # highest boost lower down, less boost at the top of the speeds
    heat_rise_c_s: float | None = None
    lambda_lowest: float | None = None
    swing: Swing | None = None
    highest_swing_hz: float | None = None  # faster ones this log could not show
    curve: tuple[tuple[float, float], ...] = ()  # engine speed, boost


def _odd(samples: float, most: int) -> int:
    return min(max(5, round(samples) | 1), most if most % 2 else most - 1)


def _calm(values: Floats, step: float, window_s: float, order: int = 2, derivative: int = 0) -> Floats:
    window = _odd(window_s / step, len(values))
    calm: Floats = savgol_filter(values, window, min(order, window - 1), deriv=derivative, delta=step)
    return calm


def evenly(times: ArrayLike, values: ArrayLike, start_s: float, end_s: float) -> tuple[Floats, Floats]:
    """A channel at even times of its usual step within a stretch; empty where it is too short or too coarse.

    Takes:
        times: time of each sample, rising [s]
        values: the channel [any unit]
        start_s, end_s: the stretch [s]
    Returns: tuple of arrays: times [s] and values.
    Source: Straight lines between samples.
    """
    clock, numbers = np.asarray(times, dtype=np.float64), np.asarray(values, dtype=np.float64)
    inside = (clock >= start_s) & (clock <= end_s)
    clock, first = np.unique(clock[inside], return_index=True)
    numbers = numbers[inside][first]
    if clock.size < LEAST_SAMPLES:
        return np.array([]), np.array([])
    step = float(np.median(np.diff(clock)))
    if clock[-1] - clock[0] > MOST_EVEN * clock.size * step:
        return np.array([]), np.array([])  # samples in bursts: their usual step says nothing of the whole stretch
    if step > COARSEST_STEP_S or np.diff(clock).max() > max(4 * step, COARSEST_STEP_S):
        return np.array([]), np.array([])
    even = np.arange(clock[0], clock[-1] + step / 2, step)
    return even, np.interp(even, clock, numbers)


def settled_kpa(boost_kpa: Floats) -> float | None:
    """Middle of the last half of a pull when boost stands there; None while it still moves.

    Takes:
        boost_kpa: boost at even times [kPa gauge]
    Returns: settled boost [kPa gauge].
    Source: Common practice; for a first-order rise it is the end value once the pull is ten time constants long.
    """
    late = boost_kpa[int(len(boost_kpa) * (1 - SETTLED_SHARE)) :]
    middle = float(np.median(late))
    low, high = np.percentile(late, [5, 95])
    return middle if middle > 0 and high - low <= STEADY_SHARE * middle else None


def swing_of(times: Floats, boost_kpa: Floats) -> Swing | None:
    """A regular swing of boost about its trend; None when there is none.

    The trend is a Savitzky-Golay parabola over 1.5 s; what is left is searched for crests by prominence. Four or more,
    evenly apart within a third, at least 2 kPa and 2 % of the boost high, count as a swing.

    Takes:
        times: even times [s]
        boost_kpa: boost after it is in [kPa gauge]
    Returns: Swing or None.
    Source: Savitzky and Golay 1964; scipy.signal.find_peaks; the bounds are common practice.
    """
    if len(boost_kpa) < LEAST_SAMPLES or times[-1] - times[0] < TREND_S:
        return None
    step = float(times[1] - times[0])
    left = boost_kpa - _calm(boost_kpa, step, TREND_S)
    least = max(SWING_KPA, SWING_SHARE * float(np.median(boost_kpa)))
    crests, about = find_peaks(left, prominence=least)
    if crests.size < LEAST_SWINGS:
        return None
    apart = np.diff(times[crests])
    usual = float(np.median(apart))
    if np.std(apart) > usual / 3 or 1 / usual < LEAST_HZ or times[crests[-1]] - times[crests[0]] < 2 * TREND_S / 3:
        return None
    heights = about["prominences"]
    third = max(1, len(heights) // 3)
    return Swing(
        1 / usual,
        float(np.median(heights)),
        int(crests.size),
        bool(np.mean(heights[-third:]) < 0.5 * np.mean(heights[:third])),
    )


def _curve(speed: Floats, boost: Floats) -> tuple[tuple[float, float], ...]:
    step = np.floor(speed / CURVE_STEP_RPM).astype(int)
    return tuple(
        (round(float(speed[step == s].mean()), 1), round(float(boost[step == s].mean()), 2)) for s in np.unique(step)
    )


def _of_boost(times: Floats, boost: Floats, speed: Floats | None) -> dict[str, Any]:
    step = float(times[1] - times[0])
    calm = _calm(boost, step, min(SMOOTH_S, 5 * step) if step > 0.05 else SMOOTH_S)
    settled = settled_kpa(calm)
    found: dict[str, Any] = {"highest_swing_hz": 0.4 / step, "curve": _curve(speed, calm) if speed is not None else ()}
    target = settled if settled is not None else float(calm.max())
    first = int(np.argmax(calm >= RISE_SHARE * target))
    found["swing"] = swing_of(times[first:], boost[first:])
    if settled is not None:
        late = slice(int(len(calm) * (1 - SETTLED_SHARE)), None)
        found |= {
            "settled_kpa": settled, "settled_at_rpm": None if speed is None else float(np.median(speed[late])),
            "overshoot_pct": max(0.0, 100.0 * (float(calm.max()) / settled - 1.0)),
        }  # fmt: skip
        if calm[0] < RISE_SHARE * target:  # boost that was in before the pull tells of no rise
            before = calm[first - 1]
            share = (RISE_SHARE * target - before) / (calm[first] - before) if calm[first] > before else 1.0
            found |= {
                "rise_s": float(times[first - 1] + share * step - times[0]),
                "rise_at_rpm": None if speed is None else float(speed[first]),
            }
    if speed is not None and speed[-1] > speed[0] and np.ptp(speed) > 500:
        top = speed >= speed.max() - TOP_SHARE * np.ptp(speed)
        if top.sum() >= 3 and (~top).any():
            found["fall_off_kpa"] = max(0.0, float(calm[~top].max()) - float(calm[top].mean()))
    return found


def pull_figures(
    start_s: float,
    end_s: float,
    boost: tuple[ArrayLike, ArrayLike] = ((), ()),
    speed: tuple[ArrayLike, ArrayLike] = ((), ()),
    heat: tuple[ArrayLike, ArrayLike] = ((), ()),
    mixture: tuple[ArrayLike, ArrayLike] = ((), ()),
) -> PullFigures:
    """Everything that one pull shows.

    Takes:
        start_s, end_s: the pull [s]
        boost, speed, heat, mixture: times [s] and values of boost [kPa gauge], engine speed [rpm], exhaust temperature
            [°C] and lambda [-]; empty where not logged
    Returns: None for whatever the log does not carry.
    Source: Rise, settling and overshoot as for a second-order system, such as Ogata, Modern Control Engineering, ch. 5
        (from memory); slopes by Savitzky and Golay 1964.
    """
    times, values = evenly(*boost, start_s, end_s)
    speeds = None
    if times.size:
        at, rpm = evenly(*speed, start_s - 1, end_s + 1)
        speeds = (
            np.interp(times, at, rpm) if at.size and at[0] <= times[0] + 0.5 and at[-1] >= times[-1] - 0.5 else None
        )
    found = _of_boost(times, values, speeds) if times.size else {}
    heat_times, degrees = evenly(*heat, start_s, end_s)
    if heat_times.size:
        found["heat_rise_c_s"] = float(_calm(degrees, float(heat_times[1] - heat_times[0]), HEAT_S, derivative=1).max())
    mix_times, lambdas = np.asarray(mixture[0], dtype=np.float64), np.asarray(mixture[1], dtype=np.float64)
    inside = (mix_times >= start_s) & (mix_times <= end_s)
    if inside.any():
        found["lambda_lowest"] = float(lambdas[inside].min())
    return PullFigures(**found)
