"""In what units a compressor map is written: read from its headings where they say it, told by the person where not."""

import re
from dataclasses import dataclass

from sizing.physics.air import ZERO_CELSIUS_K, density_kg_m3
from sizing.tables.named import Table
from sizing.tables.refused import FileRefused
from sizing.units.conversion import convert

COLUMNS = ("speed", "flow", "pressure_ratio", "efficiency")
MASS_UNITS = ("kg/s", "g/s", "kg/h", "lb/min", "lb/s")
VOLUME_UNITS = ("m³/s", "m³/h", "ft³/min")
FLOW_UNITS = MASS_UNITS + VOLUME_UNITS
UNITS = {
    "speed": ("rpm", "1000 rpm", "rad/s"),
    "flow": FLOW_UNITS,
    "pressure_ratio": ("ratio",),
    "efficiency": ("ratio", "%"),
}
STORED = {"speed": "rpm", "flow": "kg/s", "pressure_ratio": "ratio", "efficiency": "ratio"}
TEMPERATURE_UNITS = ("K", "°C", "°F", "°R")
PRESSURE_UNITS = ("kPa", "bar", "mbar", "psi", "inHg")

_OTHER_SPELLINGS = {
    "krpm": "1000/rpm",
    "fraction": "ratio",
    "pct": "%",
    "percent": "%",
    "cfm": "ft3/min",
    "1/min": "rpm",
}
_HEADING = re.compile(r"^(speed|flow|pressure[ _]ratio|efficiency)(?:[ _,]*[\[(]?\s*([^\[\]()]*?)\s*[\])]?)$")


@dataclass(frozen=True)
class MapUnits:
    """What the person says of a map. An empty unit is one that the heading has to say."""

    flow: str
    efficiency: str
    temperature_k: float
    pressure_kpa: float


def _plain(unit: str) -> str:
    bare = re.sub(r"[\s_/·]+", "/", unit.lower().replace("³", "3"))
    return _OTHER_SPELLINGS.get(bare, bare)


def map_column(cell: str, unit_text: str) -> tuple[str, str]:
    """The column that a heading names, and the unit that it carries or that stands under it."""
    match = _HEADING.match(cell.lower())
    return (match[1].replace(" ", "_"), match[2] or unit_text.strip("[]() ")) if match else ("", "")


def units_of(table: Table, said: MapUnits) -> dict[str, str]:
    """Column -> unit. FileRefused where a heading names a strange one, or another than the person did, or nobody says it."""
    units = {name: _unit_of(table.headings[name], name, unit) for name, unit in table.units.items() if unit}
    units.setdefault("pressure_ratio", "ratio")
    for column, told in (("flow", said.flow), ("efficiency", said.efficiency)):
        if told and units.setdefault(column, told) != told:
            raise FileRefused("map.unit_of_form", heading=table.headings[column], unit=told).at(_FIELD[column])
    for column, heading in table.headings.items():
        if column not in units:
            allowed = [f"{column} {unit}" for unit in UNITS[column]]
            if column in _FIELD:
                raise FileRefused("map.no_unit_chosen", heading=heading, allowed=allowed).at(_FIELD[column])
            raise FileRefused("map.no_unit", heading=heading, allowed=allowed)
    return units


_FIELD = {"flow": "flow_unit", "efficiency": "efficiency_unit"}


def _unit_of(heading: str, column: str, text: str) -> str:
    for unit in UNITS[column]:
        if _plain(unit) == _plain(text):
            return unit
    raise FileRefused("table.unit_not_known", heading=heading, unit=text, allowed=UNITS[column])


def stored_per_unit(column: str, unit: str, temperature_k: float, pressure_kpa: float) -> float:
    """Factor from a unit to the stored one. A volume flow counts air of the map's reference state."""
    if unit in VOLUME_UNITS:
        return convert(1.0, unit, "m³/s") * float(density_kg_m3(pressure_kpa, temperature_k - ZERO_CELSIUS_K))
    return convert(1.0, unit, STORED[column])
