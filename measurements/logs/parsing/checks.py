"""What looks odd in a channel or in the clock. Found and told, never repaired; figures marked 'common practice' are ours. Pure."""

from dataclasses import dataclass

import numpy as np

STUCK_SAMPLES, STUCK_SECONDS = 30, 5.0  # common practice
GAP_STEPS, GAP_SECONDS = 10.0, 5.0  # a silence this many usual steps and seconds long is a pause: common practice
# What loggers write for "no reading": ends of 8 and 16 bits, with the usual scales, and rows of nines.
SENTINELS = (
    -125.0,
    127.0,
    127.5,
    128.0,
    255.0,
    999.0,
    999.9,
    -999.0,
    9999.0,
    -9999.0,
    9999.9,
    32767.0,
    -32768.0,
    3276.7,
    -3276.8,
    65535.0,
    6553.5,
    655.35,
    8191.875,
)


@dataclass(frozen=True)
class Stuck:
    start_s: float
    end_s: float
    value: float
    count: int


def lonely_spikes(times: np.ndarray, values: np.ndarray, least: float, most: int = 20) -> list[tuple[float, float]]:
    """Single samples that stand far off both neighbours on the same side, while the neighbours agree.

    Far is ten times the usual step from sample to sample and at least `least` in the stored unit.
    """
    if len(values) < 5:
        return []
    difference = np.diff(values)
    steps = np.abs(difference)
    if steps.max() <= least:
        return []
    some = steps[:: 1 + len(steps) // 100_000]  # enough of them to know what is usual
    middle = np.median(some)
    usual = 10 * (middle + 1.4826 * np.median(np.abs(some - middle)))
    far = steps > max(usual, least)
    wild = np.flatnonzero(far[:-1] & far[1:])
    wild = wild[difference[wild] * difference[wild + 1] < 0]
    off = np.minimum(steps[wild], steps[wild + 1])
    lonely = wild[np.abs(values[wild] - values[wild + 2]) < 0.2 * off]
    return [(float(times[i + 1]), float(values[i + 1])) for i in lonely[:most]]


def stuck_stretches(times: np.ndarray, values: np.ndarray, most: int = 5) -> list[Stuck]:
    """Stretches in which a channel that is otherwise seldom still does not move at all. A resting value at an end of the range is none."""
    if len(values) < 2 * STUCK_SAMPLES:
        return []
    moved = values[1:] != values[:-1]
    many = np.count_nonzero(moved)
    if many < 2 or len(moved) - many < STUCK_SAMPLES - 1:  # it never moves, or never rests long enough
        return []
    turns = np.flatnonzero(moved)
    starts, ends = np.concatenate(([0], turns + 1)), np.concatenate((turns, [len(values) - 1]))
    lengths = ends - starts + 1
    long = np.flatnonzero((lengths >= STUCK_SAMPLES) & (times[ends] - times[starts] >= STUCK_SECONDS))
    if not len(long) or len(long) > 50:
        return []
    usual = np.percentile(lengths, 90)
    low, high = values.min(), values.max()
    found = [
        Stuck(float(times[starts[i]]), float(times[ends[i]]), float(values[starts[i]]), int(lengths[i]))
        for i in long
        if lengths[i] >= 10 * usual and low < values[starts[i]] < high
    ]
    return sorted(found, key=lambda s: s.start_s - s.end_s)[:most]


def is_counter(raw: np.ndarray) -> bool:
    """Whole numbers that go up by the same step and fall back after 255 (or 15, 65535): a logger's count, no measurement."""
    if len(raw) < 20:
        return False
    head = raw[:5000]
    if head.min() < 0 or (head != np.round(head)).any():
        return False
    top = next((t for t in (15.0, 255.0, 65535.0) if raw.max() <= t), None)
    if top is None or raw.max() < 0.9 * top:
        return False
    steps = np.mod(np.diff(head), top + 1)
    step = steps[0]
    return bool(step != 0 and (steps == step).mean() > 0.95)


def sentinel_in(raw: np.ndarray) -> float | None:
    """A usual stand-in for 'no reading' that stands far from every other value of the channel."""
    low, high = raw.min(), raw.max()
    for value in (high, low):
        if value not in SENTINELS:
            continue
        rest = raw[raw != value]
        if len(rest) < 5:
            continue
        bottom, top = rest.min(), rest.max()
        gap = value - top if value == high else bottom - value
        if gap > max(0.5 * (top - bottom), 0.2 * abs(value)):
            return float(value)
    return None


def gaps(times: np.ndarray) -> list[tuple[float, float]]:
    """Pauses of the logger: where each begins and how long it is, the longest first."""
    steps = np.diff(times)
    forward = steps[steps > 0]
    if len(forward) < 3:
        return []
    least = max(GAP_STEPS * float(np.median(forward)), GAP_SECONDS)
    return sorted(((float(times[i]), float(steps[i])) for i in np.flatnonzero(steps > least)), key=lambda gap: -gap[1])


def restarts(times: np.ndarray, most: int = 60) -> list[int]:
    """Rows at which the clock starts again from near its beginning: each is the first of another recording."""
    back = np.flatnonzero(np.diff(times) < 0) + 1
    if not len(back) or len(back) > 5000:
        return []
    found, begin = [], 0
    for row in back.tolist():
        top = times[begin:row].max()
        near_start = times[row] - times[begin:row].min() <= 0.1 * (top - times[begin:row].min())
        if (
            row - begin >= 5
            and len(times) - row >= 5
            and near_start
            and (times[row : row + 5] < top).all()
            and (np.diff(times[row : row + 5]) >= 0).all()
        ):
            found.append(row)
            begin = row
    return found if len(found) <= most else []


def rows_of_ends(columns: list[np.ndarray]) -> int:
    """How many of the first rows are the minima and maxima of all that follows: 2, or 0.

    With a clock that goes on, its last time can stand in the second row only when that row is no reading.
    """
    if len(columns) < 3 or len(columns[0]) < 8:
        return 0
    for first, second in ((0, 1), (1, 0)):
        moving = 0
        for values in columns:
            rest = values[2:][np.isfinite(values[2:])]
            ends = values[:2]
            if not len(rest) or not np.isfinite(ends).all() or ends[first] != rest.min() or ends[second] != rest.max():
                break
            moving += rest.min() < rest.max()
        else:
            if moving >= 3:
                return 2
    return 0


def logged_together(one: np.ndarray, other: np.ndarray, gap: float) -> float:
    """Share of the times of one channel at which another was logged within a gap before or after. Times rising."""
    if not len(one) or not len(other):
        return 0.0
    at = np.searchsorted(other, one)
    before = one - other[np.maximum(at - 1, 0)]
    after = other[np.minimum(at, len(other) - 1)] - one
    near = np.minimum(np.where(at > 0, before, np.inf), np.where(at < len(other), after, np.inf))
    return float((near <= gap).mean())
