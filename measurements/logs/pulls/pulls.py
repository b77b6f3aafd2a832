"""Finding stretches of full load in a log, and saying when there are none. Pure.

A pull is a stretch of at least two seconds with the pedal (or the load, or boost) at its top while the engine turns
above idle. Shorter run-ups are what an engine does without load: they prove nothing about boost. Common practice.
"""

from dataclasses import dataclass, field

import numpy as np

from measurements.logs.parsing.file import Log
from measurements.logs.parsing.names import SPEED
from measurements.logs.pulls.figures import PullFigures, pull_figures

FULL_PEDAL_PCT = 90.0
FULL_LOAD_PCT = 90.0
LEAST_SECONDS = 2.0
GAP_SECONDS = 1.0  # a shorter dip, such as a gear change, does not end a pull; a longer silence of a channel does
LEAST_SPEED_RPM = 900.0
BOOST_SEEN_KPA = 15.0  # below it a turbo does no work that a log could prove
BOOST_SHARE = 0.7  # without pedal and load: share of the highest boost that counts as full load

Series = tuple[np.ndarray, np.ndarray]  # times, values


@dataclass(frozen=True)
class Pull:
    start_s: float
    end_s: float
    speed_from_rpm: float
    speed_to_rpm: float
    boost_highest_kpa: float | None = None
    boost_highest_at_rpm: float | None = None
    exhaust_temperature_highest_c: float | None = None
    exhaust_temperature_highest_at_rpm: float | None = None
    figures: PullFigures = field(default_factory=PullFigures)

    @property
    def seconds(self) -> float:
        return self.end_s - self.start_s


@dataclass(frozen=True)
class Search:
    pulls: list[Pull]
    judged_by: str  # which channel told full load: pedal_pct, load_pct, boost_kpa, or empty
    short_run_ups: int  # at the top, but too short to be under load


def at_times(times: np.ndarray, from_times: np.ndarray, values: np.ndarray, gap: float = GAP_SECONDS) -> np.ndarray:
    """The last value of a channel at each time; not a number where it was silent for longer than `gap`."""
    if not len(values):
        return np.full(len(times), np.nan)
    at = np.searchsorted(from_times, times, side="right") - 1
    known = at >= 0
    held = np.where(known, values[np.maximum(at, 0)], np.nan)
    age = np.where(known, times - from_times[np.maximum(at, 0)], np.inf)
    return np.where(age <= gap, held, np.nan)


def _full_load(log: Log, times: np.ndarray) -> tuple[np.ndarray, str]:
    """Where the engine is at full load, by the best channel that the log has."""
    for quantity, least in (("pedal_pct", FULL_PEDAL_PCT), ("load_pct", FULL_LOAD_PCT)):
        from_times, values = _in_order(log.series(quantity))
        if len(values):
            return at_times(times, from_times, values) >= least, quantity
    from_times, boost = _in_order(log.series("boost_kpa"))
    if len(boost) and boost.max() >= BOOST_SEEN_KPA:
        return at_times(times, from_times, boost) >= BOOST_SHARE * boost.max(), "boost_kpa"
    return np.zeros(len(times), dtype=bool), ""


def _stretches(mask: np.ndarray, times: np.ndarray) -> list[tuple[int, int]]:
    """First and last index of each run of true, with short dips closed."""
    on = np.flatnonzero(mask)
    if not len(on):
        return []
    breaks = np.flatnonzero(np.diff(times[on]) > GAP_SECONDS)
    starts = np.concatenate(([0], breaks + 1))
    ends = np.concatenate((breaks, [len(on) - 1]))
    return [(int(on[a]), int(on[b])) for a, b in zip(starts, ends, strict=True)]


def _in_order(series: Series) -> Series:
    order = np.argsort(series[0], kind="stable")
    return series[0][order], series[1][order]


def _peak(
    series: Series, start: float, end: float, times: np.ndarray, speed: np.ndarray
) -> tuple[float | None, float | None]:
    """Highest value in a stretch and the speed at which it stood, when both were logged together."""
    from_times, values = series
    first, last = np.searchsorted(from_times, start, "left"), np.searchsorted(from_times, end, "right")
    if first == last:
        return None, None
    top = first + int(np.argmax(values[first:last]))
    at_speed = at_times(from_times[top : top + 1], times, speed)[0]
    return float(values[top]), None if np.isnan(at_speed) else float(at_speed)


def find_pulls(log: Log) -> Search:
    times, speed = _in_order(log.series(SPEED))
    if not len(times):
        return Search([], "", 0)
    boosts, heats = _in_order(log.series("boost_kpa")), _in_order(log.series("exhaust_temperature_c"))
    mixture = _in_order(log.series("lambda_ratio"))
    full, judged_by = _full_load(log, times)
    pulls, short = [], 0
    for first, last in _stretches(full & (speed >= LEAST_SPEED_RPM), times):
        start, end = float(times[first]), float(times[last])
        if end - start < LEAST_SECONDS:
            short += 1
            continue
        stretch = speed[first : last + 1]
        boost, boost_at = _peak(boosts, start, end, times, speed)
        heat, heat_at = _peak(heats, start, end, times, speed)
        pulls.append(
            Pull(
                start,
                end,
                float(stretch.min()),
                float(stretch.max()),
                boost,
                boost_at,
                heat,
                heat_at,
                pull_figures(start, end, boosts, (times, speed), heats, mixture),
            )
        )
    return Search(pulls, judged_by, short)
