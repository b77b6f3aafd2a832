"""Limits of a turbocharged engine: usual values with their source, and the four verdicts."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from sizing.physics.engine.breathing import check_injection
from sizing.physics.errors import Floats, require
from sizing.physics.ranges import Span, takes

Verdict = Literal["on_plan", "near_edge", "off_plan", "stop"]
ON: Final = "on_plan"
NEAR: Final = "near_edge"
OFF: Final = "off_plan"
STOP: Final = "stop"
Direction = Literal["max", "min"]
WORST_FIRST: tuple[Verdict, ...] = (STOP, OFF, NEAR, ON)
PRACTICE = "common practice"


@dataclass(frozen=True)
class LimitDefault:
    """One limit: usual value, where it comes from, and why it exists.

    `edge` is the margin under which a value is called near the edge; `stop_beyond` how far past
    the limit work must stop (None: it is never a reason to stop at once). `indirect` and
    `uncooled` hold the value where it differs for that kind of engine.
    """

    label: str
    value: float
    unit: str
    direction: Direction
    edge: float
    source: str
    why: str
    result: str
    stop_beyond: float | None = None
    indirect: float | None = None
    uncooled: float | None = None
    low: float = 0.0
    high: float = 1e6


DEFAULTS: dict[str, LimitDefault] = {
    "lambda_min_ratio": LimitDefault(
        "Lambda",
        1.30,
        "",
        "min",
        0.08,
        "Direct injection smokes above an equivalence ratio of 0.70 to 0.80 (textbook range, from "
        "memory); a swirl chamber uses its air better: " + PRACTICE,
        "Less air than this for the fuel makes black smoke, heat and soot in the oil.",
        "lambda_ratio",
        indirect=1.20,
        low=1.0,
        high=4.0,
    ),
    "boost_max_kpa": LimitDefault(
        "Boost",
        150.0,
        "kPa",
        "max",
        10.0,
        PRACTICE + ": about 1.4 bar runs well with a cooler, 1.2 to 1.3 bar without one",
        "An engine built without a turbo has gasket, studs and pistons for less pressure.",
        "boost_kpa",
        stop_beyond=30.0,
        uncooled=135.0,
        low=10.0,
        high=400.0,
    ),
    "exhaust_temperature_max_c": LimitDefault(
        "Exhaust temperature before turbine",
        700.0,
        "°C",
        "max",
        30.0,
        PRACTICE + ": 650 to 720 °C held for long before the turbine (from memory)",
        "Pistons, valves, manifold and turbine wheel lose their strength above it.",
        "exhaust_temperature_c",
        stop_beyond=50.0,
        low=400.0,
        high=900.0,
    ),
    "charge_temperature_max_c": LimitDefault(
        "Charge temperature",
        80.0,
        "°C",
        "max",
        10.0,
        PRACTICE + ": 50 to 80 °C behind a cooler; without one, boost is held so low that the charge stays near 150 °C",
        "Hot charge is thin charge: less air, hotter exhaust, hotter pistons.",
        "charge_temperature_c",
        stop_beyond=40.0,
        uncooled=150.0,
        low=20.0,
        high=220.0,
    ),
    "mean_pressure_max_kpa": LimitDefault(
        "Mean pressure",
        1400.0,
        "kPa",
        "max",
        100.0,
        PRACTICE + ": about twice what the engine was built for; a plunger of 7 to 7.5 mm in place of "
        "5.5 to 6 mm with 1.4 bar of boost comes to 1250 to 1400 kPa",
        "Torque loads rods, bearings, clutch and gearbox in the same measure.",
        "mean_pressure_kpa",
        low=300.0,
        high=3000.0,
    ),
    "peak_pressure_max_bar": LimitDefault(
        "Peak cylinder pressure",
        165.0,
        "bar",
        "max",
        15.0,
        "Estimate: nobody measures it in a workshop. The limit is what this calculation gives for engines "
        "that run well by " + PRACTICE + " at 1.4 bar of boost; a higher compression ratio adds to it",
        "Head gasket, studs and piston pins carry it at every stroke.",
        "peak_pressure_bar",
        stop_beyond=30.0,
        indirect=180.0,
        low=60.0,
        high=250.0,
    ),
}


@dataclass(frozen=True)
class Limits:
    """Limits of one plan. The values as written are the usual ones for direct injection with a cooler;
    `usual_limits` gives those of another engine."""

    lambda_min_ratio: float = DEFAULTS["lambda_min_ratio"].value
    boost_max_kpa: float = DEFAULTS["boost_max_kpa"].value
    exhaust_temperature_max_c: float = DEFAULTS["exhaust_temperature_max_c"].value
    charge_temperature_max_c: float = DEFAULTS["charge_temperature_max_c"].value
    mean_pressure_max_kpa: float = DEFAULTS["mean_pressure_max_kpa"].value
    peak_pressure_max_bar: float = DEFAULTS["peak_pressure_max_bar"].value

    def __post_init__(self) -> None:
        for field in fields(self):
            usual = DEFAULTS[field.name]
            require(field.name, getattr(self, field.name), usual.low, usual.high, usual.unit)


# Below the speed at which boost is in; the limit is the engine as built, or the lambda limit where that is lower.
BEFORE_BOOST = LimitDefault(
    "Lambda before boost comes in",
    0.0,
    "",
    "min",
    0.05,
    PRACTICE
    + ": no smokier than the engine as built at the same speed and place; boost counts as in from half of its highest on",
    "Until the turbo has come up the engine has the larger delivery but only its own air: it smokes black when it is lugged.",
    "lambda_ratio",
)

# The highest boost over speed against the highest that the plan wants, less what a gauge does not show.
BOOST_WANTED = LimitDefault(
    "Highest boost",
    0.0,
    "kPa",
    "min",
    4.0,
    "the boost that the plan wants, less what a gauge does not show",
    "Less boost is less air for the same fuel.",
    "boost_kpa",
)
GAUGE_KPA = 5.0

TURBO_DEFAULTS: dict[str, LimitDefault] = {
    "surge_margin_min_ratio": LimitDefault(
        "Distance from surge",
        0.10,
        "",
        "min",
        0.05,
        PRACTICE + ": 10 to 15 % of flow",
        "In surge the air turns back in the wheel, with thumps that break blades and bearings.",
        "surge_margin_ratio",
        low=0.0,
        high=0.5,
    ),
    "choke_margin_min_ratio": LimitDefault(
        "Distance from choke",
        0.05,
        "",
        "min",
        0.03,
        PRACTICE,
        "Near choke the wheel speeds up and heats the air without more boost.",
        "choke_margin_ratio",
        low=0.0,
        high=0.5,
    ),
    "tip_speed_max_m_s": LimitDefault(
        "Compressor tip speed",
        500.0,
        "m/s",
        "max",
        30.0,
        "Cast aluminium wheels: about 500 to 530 m/s (literature, from memory)",
        "A wheel that bursts goes through its housing.",
        "compressor_tip_speed_m_s",
        stop_beyond=30.0,
        low=250.0,
        high=650.0,
    ),
    "exhaust_over_boost_max_ratio": LimitDefault(
        "Pressure before turbine over manifold pressure",
        1.50,
        "",
        "max",
        0.10,
        PRACTICE + ": absolute pressures about equal when well matched, up to 1.5 with a small housing",
        "The pistons push against it: fuel is lost, and burnt gas stays in the cylinder.",
        "exhaust_over_boost_ratio",
        low=0.8,
        high=4.0,
    ),
}


@dataclass(frozen=True)
class TurboLimits:
    """Limits of the turbo itself; `TURBO_DEFAULTS` holds source and reason of each."""

    surge_margin_min_ratio: float = TURBO_DEFAULTS["surge_margin_min_ratio"].value
    choke_margin_min_ratio: float = TURBO_DEFAULTS["choke_margin_min_ratio"].value
    tip_speed_max_m_s: float = TURBO_DEFAULTS["tip_speed_max_m_s"].value
    exhaust_over_boost_max_ratio: float = TURBO_DEFAULTS["exhaust_over_boost_max_ratio"].value

    def __post_init__(self) -> None:
        for field in fields(self):
            usual = TURBO_DEFAULTS[field.name]
            require(field.name, getattr(self, field.name), usual.low, usual.high, usual.unit)


def usual_limits(injection: str, has_cooler: bool) -> Limits:
    """Usual limits of an engine.

    Takes:
        injection: "indirect" or "direct" [-]
        has_cooler: whether a charge air cooler is fitted [-]
    Returns: the usual values; `DEFAULTS` holds source and reason of each.
    Raises: ValueError if the injection is neither of the two.
    Source: Named at each entry of `DEFAULTS`.

    >>> usual_limits("indirect", has_cooler=False).lambda_min_ratio
    1.2
    """
    check_injection(injection)
    values = {}
    for name, usual in DEFAULTS.items():
        value = usual.value
        if injection == "indirect" and usual.indirect is not None:
            value = usual.indirect
        if not has_cooler and usual.uncooled is not None:
            value = usual.uncooled
        values[name] = value
    return Limits(**values)


@takes(
    value="value to judge [unit of the limit]",
    limit="limit [unit]",
    uncertainty=Span(0.0, 1e9, "", "half width of the band in which the true value lies"),
    direction="'max' if the value may not exceed the limit, 'min' if it may not fall below [-]",
    edge=Span(0.0, 1e9, "", "margin under which a value is near the edge"),
    stop_beyond="distance past the limit from which work must stop; None for never [unit]",
)
def judge(
    value: float,
    limit: float,
    uncertainty: float = 0.0,
    direction: Direction = "max",
    edge: float = 0.0,
    stop_beyond: float | None = None,
) -> Verdict:
    """Verdict on one value against one limit.

    A value inside its limit by more than edge and uncertainty together is on plan; inside by
    less, or outside by no more than the uncertainty of the reading, is near the edge; outside
    beyond doubt is off plan; outside by `stop_beyond` or more is stop, whatever the uncertainty.

    Returns: ON, NEAR, OFF or STOP.
    Raises: OutOfRange if a figure is not a finite number, or uncertainty or edge is negative; ValueError if the
        direction is neither "max" nor "min".
    Source: Guard band as in ISO 14253-1: beyond the limit by more than the uncertainty is a proven miss.

    >>> judge(690.0, 700.0, uncertainty=5.0, edge=30.0)
    'near_edge'
    >>> judge(760.0, 700.0, edge=30.0, stop_beyond=50.0)
    'stop'
    """
    if direction not in ("max", "min"):
        raise ValueError(f"direction is {direction!r}; allowed is 'max' or 'min'")
    for name, number in (("value", value), ("limit", limit)):
        require(name, number, -1e9, 1e9, "")
    margin = limit - value if direction == "max" else value - limit
    return WORST_FIRST[int(places(np.asarray(margin), np.asarray(limit), np.asarray(uncertainty), edge, stop_beyond))]


def places(
    margin: Floats, limit: Floats, uncertainty: Floats, edge: float, stop_beyond: float | None
) -> NDArray[np.intp]:
    """Verdicts of many margins at once, as places in `WORST_FIRST`; the rule of `judge`.

    Takes:
        margin, limit, uncertainty: distance inside the limit, the limit, half width of the true value's band [unit]
        edge, stop_beyond: as `judge` [unit]
    Returns: array of int: place in `WORST_FIRST`.
    """
    stops = np.zeros(np.shape(margin), dtype=np.bool_) if stop_beyond is None else -margin >= stop_beyond
    room = margin + 1e-9 * np.abs(limit)  # a value set exactly to its limit has met it
    found = np.where(room < -uncertainty, 1, np.where(room < edge + uncertainty, 2, 3))
    return np.where(stops, 0, found)
