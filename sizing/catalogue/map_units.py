"""In what units a compressor map is written: read from its headings where they say it, told by the person where not."""

import re
from dataclasses import dataclass

from sizing.physics.air import ZERO_CELSIUS_K, density_kg_m3
from sizing.tables.csv_io import FileRefused
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


def read_headings(names: list[str], said: MapUnits) -> tuple[dict[str, str], dict[str, str]]:
    """Headings as they stand -> column, and column -> unit.

    Raises FileRefused where a heading names a unit that is not known, or another than the person did, or nobody names one.
    """
    columns: dict[str, str] = {}
    units: dict[str, str] = {}
    for name in names:
        match = _HEADING.match(name)
        if match is None:
            continue  # refused by name with all other strange columns
        column = match[1].replace(" ", "_")
        columns[name] = column
        if match[2]:
            units[column] = _unit_of(name, column, match[2])
    units.setdefault("pressure_ratio", "ratio")
    for column, told in (("flow", said.flow), ("efficiency", said.efficiency)):
        if told and units.setdefault(column, told) != told:
            heading = next(name for name, known in columns.items() if known == column)
            raise FileRefused(
                f"The column is named {heading}, but {told} was chosen as its unit. Change one of the two.",
                _FIELD[column],
            )
    for name, column in columns.items():
        if column not in units:
            allowed = ", ".join(f"{column} {unit}" for unit in UNITS[column])
            where = "Choose it in the form, or w" if column in _FIELD else "W"
            raise FileRefused(
                f"The heading '{name}' does not say its unit. {where}rite it into the heading: {allowed}.",
                _FIELD.get(column, "file"),
            )
    return columns, units


_FIELD = {"flow": "flow_unit", "efficiency": "efficiency_unit"}


def _unit_of(name: str, column: str, text: str) -> str:
    for unit in UNITS[column]:
        if _plain(unit) == _plain(text):
            return unit
    raise FileRefused(
        f"The heading '{name}' names the unit '{text}', which is not known for it. Allowed: {', '.join(UNITS[column])}."
    )


def stored_per_unit(column: str, unit: str, temperature_k: float, pressure_kpa: float) -> float:
    """Factor from a unit to the stored one. A volume flow counts air of the map's reference state."""
    if unit in VOLUME_UNITS:
        return convert(1.0, unit, "m³/s") * float(density_kg_m3(pressure_kpa, temperature_k - ZERO_CELSIUS_K))
    return convert(1.0, unit, STORED[column])
