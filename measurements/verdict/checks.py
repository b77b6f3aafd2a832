"""Judging what was measured against a plan: one of four verdicts and the figures it stands on. Pure.

Nothing here knows a database, a request or a unit that a shop has chosen: values are in stored units. `telling` makes
the sentence.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sizing.physics.limits.values import NEAR, OFF, ON, STOP, Direction, judge
from sizing.said import Said

ORDER = ("", ON, NEAR, OFF, STOP)

FULL_LOAD_PCT = 95.0  # from here on a point counts as full load, which is what a plan speaks of

# How far outside the plan's band is still only "near the edge": share of the plan value, and a least step in the
# stored unit. Half of it still counts as on plan, since no plan is more exact than that. Common practice.
TOLERANCE = {
    "boost_kpa": (0.08, 5.0),
    "exhaust_temperature_c": (0.05, 20.0),
    "charge_temperature_c": (0.10, 8.0),
    "lambda_ratio": (0.06, 0.05),
    "torque_nm": (0.05, 3.0),
    "power_kw": (0.05, 1.0),
    "fuel_flow_l_h": (0.06, 0.3),
}
DEFAULT_TOLERANCE = (0.05, 0.0)

# Where a reading has to be taken to be compared with the plan; "" is a place that was not said.
COMPARABLE_PLACES = {
    "exhaust_temperature_c": {"before_turbine", "exhaust_port", ""},
    "charge_temperature_c": {"intake_manifold", "after_cooler", ""},
    "boost_kpa": {"intake_manifold", "after_cooler", "after_compressor", ""},
    "torque_nm": {"flywheel", ""},
    "power_kw": {"flywheel", ""},
}
# The gas gives work to the turbine and is about this much cooler behind it at full load. Common practice.
TURBINE_DROP_C = 150.0


@dataclass(frozen=True)
class Limit:
    """A bound that a measured value must not pass, and how far past it the engine is in danger at once."""

    quantity: str
    value: float
    source: str | Said  # as a person wrote it, or by code
    direction: Direction = "max"
    edge: float = 0.0
    stop_beyond: float | None = None

    @property
    def stop_value(self) -> float | None:
        if self.stop_beyond is None:
            return None
        return self.value + self.stop_beyond if self.direction == "max" else self.value - self.stop_beyond

    def past(self, value: float) -> float:
        """How far a value stands beyond this limit; negative while something is in hand."""
        return value - self.value if self.direction == "max" else self.value - value


@dataclass(frozen=True)
class Measured:
    quantity: str
    value: float
    place: str = ""
    uncertainty: float | None = None  # plus or minus, None when nobody knows


@dataclass(frozen=True)
class Finding:
    measured: Measured
    word: str
    band: tuple[float, float] | None = None  # what the plan expects here
    difference: float | None = None  # to the nearer end of the band, 0 inside
    limit: Limit | None = None
    limit_word: str = ""  # what the limit alone says
    note: str = ""  # code of what has to be said beside it

    @property
    def quantity(self) -> str:
        return self.measured.quantity

    @property
    def beyond(self) -> bool:
        return self.limit is not None and self.limit.past(self.measured.value) > 0

    @property
    def side(self) -> str:
        """'low', 'high' or 'inside' as seen from the plan; empty when there is nothing to compare with."""
        if self.difference is None:
            return ""
        return "low" if self.difference < 0 else "high" if self.difference > 0 else "inside"


def worst(words: Iterable[str]) -> str:
    return max(words, key=ORDER.index, default="")


def tolerance_of(quantity: str, value: float) -> float:
    share, least = TOLERANCE.get(quantity, DEFAULT_TOLERANCE)
    return max(share * abs(value), least)


def against_limit(measured: Measured, limit: Limit) -> str:
    return judge(
        measured.value, limit.value, measured.uncertainty or 0.0, limit.direction, limit.edge, limit.stop_beyond
    )


def against_band(measured: Measured, band: tuple[float, float]) -> tuple[str, float]:
    """The word and the signed distance to the nearer end of what the plan expects."""
    low, high = band
    difference = min(measured.value - low, 0.0) or max(measured.value - high, 0.0)
    if difference == 0:
        return ON, 0.0
    tolerance = tolerance_of(measured.quantity, low if difference < 0 else high)
    if abs(difference) <= tolerance / 2:
        return ON, difference
    return (NEAR if abs(difference) <= max(tolerance, measured.uncertainty or 0.0) else OFF), difference


def _after_turbine(measured: Measured, limit: Limit | None) -> Finding:
    """Behind the turbine the gas is cooler, so the limit before it is passed earlier than this reading shows."""
    note = "note.after_turbine"
    if limit is None:
        return Finding(measured, "", note=note)
    word = against_limit(measured, limit)
    if word == ON:
        word = NEAR if measured.value + TURBINE_DROP_C > limit.value else ""
    return Finding(measured, word, limit=limit, limit_word=word, note=note)


def _usable_band(
    measured: Measured, band: tuple[float, float] | None, load_pct: float
) -> tuple[tuple[float, float] | None, str]:
    """The band, unless the reading was taken where or when the plan does not speak of it; then why not."""
    if band is None:
        return None, ""
    if measured.place not in COMPARABLE_PLACES.get(measured.quantity, {measured.place}):
        return None, "note.place"
    if load_pct >= FULL_LOAD_PCT:
        return band, ""
    if measured.value > band[1]:  # less is natural at part load, more than at full load is not
        return band, "note.part_load_more"
    return None, "note.part_load"


def judge_reading(
    measured: Measured, band: tuple[float, float] | None, limits: Iterable[Limit], load_pct: float = 100.0
) -> Finding:
    """Judge one value against the plan's band at this speed and against every limit of its quantity.

    >>> judge_reading(Measured("boost_kpa", 62.0), (75.0, 85.0), []).word
    'off_plan'
    >>> judge_reading(Measured("boost_kpa", 80.0, uncertainty=2.0), (75.0, 85.0), []).word
    'on_plan'
    """
    limit = next((x for x in limits if x.quantity == measured.quantity), None)
    if measured.quantity == "exhaust_temperature_c" and measured.place == "after_turbine":
        return _after_turbine(measured, limit)
    limit_word = against_limit(measured, limit) if limit else ""
    band, note = _usable_band(measured, band, load_pct)
    if band is None:
        return Finding(measured, limit_word, None, None, limit, limit_word, note)
    band_word, difference = against_band(measured, band)
    return Finding(measured, worst([limit_word, band_word]), band, difference, limit, limit_word, note)


def judge_point(
    values: Iterable[Measured],
    bands: Mapping[str, tuple[float, float]],
    limits: Iterable[Limit],
    load_pct: float = 100.0,
) -> list[Finding]:
    """All readings of one stop on the sheet, the worst first."""
    limits = list(limits)
    findings = [judge_reading(m, bands.get(m.quantity), limits, load_pct) for m in values]
    return sorted(findings, key=lambda f: -ORDER.index(f.word))
