"""A turbo's compressor map from a CSV: units and reference state are said by the heading or the person, never guessed."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from django.db import transaction

from sizing.catalogue.actions import Refusal
from sizing.catalogue.map_units import COLUMNS, MapUnits, map_column, stored_per_unit, units_of
from sizing.catalogue.models import MapPoint, Turbo
from sizing.drawing.map_lines import speed_lines
from sizing.physics.air import ZERO_CELSIUS_K
from sizing.physics.compressor.map import SAME_LINE_RATIO, build_map
from sizing.said import told
from sizing.tables.csv_io import write_table
from sizing.tables.named import Table, read_table
from sizing.tables.refused import CellRefused, FileRefused
from sizing.words import in_words

# What a single-stage turbo compressor can do, in the stored units; common practice.
ALLOWED = {"speed": (1_000, 400_000), "flow": (0.0005, 10), "pressure_ratio": (1.01, 8), "efficiency": (0.1, 0.95)}
FIELDS = {
    "speed": "speed_rpm",
    "flow": "flow_kg_s",
    "pressure_ratio": "pressure_ratio",
    "efficiency": "efficiency_ratio",
}


@dataclass
class MapPreview:
    units: dict[str, str]  # of each column as the file has it
    factors: dict[str, float]  # from there to the stored unit
    points: list[MapPoint] = field(default_factory=list)
    refused: list[Refusal] = field(default_factory=list)
    speeds_read: int = 0

    @property
    def lines(self) -> dict[float, list[MapPoint]]:
        return speed_lines(self.points)


def read_map(data: bytes, said: MapUnits) -> MapPreview:
    """Read and check a map. Raises FileRefused where the table as a whole is no map; bad cells are in `refused`."""
    table = read_table(data, COLUMNS, COLUMNS, COLUMNS, map_column)
    units = units_of(table, said)
    factors = {name: stored_per_unit(name, units[name], said.temperature_k, said.pressure_kpa) for name in COLUMNS}
    preview = MapPreview(units, factors)
    for line, cells in table.rows:
        values = {name: _cell(preview, table, line, cells, name) for name in COLUMNS}
        if None not in values.values():
            preview.points.append(MapPoint(**{FIELDS[name]: value for name, value in values.items()}))
    if not preview.refused:
        preview.speeds_read = len(speed_lines(preview.points))
        _gather_lines(preview.points)
        _check_lines(preview, said.temperature_k, said.pressure_kpa)
    return preview


def _cell(preview: MapPreview, table: Table, line: int, cells: dict[str, str], column: str) -> float | None:
    """The figure in the stored unit; what is no figure or cannot be is kept as refused, with what is allowed in the file's unit."""
    typed = cells[column]
    try:
        value = table.figure(line, cells, column)
    except CellRefused as refused:
        preview.refused.append(Refusal(line, column, typed, str(refused.why)))
        return None
    (low, high), factor, unit = ALLOWED[column], preview.factors[column], preview.units[column]
    if low <= value * factor <= high:
        return value * factor
    shown = "" if unit == "ratio" else f" {unit}"
    why = f"{typed}{shown} is outside what is possible. Allowed: {_end(low / factor)} to {_end(high / factor)}{shown}."
    if column == "efficiency" and unit == "ratio" and 1 < value <= 100:
        why += " If the file gives efficiency in per cent, say so in the form or in the heading."
    if column == "flow":
        why += " Is that the unit of the file?"
    preview.refused.append(Refusal(line, column, typed, why))
    return None


def _end(value: float) -> str:
    return f"{value:,.0f}" if value >= 1000 else f"{value:.4g}"


def _gather_lines(points: list[MapPoint]) -> None:
    """Give the points of one line one speed, their mean."""
    points.sort(key=lambda point: point.speed_rpm)
    start = 0
    for i in range(1, len(points) + 1):
        if (
            i < len(points)
            and points[i].speed_rpm - points[i - 1].speed_rpm <= SAME_LINE_RATIO * points[i - 1].speed_rpm
        ):
            continue
        line = points[start:i]
        mean = sum(point.speed_rpm for point in line) / len(line)
        for point in line:
            point.speed_rpm = round(mean, 1)
        start = i
    points.sort(key=lambda point: (point.speed_rpm, point.flow_kg_s))


def _check_lines(preview: MapPreview, temperature_k: float, pressure_kpa: float) -> None:
    """Refuse what the physics could not interpolate: one line, short lines, crossing lines, two points in one place."""
    for speed, points in preview.lines.items():
        flows = [point.flow_kg_s for point in points]
        if len(set(flows)) < len(flows):
            raise FileRefused("map.same_flow", speed_rpm=round(speed))
    rows = [(p.speed_rpm, p.flow_kg_s, p.pressure_ratio, p.efficiency_ratio) for p in preview.points]
    speeds, flow, ratio, efficiency = np.array(rows).reshape(-1, 4).T
    try:
        build_map(speeds, flow, ratio, efficiency, temperature_k - ZERO_CELSIUS_K, pressure_kpa)
    except ValueError as error:
        raise FileRefused(told(in_words(str(error)))) from error


@transaction.atomic
def replace_map(turbo: Turbo, points: Sequence[MapPoint], temperature_k: float, pressure_kpa: float) -> None:
    """The new map takes the place of the old one. Sending it twice leaves one map."""
    turbo.map_points.all().delete()
    for point in points:
        point.pk, point.turbo = None, turbo
    MapPoint.objects.bulk_create(points, batch_size=500)
    turbo.map_temperature_k, turbo.map_pressure_kpa = temperature_k, pressure_kpa
    turbo.save(update_fields=["map_temperature_k", "map_pressure_kpa"])


def export_map(turbo: Turbo) -> str:
    rows = turbo.map_points.values_list("speed_rpm", "flow_kg_s", "pressure_ratio", "efficiency_ratio")
    return write_table(("speed_rpm", "flow_kg_s", "pressure_ratio", "efficiency_ratio"), rows)
