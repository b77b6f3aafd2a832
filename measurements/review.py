"""The owner's review: what became of every turbo with its pump setting, over all jobs that were handed over.

The database adds up each job, NumPy puts jobs together into pairings.
"""

from dataclasses import dataclass

import numpy as np
from django.db import connection
from numpy.typing import ArrayLike, NDArray

from measurements.models import Outcome
from measurements.outcomes import keep_missing_outcomes
from shop.models import Failure, Fitment, FollowUp, HandOver, JobCard, Vehicle
from sizing.models import Turbo

from .survival import Curve, Reading, TooFew, survival, survival_at

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
    def plunger_tenths(self) -> int:
        return round(self.plunger_mm * 10)

    @property
    def cooler_slug(self) -> str:
        return "cooler" if self.has_cooler else "none"

    @property
    def cooler_words(self) -> str:
        return "with cooler" if self.has_cooler else "no cooler"


@dataclass(frozen=True)
class Figure:
    """A total or an average, and of how many jobs it is known. None: of none."""

    value: float | None
    known: int
    lowest: float | None = None


@dataclass(frozen=True)
class Pairing:
    key: Key
    turbo_name: str
    fitted: int
    followed: int
    service_months: float
    running_h: Figure
    running_km: Figure
    failures: int
    other_failures: int
    gain_kw: Figure  # average of all that are known
    gain_pct: Figure
    in_hand_c: Figure  # average; the lowest is the one that came closest to its limit, or furthest beyond
    left: Reading | TooFew

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


# One row a job, added up by the database: far cheaper than fetching every call and every failure.
# `ended_on` is the first failure that counts. What the meter gained later is not running time of the pairing.
_CASES = """
WITH broken AS (
    SELECT job_id, max("on") AS last_on, min("on") FILTER (WHERE ends_pairing) AS ended_on,
           count(*) FILTER (WHERE ends_pairing) AS counted, count(*) FILTER (WHERE NOT ends_pairing) AS others
    FROM {failure} GROUP BY job_id
), broken_meter AS (
    SELECT own.job_id, max(own.meter_reading) AS reading
    FROM {failure} own JOIN broken ON broken.job_id = own.job_id
    WHERE broken.ended_on IS NULL OR own."on" <= broken.ended_on GROUP BY own.job_id
), heard AS (
    SELECT own.job_id, max(own."on") AS last_on,
           max(own.meter_reading)
               FILTER (WHERE broken.ended_on IS NULL OR own."on" <= broken.ended_on) AS reading
    FROM {follow_up} own LEFT JOIN broken ON broken.job_id = own.job_id GROUP BY own.job_id
)
SELECT fitted.job_id, fitted.turbo_id, fitted.plunger_diameter_mm, fitted.cooler_id,
       {days}, CASE WHEN broken.ended_on IS NOT NULL THEN 1 END,
       CASE vehicle.meter WHEN 'h' THEN 1 WHEN 'km' THEN 2 END,
       CASE WHEN heard.reading IS NULL OR broken_meter.reading > heard.reading
            THEN broken_meter.reading ELSE heard.reading END - handed.meter_reading,
       broken.counted, broken.others, outcome.job_id, outcome.exhaust_limit_c - outcome.exhaust_highest_c,
       outcome.power_before_kw, outcome.power_after_kw
FROM {fitment} fitted
JOIN {hand_over} handed ON handed.job_id = fitted.job_id
JOIN {job} job ON job.id = fitted.job_id
JOIN {vehicle} vehicle ON vehicle.id = job.vehicle_id
LEFT JOIN broken ON broken.job_id = fitted.job_id
LEFT JOIN broken_meter ON broken_meter.job_id = fitted.job_id
LEFT JOIN heard ON heard.job_id = fitted.job_id
LEFT JOIN {outcome} outcome ON outcome.job_id = fitted.job_id
WHERE job.stage = 'handed_over' AND (%(turbo)s IS NULL OR fitted.turbo_id = %(turbo)s) AND NOT EXISTS (
    SELECT 1 FROM {fitment} later WHERE later.job_id = fitted.job_id
    AND (later.at > fitted.at OR (later.at = fitted.at AND later.id > fitted.id))
)
"""
_COLUMNS = [
    "job", "turbo", "plunger_mm", "cooler", "end_days", "failed", "meter", "running", "counted", "others",
    "outcome", "in_hand_c", "power_before_kw", "power_after_kw",
]  # fmt: skip
HOURS, KILOMETRES = 1, 2
# Followed until the failure that ended the pairing, or else until last heard of: never until today.
_END = """COALESCE(broken.ended_on, CASE WHEN heard.last_on IS NULL OR broken.last_on > heard.last_on
                                THEN broken.last_on ELSE heard.last_on END)"""


def _sql() -> str:
    days = "julianday({}) - julianday({})" if connection.vendor == "sqlite" else "{} - {}"
    tables = {
        "failure": Failure, "follow_up": FollowUp, "fitment": Fitment, "job": JobCard, "hand_over": HandOver,
        "vehicle": Vehicle, "outcome": Outcome,
    }  # fmt: skip
    return _CASES.format(
        days=days.format(_END, 'handed."on"'),
        **{name: connection.ops.quote_name(model._meta.db_table) for name, model in tables.items()},
    )


