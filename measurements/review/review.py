"""The owner's review: what became of every turbo with its pump setting, over all jobs that were handed over.

Each job is added up once and kept as its outcome; here NumPy puts jobs together into pairings.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from measurements.review.models import Outcome
from measurements.review.outcomes import PLUNGER_STEP_MM, TOGETHER, keep_missing_outcomes, missing_outcomes
from measurements.review.survival import Curve, SurvivalAt, TooFew, survival, survival_at
from sizing.catalogue.models import Turbo

DAYS_A_MONTH = 365.25 / 12


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
    left: SurvivalAt | TooFew

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


_COLUMNS = [
    "job", "turbo", "plunger_mm", "has_cooler", "days", "failed", "hours", "km", "failures", "other_failures",
    "in_hand_c", "power_before_kw", "power_after_kw",
]  # fmt: skip


def cases(turbo: int | None = None) -> Cases:
    """Jobs handed over with a turbo fitted, all or those of one turbo, in a fixed number of queries.

    Where the outcomes of many are missing it holds those that are kept; the worker sees to the others.
    """
    if 0 < missing_outcomes() <= TOGETHER:
        keep_missing_outcomes()
    kept = Outcome.objects.order_by()
    kept = kept.exclude(turbo=None) if turbo is None else kept.filter(turbo=turbo)
    table = np.array(list(kept.values_list(*_COLUMNS)), dtype=np.float64)  # an unknown becomes NaN
    of = dict(zip(_COLUMNS, table.reshape(-1, len(_COLUMNS)).T, strict=True))
    gain_kw = of["power_after_kw"] - of["power_before_kw"]
    return Cases(
        job=of["job"].astype(np.int64),
        turbo=of["turbo"].astype(np.int64),
        plunger_mm=of["plunger_mm"],
        has_cooler=of["has_cooler"] == 1,
        followed=~np.isnan(of["days"]),
        failed=of["failed"] == 1,
        months=np.nan_to_num(of["days"]) / DAYS_A_MONTH,
        hours=of["hours"],
        km=of["km"],
        failures=of["failures"].astype(np.int64),
        other_failures=of["other_failures"].astype(np.int64),
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
