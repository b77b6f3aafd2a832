"""Before and after: readings paired by speed and load, full-load curves over each other, and what makes them unlike. Pure."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

SPEED_APART_PCT = 5.0  # stops closer than this count as the same step
LOAD_APART_PCT = 5.0
AIR_APART_C, AIR_APART_KPA = 5.0, 1.0  # beyond it the air of the two days is said to differ


@dataclass(frozen=True)
class Value:
    """One reading with what its gauge can be trusted with (None: nobody knows)."""

    value: float
    uncertainty: float | None = None
    place: str = ""
    word: str = ""


@dataclass(frozen=True)
class ComparedStop:
    """One stop on the sheet, as far as a comparison needs it."""

    speed_rpm: float
    load_pct: float
    values: dict[str, Value]
    air_temperature_c: float | None = None
    air_pressure_kpa: float | None = None


@dataclass(frozen=True)
class Difference:
    quantity: str
    before: Value | None
    after: Value | None

    @property
    def value(self) -> float | None:
        return self.after.value - self.before.value if self.before and self.after else None

    @property
    def uncertainty(self) -> float | None:
        """Both gauges together, as independent: root of the sum of squares. None when one is not known."""
        if not self.before or not self.after or self.before.uncertainty is None or self.after.uncertainty is None:
            return None
        return math.hypot(self.before.uncertainty, self.after.uncertainty)

    @property
    def is_lost_in_gauges(self) -> bool:
        return self.value is not None and self.uncertainty is not None and abs(self.value) <= self.uncertainty

    @property
    def places_differ(self) -> bool:
        return bool(self.before and self.after and self.before.place != self.after.place)


@dataclass(frozen=True)
class Pair:
    before: ComparedStop | None
    after: ComparedStop | None
    differences: list[Difference]
    unlike: list[str]

    @property
    def stop(self) -> ComparedStop:
        return self.after or self.before  # type: ignore[return-value]


def _apart(a: ComparedStop, b: ComparedStop) -> float | None:
    """How far two stops lie from each other, or None when they are not the same step."""
    if abs(a.load_pct - b.load_pct) > LOAD_APART_PCT:
        return None
    share = 100.0 * abs(a.speed_rpm - b.speed_rpm) / max(a.speed_rpm, b.speed_rpm, 1.0)
    return share if share <= SPEED_APART_PCT else None


def _unlike(before: ComparedStop, after: ComparedStop) -> list[str]:
    said = []
    if before.speed_rpm != after.speed_rpm:
        said.append(f"held at {before.speed_rpm:.0f} rpm before and {after.speed_rpm:.0f} rpm after")
    for name, apart, unit, label in (
        ("air_temperature_c", AIR_APART_C, "°C", "air temperature"),
        ("air_pressure_kpa", AIR_APART_KPA, "kPa", "air pressure"),
    ):
        one, other = getattr(before, name), getattr(after, name)
        if one is None or other is None:
            said.append(
                f"{label} was not noted {'on both days' if one is None and other is None else 'before' if one is None else 'after'}"
            )
        elif abs(one - other) > apart:
            said.append(f"{label} {one:g} {unit} before and {other:g} {unit} after")
    return said


def _pair(before: ComparedStop | None, after: ComparedStop | None, order: Sequence[str]) -> Pair:
    slugs = {*(before.values if before else ()), *(after.values if after else ())}
    rows = [
        Difference(s, before.values.get(s) if before else None, after.values.get(s) if after else None)
        for s in order if s in slugs
    ]  # fmt: skip
    return Pair(before, after, rows, _unlike(before, after) if before and after else [])


def pairs(before: Iterable[ComparedStop], after: Iterable[ComparedStop], order: Sequence[str]) -> list[Pair]:
    """Each stop after with the nearest one before, each used once; then those that found no partner."""
    left, found = list(before), []
    for stop in sorted(after, key=lambda s: (-s.load_pct, s.speed_rpm)):
        near = [(apart, i) for i, other in enumerate(left) if (apart := _apart(other, stop)) is not None]
        partner = left.pop(min(near)[1]) if near else None
        found.append(_pair(partner, stop, order))
    found += [_pair(stop, None, order) for stop in left]
    return sorted(found, key=lambda p: (-p.stop.load_pct, p.stop.speed_rpm))


@dataclass(frozen=True)
class CurveGain:
    """Two full-load curves at the speeds of the first that both cover; between points the second is drawn straight."""

    speeds_rpm: np.ndarray
    before_nm: np.ndarray
    after_nm: np.ndarray

    @property
    def gain_pct(self) -> np.ndarray:
        return 100.0 * (self.after_nm / self.before_nm - 1.0)


def curve_gain(before: Sequence[tuple[float, float]], after: Sequence[tuple[float, float]]) -> CurveGain | None:
    """Torque before and after at common speeds; None where the two curves have no speed in common.

    >>> gain = curve_gain([(1000, 100.0), (2000, 120.0)], [(1000, 130.0), (3000, 150.0)])
    >>> gain.after_nm.tolist(), gain.gain_pct.round(1).tolist()
    ([130.0, 140.0], [30.0, 16.7])
    """
    first, second = np.array(sorted(before), dtype=float), np.array(sorted(after), dtype=float)
    inside = (first[:, 0] >= second[0, 0]) & (first[:, 0] <= second[-1, 0]) & (first[:, 1] > 0)
    if not inside.any():
        return None
    speeds = first[inside, 0]
    return CurveGain(speeds, first[inside, 1], np.interp(speeds, second[:, 0], second[:, 1]))
