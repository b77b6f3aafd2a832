"""What a column of a log is taken for, from its name: the quantity and the unit. A person confirms it. Pure."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from sizing.units.quantities import QUANTITIES

TIME = "time_s"
SPEED = "speed_rpm"
DAY = "date"  # a column of dates beside one of times of the day
PART = "time_part"  # a column of thousandths beside one of whole seconds
CLOCK = "clock, h:min:s"
DATED = "date and clock"
IN_CELL = "unit in each cell"

_TIME_UNITS = ("s", "ms", "µs", "min", "h", "day", CLOCK, DATED, IN_CELL)
_PRESSURE = ("kPa", "bar", "mbar", "psi", "Pa", "inHg")
_TEMPERATURE = ("°C", "°F", "K")
_BY_UNIT = {
    "rpm": ("rpm", "rad/s"), "kPa": _PRESSURE, "°C": _TEMPERATURE, "%": ("%", "ratio"), "Nm": ("Nm", "lbf·ft"),
    "kW": ("kW", "hp metric", "hp imperial"), "L/h": ("L/h",), "m⁻¹": ("m⁻¹",), "ratio": ("ratio", "%"),
    "mm³/stroke": ("mm³/stroke",), "km/h": ("km/h", "mph"),
}  # fmt: skip


@dataclass(frozen=True)
class Channel:
    """A quantity a log may hold: label, stored unit, the units it may be logged in, and what is possible."""

    slug: str
    label: str
    unit: str
    units: tuple[str, ...]
    low: float
    high: float


def _channel(slug: str, label: str, unit: str, low: float, high: float) -> Channel:
    return Channel(slug, label, unit, _BY_UNIT[unit], low, high)


# Percent channels of an engine bus start from -125 %, which means "nothing yet"; below -100 % nothing is possible.
CHANNELS: dict[str, Channel] = {
    TIME: Channel(TIME, "Time", "s", _TIME_UNITS, -1e9, 1e12),
    DAY: Channel(DAY, "Date, beside the time of day", "date", ("date",), -1e12, 1e12),
    PART: Channel(PART, "Part of a second, beside the time", "s", ("ms", "µs", "s"), 0, 1),
    **{
        q.slug: _channel(q.slug, f"{q.label}{', ' + q.word if q.word else ''}", q.unit, q.low, q.high)
        for q in QUANTITIES.values() if q.unit in _BY_UNIT
    },
    "manifold_pressure_kpa": _channel("manifold_pressure_kpa", "Manifold pressure, absolute", "kPa", 10, 510),
    "pedal_pct": _channel("pedal_pct", "Pedal or lever", "%", 0, 110),
    "torque_pct": _channel("torque_pct", "Torque, % of reference", "%", -100, 130),
    "road_speed_km_h": _channel("road_speed_km_h", "Road speed", "km/h", 0, 400),
}  # fmt: skip


def channel_name(slug: str, small: bool = False) -> dict[str, Any]:
    """The name of a channel as a value of a sentence; small inside it."""
    return {"way": "channel", "of": slug, "small": small}


def channel_figure(slug: str, value: float) -> dict[str, Any]:
    """A value of a channel in its stored unit."""
    return {"way": "channel_figure", "of": slug, "value": float(value)}


# Words in a name, tried from top to bottom; the first row whose words all stand in the name wins.
NAME_RULES: list[tuple[str, str]] = [
    (r"^(date|datum|fecha|day)$|^date (?!.*time)", DAY),
    (r"^(millis|milliseconds?|msec|ms|fraction|subsec.*)$", PART),
    (
        r"^(time|t|zeit|temps|tiempo|timestamp|elapsed|seconds|clock|epoch|unixtime)$|\btime\b|^datetime|^zeit|^time ?stamp|^t s$|\b(epoch|unix)\b",
        TIME,
    ),
    (r"baro|ambient press|atmospheric|air press", "air_pressure_kpa"),
    (r"ambient temp|air inlet temp|outside temp|air temp", "air_temperature_c"),
    (r"(manifold|map|intake|boost).*abs|\bmap\b", "manifold_pressure_kpa"),
    (r"(intake|inlet|manifold|charge|boost).*temp|\biat\b", "charge_temperature_c"),
    (r"boost|charge press|turbo press", "boost_kpa"),
    (r"egt|exhaust.*temp|exh.*temp|turbine inlet temp|abgastemp", "exhaust_temperature_c"),
    (r"coolant|water temp|\bect\b", "coolant_temperature_c"),
    (r"oil.*temp", "oil_temperature_c"),
    (r"oil.*press|oil p\b", "oil_pressure_kpa"),
    (r"fuel temp", ""),
    (r"fuel.*(rate|flow|cons)|l per h|l h\b", "fuel_flow_l_h"),
    (r"delivery|einspritzmenge|inject.*(quantity|mass)", "delivery_mm3"),
    (r"opacity|smoke n", "smoke_opacity_pct"),
    (r"smoke|absorption", "smoke_k_per_m"),
    (r"lambda|\bafr\b", "lambda_ratio"),
    (r"restriction|depression", "restriction_kpa"),
    (r"press.*after turbine|back ?press", "exhaust_back_pressure_kpa"),
    (r"press.*before turbine|turbine.*press|exhaust.*press|drive press", "turbine_inlet_pressure_kpa"),
    (r"pedal|throttle|accelerator|\bapp\b|\btps\b|lever", "pedal_pct"),
    (r"torque.*(pct|percent|%)|(actual|engine) torque", "torque_pct"),
    (r"torque|drehmoment", "torque_nm"),
    (r"power|leistung", "power_kw"),
    (r"\bload\b", "load_pct"),
    (r"(vehicle|road|wheel|dyno|ground).*(speed|spd)|km h\b|\bmph\b", "road_speed_km_h"),
    (r"rpm|engine.*(speed|spd)|rev|drehzahl|\bspeed\b|r min", SPEED),
]
UNIT_WORDS: list[tuple[str, str]] = [
    (r"kpa", "kPa"), (r"mbar|hpa", "mbar"), (r"\bbarg?\b", "bar"), (r"psig?", "psi"), (r"inhg", "inHg"), (r"\bpa\b", "Pa"),
    (r"°c|deg ?c|grad ?c|º ?c|celsius|\bc\b|^°$", "°C"), (r"°f|deg ?f|fahrenheit|\bf\b", "°F"), (r"\bk\b|kelvin", "K"),
    (r"rpm|r\.p\.m|1/min|min ?-1|min⁻¹|/min|r min", "rpm"), (r"rad", "rad/s"), (r"\bn[·*. ]?m\b|nm", "Nm"), (r"lb.?ft|ft.?lb", "lbf·ft"),
    (r"kw", "kW"), (r"\bps\b|hp metric|\bcv\b", "hp metric"), (r"\bb?hp\b", "hp imperial"),
    (r"l/h|l per h|lph|l h\b", "L/h"), (r"km/?h|km h|kmh", "km/h"), (r"mph", "mph"), (r"pct|percent|%", "%"),
    (r"\bms\b|millis", "ms"), (r"[µu]s\b|micros", "µs"), (r"\bs\b|\bsec", "s"), (r"\bmin\b|\bminutes?\b", "min"), (r"\bh\b|\bhours?\b", "h"), (r"\bdays?\b", "day"), (r"1/m\b|m-1\b|m⁻¹", "m⁻¹"), (r"mm³/(stroke|hub)|mm3/(str|hub)", "mm³/stroke"), (r"λ|ratio|lambda|^1$", "ratio"),
]  # fmt: skip
_BRACKETS = re.compile(r"[\[(<{]([^\])>}]*)[\])>}]")


def _words(header: str) -> str:
    text = re.sub(r"(?<=[a-z]{2})(?=[A-Z][a-z])", " ", header)
    return re.sub(r"[^a-z0-9%°·/²³⁻¹ -]+", " ", text.lower().replace("_", " ")).strip()


def unit_in(text: str, units: tuple[str, ...]) -> str:
    """The first of the allowed units that a piece of text names; empty when none does."""
    lowered = text.lower().replace("_", " ").strip()
    for pattern, unit in UNIT_WORDS:
        if unit in units and re.search(pattern, lowered):
            return unit
    return ""


def guess(header: str, unit_text: str = "") -> tuple[str, str]:
    """Quantity and unit that a column is taken for; an empty quantity is a column that is not used.

    >>> guess("Boost [bar]")
    ('boost_kpa', 'bar')
    >>> guess("intake_manifold_temp_C")
    ('charge_temperature_c', '°C')
    >>> guess("gear")
    ('', '')
    >>> guess("fuel flow [ccps]")
    ('', '')
    """
    in_brackets = " ".join(_BRACKETS.findall(header))
    name = _words(_BRACKETS.sub(" ", header))
    for pattern, slug in NAME_RULES:
        if re.search(pattern, name) or re.search(pattern, re.sub(r"\s+", " ", name)):
            if not slug:
                return "", ""
            channel = CHANNELS[slug]
            said = (unit_text or in_brackets).strip("[]()-–_ ")
            unit = unit_in(said, channel.units) if said else unit_in(" ".join(name.split()[-3:]), channel.units)
            if said and not unit and channel.unit != "ratio":
                return "", ""  # it says a unit that this quantity does not have: a person has to look
            return slug, unit or channel.unit
    if re.fullmatch(r"(engine|motor|eng|n|n ?mot)", name) and unit_in(
        (unit_text or in_brackets).strip("[]()-–_ "), ("rpm",)
    ):
        return SPEED, "rpm"
    return "", ""


def asked(headings: Mapping[str, str]) -> Callable[[str, str], tuple[str, str]]:
    """For a table that wants a few quantities: the heading of one by its slug; any other column is not used."""

    @cache
    def name_of(cell: str, unit_text: str) -> tuple[str, str]:
        quantity, unit = guess(cell, unit_text)
        return headings.get(quantity, ""), unit

    return name_of
