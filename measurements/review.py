"""The owner's review: what became of every turbo with its pump setting, over all jobs that were handed over.

The database adds up each job (a fixed number of queries), NumPy puts jobs together into pairings.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

import numpy as np
from django.db.models import Max, Q
from numpy.typing import ArrayLike, NDArray

from measurements.models import Outcome
from measurements.outcomes import keep_missing_outcomes
from shop.models import Failure, Fitment, FollowUp
from sizing.models import Turbo

from .survival import Curve, TooFew, survival

DAYS_A_MONTH = 365.25 / 12
PLUNGER_STEP_MM = 0.5


@dataclass(frozen=True, order=True)
class Key:
    """A pairing: a turbo with a pump setting."""

    turbo: int
    plunger_mm: float  # middle of a class 0.5 mm wide
    has_cooler: bool

    @property
    def low_mm(self) -> float:
        return self.plunger_mm - PLUNGER_STEP_MM / 2

    @property
    def high_mm(self) -> float:
        return self.plunger_mm + PLUNGER_STEP_MM / 2

    @property
    def cooler_words(self) -> str:
        return "with cooler" if self.has_cooler else "no cooler"


@dataclass(frozen=True)
class Sum:
    """A total or a typical value, and of how many jobs it is known."""

    value: float | None
    known: int
    lowest: float | None = None
    highest: float | None = None


@dataclass(frozen=True)
class Pairing:
    key: Key
    turbo_name: str
    fitted: int
    followed: int
    service_months: float
    running_h: Sum
    running_km: Sum
    failures: int
    other_failures: int
    gain_kw: Sum  # middle value of all that are known
    gain_pct: Sum
    in_hand_c: Sum  # middle value; lowest is the one closest to its limit
    curve: Curve | TooFew

    @property
    def name(self) -> str:
        return f"{self.turbo_name}, {self.key.plunger_mm:.1f} mm plunger, {self.key.cooler_words}"


@dataclass
class Cases:
    """One entry for each job that was handed over with a turbo fitted; NaN where something is not known."""

    job: NDArray[np.int64]
    turbo: NDArray[np.int64]
    plunger_mm: NDArray[np.float64]
    has_cooler: NDArray[np.bool_]
    followed: NDArray[np.bool_]
    failed: NDArray[np.bool_]
    months: NDArray[np.float64]
    hours: NDArray[np.float64]
    km: NDArray[np.float64]
    failures: NDArray[np.int64]
    other_failures: NDArray[np.int64]
    in_hand_c: NDArray[np.float64]
    gain_kw: NDArray[np.float64]
    gain_pct: NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.job)


def plunger_class_mm(diameter_mm: ArrayLike) -> NDArray[np.float64]:
    """The 0.5 mm class that a plunger belongs to, by its middle: 5.75 up to 6.25 is 6.0."""
    return np.floor(np.asarray(diameter_mm, dtype=np.float64) / PLUNGER_STEP_MM + 0.5) * PLUNGER_STEP_MM


def _fitted(turbo: int | None) -> list[tuple]:
    """The last fitment of each job that was handed over."""
    rows = Fitment.objects.filter(job__stage="handed_over", job__hand_over__isnull=False)
    if turbo is not None:
        rows = rows.filter(job__in=Fitment.objects.filter(turbo=turbo).values("job"))
    columns = rows.order_by("at", "pk").values_list(
        "job", "turbo", "plunger_diameter_mm", "cooler",
        "job__hand_over__on", "job__hand_over__meter_reading", "job__vehicle__meter",
    )  # fmt: skip
    last = {row[0]: row for row in columns.iterator(5000)}
    return [row for row in last.values() if turbo is None or row[1] == turbo]


@dataclass
class _Heard:
    """What was heard of each job after hand-over, up to the failure that ended its pairing."""

    last_on: dict[int, date]
    ended_on: dict[int, date]
    meter: dict[int, float]
    counted: dict[int, int]
    others: dict[int, int]

    def meets(self, job: int, on: date, meter_reading: float | None) -> None:
        """Take in a meter reading, unless it was read after the pairing had ended."""
        if meter_reading is not None and (job not in self.ended_on or on <= self.ended_on[job]):
            self.meter[job] = max(meter_reading, self.meter.get(job, meter_reading))


def _heard(turbo: int | None) -> _Heard:
    mine = Q() if turbo is None else Q(job__in=Fitment.objects.filter(turbo=turbo).values("job"))
    calls = FollowUp.objects.filter(mine).order_by()
    by_job = list(calls.values_list("job").annotate(Max("on"), Max("meter_reading")).iterator(5000))
    failures = list(
        Failure.objects.filter(mine).order_by("-on").values_list("job", "on", "meter_reading", "ends_pairing")
    )
    heard = _Heard({job: on for job, on, _ in by_job}, {}, {}, {}, {})
    for job, on, _, counts in failures:  # newest first, so that the first end is the one that stays
        heard.last_on[job] = max(on, heard.last_on.get(job, on))
        if counts:
            heard.ended_on[job] = on
        tally = heard.counted if counts else heard.others
        tally[job] = tally.get(job, 0) + 1
    for job, on, meter_reading, _ in failures:
        heard.meets(job, on, meter_reading)
    for job, on, meter_reading in by_job:
        if job not in heard.ended_on:
            heard.meets(job, on, meter_reading)
    ended = Failure.objects.filter(mine, ends_pairing=True).values("job")
    for row in calls.filter(job__in=ended).values_list("job", "on", "meter_reading"):
        heard.meets(*row)
    return heard


def _outcomes(turbo: int | None) -> dict[int, tuple]:
    rows = Outcome.objects.order_by()
    if turbo is not None:
        rows = rows.filter(job__in=Fitment.objects.filter(turbo=turbo).values("job"))
    columns = ["pk", "exhaust_limit_c", "exhaust_highest_c", "power_before_kw", "power_after_kw"]
    return {pk: figures for pk, *figures in rows.values_list(*columns).iterator(5000)}


def cases(turbo: int | None = None) -> Cases:
    """Jobs handed over with a turbo fitted, all or those of one turbo, in a fixed number of queries."""
    keep_missing_outcomes()
    fitted, heard, outcomes = _fitted(turbo), _heard(turbo), _outcomes(turbo)
    jobs = [row[0] for row in fitted]
    meters = [row[6] for row in fitted]
    run = _floats((heard.meter.get(row[0]), row[5]) for row in fitted)
    running = run[:, 0] - run[:, 1]
    running[running < 0] = np.nan  # the meter was changed, or one of the two was misread: not known
    figures = _floats(outcomes.get(job, (None,) * 4) for job in jobs)
    gain_kw = figures[:, 3] - figures[:, 2]
    end = _days(heard.ended_on.get(job) or heard.last_on.get(job) for job in jobs)
    days = (end - _days(row[4] for row in fitted)).astype("timedelta64[D]").astype(np.float64)
    followed = ~np.isnat(end)
    return Cases(
        job=np.array(jobs, dtype=np.int64),
        turbo=np.array([row[1] for row in fitted], dtype=np.int64),
        plunger_mm=plunger_class_mm([row[2] for row in fitted]),
        has_cooler=np.array([row[3] is not None for row in fitted], dtype=bool),
        followed=followed,
        failed=np.array([job in heard.ended_on for job in jobs], dtype=bool),
        months=np.where(followed, np.maximum(days, 0.0) / DAYS_A_MONTH, 0.0),
        hours=np.where([meter == "h" for meter in meters], running, np.nan),
        km=np.where([meter == "km" for meter in meters], running, np.nan),
        failures=np.array([heard.counted.get(job, 0) for job in jobs], dtype=np.int64),
        other_failures=np.array([heard.others.get(job, 0) for job in jobs], dtype=np.int64),
        in_hand_c=figures[:, 0] - figures[:, 1],
        gain_kw=gain_kw,
        gain_pct=gain_kw / figures[:, 2] * 100.0,
    )


def _days(values: Iterable[date | None]) -> NDArray[np.datetime64]:
    return np.array(["NaT" if value is None else value for value in values], dtype="datetime64[D]")


def _floats(rows: Iterable[tuple]) -> NDArray[np.float64]:
    """A table of numbers with NaN where something is not known."""
    listed = [[np.nan if value is None else value for value in row] for row in rows]
    return np.array(listed, dtype=np.float64) if listed else np.empty((0, 4))


def _total(values: NDArray[np.float64]) -> Sum:
    known = values[~np.isnan(values)]
    return Sum(float(known.sum()) if known.size else None, int(known.size))


def _middle(values: NDArray[np.float64]) -> Sum:
    known = values[~np.isnan(values)]
    if not known.size:
        return Sum(None, 0)
    return Sum(float(np.median(known)), int(known.size), float(known.min()), float(known.max()))


def curve_of(found: Cases, rows: NDArray) -> Curve | TooFew:
    """Survival over months in service of those that were heard of, each until it was last heard of."""
    heard = rows[found.followed[rows]]
    return survival(found.months[heard], found.failed[heard])


def pairings(found: Cases) -> list[Pairing]:
    """Put jobs together by turbo, plunger class and cooler."""
    names = {turbo.pk: str(turbo) for turbo in Turbo.objects.filter(pk__in=np.unique(found.turbo).tolist())}
    order = np.lexsort((found.has_cooler, found.plunger_mm, found.turbo))
    keys = np.stack([found.turbo[order], found.plunger_mm[order], found.has_cooler[order]], axis=1)
    starts = np.flatnonzero(np.any(keys[1:] != keys[:-1], axis=1)) + 1
    groups = np.split(order, starts) if len(order) else []
    return [_pairing(found, rows, names) for rows in groups]


def _pairing(found: Cases, rows: NDArray, names: dict[int, str]) -> Pairing:
    first = rows[0]
    key = Key(int(found.turbo[first]), float(found.plunger_mm[first]), bool(found.has_cooler[first]))
    return Pairing(
        key=key,
        turbo_name=names[key.turbo],
        fitted=len(rows),
        followed=int(found.followed[rows].sum()),
        service_months=float(found.months[rows].sum()),
        running_h=_total(found.hours[rows]),
        running_km=_total(found.km[rows]),
        failures=int(found.failures[rows].sum()),
        other_failures=int(found.other_failures[rows].sum()),
        gain_kw=_middle(found.gain_kw[rows]),
        gain_pct=_middle(found.gain_pct[rows]),
        in_hand_c=_middle(found.in_hand_c[rows]),
        curve=curve_of(found, rows),
    )
