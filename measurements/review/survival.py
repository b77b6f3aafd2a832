"""Survival of pairings: months in service and failures in, a curve with its interval or 'too few' out.

Pure: arrays in, frozen records out. Nothing here knows a job, a database or today's date.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import stats

METHOD = "Kaplan-Meier; 95 % interval by the log-log method with Greenwood's variance"
CONFIDENCE = 0.95
NORMAL_95 = float(stats.norm.ppf(0.5 + CONFIDENCE / 2))
# Below these a curve says more than is known (common practice: no curve from one or two failures).
LEAST_VEHICLES = 5
LEAST_FAILURES = 3


@dataclass(frozen=True)
class SurvivalAt:
    """What the curve says at one time. None where nobody was followed that long, or no interval exists."""

    time: float
    survival: float | None
    low: float | None
    high: float | None
    at_risk: int
    too_few: ClassVar[bool] = False

    @property
    def is_known(self) -> bool:
        return self.survival is not None


@dataclass(frozen=True)
class Curve:
    """A survival curve: one entry for each time at which a vehicle failed or was last heard of."""

    times: tuple[float, ...]
    survival: tuple[float, ...]
    low: tuple[float | None, ...]
    high: tuple[float | None, ...]
    at_risk: tuple[int, ...]  # just before each time
    failed: tuple[int, ...]
    vehicles: int
    failures: int
    method: str = METHOD
    too_few: ClassVar[bool] = False

    @property
    def last_time(self) -> float:
        return self.times[-1]

    def at(self, time: float) -> SurvivalAt:
        """The curve at a time, steps to the right.

        Takes:
            time: time in service, the unit of the curve
        Returns: unknown (None) beyond the last time at which anything was heard of anyone.
        Source: Kaplan and Meier 1958: the estimate is not defined beyond the last observation.
        """
        later = sum(n for t, n in zip(self.times, self._leaving(), strict=True) if t >= time)
        if time > self.last_time:
            return SurvivalAt(time, None, None, None, 0)
        before = [i for i, t in enumerate(self.times) if t <= time]
        if not before or self.survival[before[-1]] == 1.0:
            # No failure yet: the formula would give an interval of no width, which is not what is known.
            return SurvivalAt(time, 1.0, None, None, later)
        i = before[-1]
        return SurvivalAt(time, self.survival[i], self.low[i], self.high[i], later)

    def _leaving(self) -> list[int]:
        following = [*self.at_risk[1:], 0]
        return [a - b for a, b in zip(self.at_risk, following, strict=True)]

    def median(self) -> float | None:
        """Time at which half are left, or None where the curve does not come down to one half."""
        return next((t for t, s in zip(self.times, self.survival, strict=True) if s <= 0.5), None)


@dataclass(frozen=True)
class TooFew:
    """Why there is no curve."""

    vehicles: int
    failures: int
    too_few: ClassVar[bool] = True

    @property
    def words(self) -> str:
        if self.vehicles < LEAST_VEHICLES:
            vehicles = _counted(self.vehicles, "vehicle")
            return f"Too few to say: {vehicles} followed. A curve needs at least {LEAST_VEHICLES}."
        failures = f"{_counted(self.failures, 'failure')} that count{'s' if self.failures == 1 else ''}"
        return (
            f"Too few to say: {failures} among {self.vehicles} vehicles followed. "
            f"A curve needs at least {LEAST_FAILURES}."
        )


def _counted(count: int, noun: str) -> str:
    return f"{count or 'no'} {noun}{'' if count == 1 else 's'}"


@dataclass(frozen=True)
class Comparison:
    """Log-rank test of two groups: chi-square on one degree of freedom, and the p-value."""

    chi_square: float
    p_value: float


def _checked(months: ArrayLike, failed: ArrayLike) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    times = np.asarray(months, dtype=np.float64)
    ends = np.asarray(failed, dtype=bool)
    if times.ndim != 1 or times.shape != ends.shape:
        raise ValueError(f"months and failed must be lists of one length; got {times.shape} and {ends.shape}")
    if times.size and (not np.all(np.isfinite(times)) or float(times.min()) < 0):
        raise ValueError("months in service must be finite and not negative")
    return times, ends


def survival(months: ArrayLike, failed: ArrayLike) -> Curve | TooFew:
    """Survival curve of vehicles that failed, or were last heard of while still running.

    Takes:
        months: time in service until failure or until last heard of, shape (n,) [months]
        failed: True where that time ended in a failure, shape (n,) [-]
    Returns: TooFew for fewer than 5 vehicles or fewer than 3 failures.
    Raises: ValueError if the lists differ in length, or a time is negative or not finite.
    Source: Kaplan and Meier 1958 with the log-log interval, as in `scipy.stats.ecdf`. A vehicle last heard of at the
        time of a failure still counts as at risk then.

    >>> curve = survival([6, 6, 6, 7, 10, 11], [True, True, True, True, False, False])
    >>> round(curve.at(6).survival, 2), curve.at(6).at_risk
    (0.5, 6)
    >>> survival([3, 4], [True, False]).words
    'Too few to say: 2 vehicles followed. A curve needs at least 5.'
    """
    times, ends = _checked(months, failed)
    if times.size < LEAST_VEHICLES or int(ends.sum()) < LEAST_FAILURES:
        return TooFew(vehicles=int(times.size), failures=int(ends.sum()))
    curve = stats.ecdf(stats.CensoredData(uncensored=times[ends], right=times[~ends])).sf
    with warnings.catch_warnings():
        # Where none or all have failed the interval does not exist; it is given back as None.
        warnings.simplefilter("ignore", RuntimeWarning)
        interval = curve.confidence_interval(confidence_level=CONFIDENCE, method="log-log")
    at = curve.quantiles
    return Curve(
        times=tuple(float(t) for t in at),
        survival=tuple(float(s) for s in curve.probabilities),
        low=_known(interval.low.probabilities),
        high=_known(interval.high.probabilities),
        at_risk=tuple(int((times >= t).sum()) for t in at),
        failed=tuple(int((ends & (times == t)).sum()) for t in at),
        vehicles=int(times.size),
        failures=int(ends.sum()),
    )


def _known(values: Sequence[float] | NDArray[np.float64]) -> tuple[float | None, ...]:
    return tuple(float(v) if np.isfinite(v) else None for v in values)


def survival_at(
    time: float, group: ArrayLike, months: ArrayLike, failed: ArrayLike, groups: int
) -> list[SurvivalAt | TooFew]:
    """What the curve of each of many groups says at one time, without drawing any of the curves.

    Takes:
        time: time in service at which to read [months]
        group: number of the group of each vehicle, 0 to groups - 1, shape (n,) [-]
        months, failed: as for `survival`, shape (n,)
        groups: how many groups there are
    Returns: one for each group: the same as `survival(...).at(time)` of that group alone.
    Raises: ValueError if the lists differ in length, or a time is negative or not finite.
    Source: As for `survival`: product of (1 - d/n), Greenwood's sum of d / (n (n - d)), interval of log(-log S).

    >>> one, other = survival_at(6, [0, 0, 0, 0, 0, 1], [6, 6, 6, 7, 10, 1], [True] * 5 + [False], 2)
    >>> round(one.survival, 2), other.too_few
    (0.4, True)
    """
    times, ends = _checked(months, failed)
    member = np.asarray(group, dtype=np.int64)
    vehicles, failures = np.bincount(member, minlength=groups), np.bincount(member[ends], minlength=groups)
    order = np.lexsort((times, member))
    member, times, ends = member[order], times[order], ends[order]
    is_first = np.ones(times.size, dtype=bool)
    is_first[1:] = (member[1:] != member[:-1]) | (times[1:] != times[:-1])
    starts = np.flatnonzero(is_first)
    at_risk = (np.cumsum(vehicles)[member] - np.arange(times.size))[starts]
    died = np.add.reduceat(ends.astype(np.int64), starts) if times.size else np.empty(0, dtype=np.int64)
    of, step_time = member[starts], times[starts]
    within = (step_time <= time) & (died > 0)
    with np.errstate(divide="ignore"):
        log_steps = np.log1p(-died[within] / at_risk[within])
        greenwood = died[within] / (at_risk[within] * (at_risk[within] - died[within]))
    log_survival = np.bincount(of[within], log_steps, groups)
    spread = np.sqrt(np.bincount(of[within], greenwood, groups))
    still = np.bincount(member[times >= time], minlength=groups)
    found: list[SurvivalAt | TooFew] = []
    for i in range(groups):
        if vehicles[i] < LEAST_VEHICLES or failures[i] < LEAST_FAILURES:
            found.append(TooFew(int(vehicles[i]), int(failures[i])))
        elif still[i] == 0:
            found.append(SurvivalAt(time, None, None, None, 0))
        else:
            low, high = _interval(float(log_survival[i]), float(spread[i]))
            found.append(SurvivalAt(time, math.exp(log_survival[i]), low, high, int(still[i])))
    return found


def _interval(log_survival: float, spread: float) -> tuple[float | None, float | None]:
    if log_survival == 0.0 or not math.isfinite(log_survival):
        return None, None
    factor = math.exp(NORMAL_95 * spread / -log_survival)
    return math.exp(log_survival * factor), math.exp(log_survival / factor)


def compare_survival(
    months: ArrayLike, failed: ArrayLike, other_months: ArrayLike, other_failed: ArrayLike
) -> Comparison | TooFew:
    """Log-rank test: do two groups of vehicles fail at different rates?

    Takes:
        months, other_months: time in service of each group, shapes (n,) and (m,) [months]
        failed, other_failed: True where that time ended in a failure, same shapes [-]
    Returns: TooFew where either group is too small for a curve of its own.
    Raises: ValueError if lists differ in length, or a time is negative or not finite.
    Source: Mantel 1966, as in `scipy.stats.logrank`, whose statistic is the root of the chi-square. The example by
        hand: 5 observed in the first group, 1.772 expected, variance 1.074.

    >>> result = compare_survival([1, 2, 3, 4, 5], [True] * 5, [6, 7, 8, 9, 10], [True] * 5)
    >>> round(result.chi_square, 1)
    9.7
    """
    groups = [_checked(months, failed), _checked(other_months, other_failed)]
    for times, ends in groups:
        if times.size < LEAST_VEHICLES or int(ends.sum()) < LEAST_FAILURES:
            return TooFew(vehicles=int(times.size), failures=int(ends.sum()))
    one, other = (stats.CensoredData(uncensored=t[e], right=t[~e]) for t, e in groups)
    result = stats.logrank(one, other)
    return Comparison(chi_square=float(result.statistic) ** 2, p_value=float(result.pvalue))