def _columns(turbo: int | None) -> dict[str, NDArray[np.float64]]:
    with connection.cursor() as cursor:
        cursor.execute(_sql(), {"turbo": turbo})
        rows = cursor.fetchall()
    table = np.array(rows, dtype=np.float64).reshape(-1, len(_COLUMNS))  # an unknown becomes NaN
    return dict(zip(_COLUMNS, table.T, strict=True))


def cases(turbo: int | None = None) -> Cases:
    """Jobs handed over with a turbo fitted, all or those of one turbo, in a fixed number of queries."""
    of = _columns(turbo)
    if np.isnan(of["outcome"]).any():
        keep_missing_outcomes()
        of = _columns(turbo)
    end = of["end_days"]
    running = np.where(of["running"] < 0, np.nan, of["running"])  # meter changed or misread: not known
    gain_kw = of["power_after_kw"] - of["power_before_kw"]
    return Cases(
        job=of["job"].astype(np.int64),
        turbo=of["turbo"].astype(np.int64),
        plunger_mm=plunger_class_mm(of["plunger_mm"]),
        has_cooler=~np.isnan(of["cooler"]),
        followed=~np.isnan(end),
        failed=of["failed"] == 1,
        months=np.fmax(end, 0.0) / DAYS_A_MONTH,
        hours=np.where(of["meter"] == HOURS, running, np.nan),
        km=np.where(of["meter"] == KILOMETRES, running, np.nan),
        failures=np.nan_to_num(of["counted"]).astype(np.int64),
        other_failures=np.nan_to_num(of["others"]).astype(np.int64),
        in_hand_c=of["in_hand_c"],
        gain_kw=gain_kw,
        gain_pct=gain_kw / of["power_before_kw"] * 100.0,
    )


def group_of(found: Cases) -> tuple[list[Key], NDArray[np.int64]]:
    """The pairings there are, in order, and the number of its pairing for each job."""
    tenths = np.rint(found.plunger_mm * 10).astype(np.int64)
    marks = (found.turbo * 1000 + tenths) * 2 + found.has_cooler  # one number a pairing: sorts far faster
    unique, group = np.unique(marks, return_inverse=True)
    keys = [Key(mark // 2000, mark // 2 % 1000 / 10, bool(mark % 2)) for mark in unique.tolist()]
    return keys, group


class _Sums:
    """Totals of one figure for every pairing at once, leaving out what is not known."""

    def __init__(self, group: NDArray[np.int64], values: NDArray[np.float64], groups: int):
        known = ~np.isnan(values)
        self.known = np.bincount(group[known], minlength=groups)
        self.total = np.bincount(group[known], values[known], groups)
        self.lowest = np.full(groups, np.inf)
        np.minimum.at(self.lowest, group[known], values[known])

    def sum(self, i: int) -> Figure:
        return Figure(float(self.total[i]) if self.known[i] else None, int(self.known[i]))

    def mean(self, i: int) -> Figure:
        if not self.known[i]:
            return Figure(None, 0)
        return Figure(float(self.total[i] / self.known[i]), int(self.known[i]), float(self.lowest[i]))


_SUMMED = (
    "months", "hours", "km", "followed", "failures", "other_failures", "gain_kw", "gain_pct", "in_hand_c"
)  # fmt: skip


def pairings(found: Cases, at_months: float = 24.0) -> list[Pairing]:
    """Put jobs together by turbo, plunger class and cooler, with the survival at one time of each."""
    keys, group = group_of(found)
    count = len(keys)
    names = {turbo.pk: str(turbo) for turbo in Turbo.objects.filter(pk__in={key.turbo for key in keys})}
    followed = found.followed
    left = survival_at(at_months, group[followed], found.months[followed], found.failed[followed], count)
    sums = {name: _Sums(group, getattr(found, name).astype(np.float64), count) for name in _SUMMED}
    return [
        Pairing(
            key=key,
            turbo_name=names[key.turbo],
            fitted=int(sums["followed"].known[i]),
            followed=int(sums["followed"].total[i]),
            service_months=float(sums["months"].total[i]),
            running_h=sums["hours"].sum(i),
            running_km=sums["km"].sum(i),
            failures=int(sums["failures"].total[i]),
            other_failures=int(sums["other_failures"].total[i]),
            gain_kw=sums["gain_kw"].mean(i),
            gain_pct=sums["gain_pct"].mean(i),
            in_hand_c=sums["in_hand_c"].mean(i),
            left=left[i],
        )
        for i, key in enumerate(keys)
    ]


def curve_of(found: Cases, rows: NDArray[np.bool_]) -> Curve | TooFew:
    """Survival over months in service of those that were heard of, each until it was last heard of."""
    heard = rows & found.followed
    return survival(found.months[heard], found.failed[heard])
