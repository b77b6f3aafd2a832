"""The engines that come into the demo workshop, and what stands around them. All makes are invented."""

import csv
from collections.abc import Iterator
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any, get_origin

DATA = Path(__file__).parent / "data"


def rows_of(table: str) -> Iterator[dict[str, Any]]:
    """The rows of a table of the demo's data: figures as numbers, yes and no as what they mean, the rest as text."""
    with (DATA / f"{table}.csv").open(newline="") as lines:
        for row in csv.DictReader(lines):
            yield {name: _cell(text) for name, text in row.items()}


def _cell(text: str) -> Any:
    if text in ("yes", "no"):
        return text == "yes"
    for number in (int, float):
        try:
            return number(text)
        except ValueError:
            continue
    return text


def _made(kind: type, row: dict[str, Any]) -> Any:
    several = {f.name for f in fields(kind) if get_origin(f.type) is tuple}
    parts = {name: tuple(_cell(part) for part in str(row[name]).split(" | ")) for name in several}
    return kind(**row | parts)


@dataclass(frozen=True)
class Engine:
    """An engine as built; figures of the usual size for its displacement and injection."""

    name: str
    injection: str
    displacement_l: float
    bore_mm: float
    stroke_mm: float
    cylinders: int
    compression_ratio: float
    rated_power_kw: float
    rated_speed_rpm: float
    governed_speed_rpm: float
    pump: str  # name of the pump in the catalogue
    governor: str
    plunger_mm: float
    turbos: tuple[str, ...]  # names in the catalogue: the usual one, then the one taken now and then with a cooler
    cleaner: str
    cooler: str
    boost_step_kpa: float = 0.0  # what the workshop has learnt to set more or less on this engine


@dataclass(frozen=True)
class Model:
    """A vehicle that has such an engine."""

    make_and_model: str
    engine: str
    use: str
    meter: str
    hours_a_month: float
    km_an_hour: float
    years: tuple[int, int]
    weight: float  # how often it comes in
    wishes: tuple[str, ...]


ENGINES: dict[str, Engine] = {row["name"]: _made(Engine, row) for row in rows_of("engines")}
MODELS: list[Model] = [_made(Model, row) for row in rows_of("models")]
