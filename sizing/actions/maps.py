"""A turbo's compressor map from a CSV: units and reference state are said by the person, never guessed."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from django.db import transaction

from sizing.actions.catalogue import Refusal
from sizing.csv_io import FileRefused, read_table, write_table
from sizing.models import MapPoint, Turbo
from sizing.numbers import read_number
from sizing.physics.air import ZERO_CELSIUS_K, density_kg_m3
from sizing.physics.compressor_map import SAME_LINE_RATIO, build_map
from sizing.units import convert

COLUMNS = ("speed_rpm", "flow", "pressure_ratio", "efficiency")
OTHER_NAMES = {"flow_kg_s": "flow", "efficiency_ratio": "efficiency"}
MASS_UNITS = ("kg/s", "g/s", "kg/h", "lb/min", "lb/s")
VOLUME_UNITS = ("m³/s", "m³/h", "ft³/min")
FLOW_UNITS = MASS_UNITS + VOLUME_UNITS

# What a single-stage turbo compressor can do; common practice.
ALLOWED = {
    "speed_rpm": (1_000, 400_000, "rpm"),
    "flow_kg_s": (0.0005, 10, "kg/s"),
    "pressure_ratio": (1.01, 8, ""),
    "efficiency": (0.1, 0.95, "as a fraction"),
}


@dataclass
class MapPreview:
    points: list[MapPoint] = field(default_factory=list)
    refused: list[Refusal] = field(default_factory=list)
    speeds_read: int = 0

    @property
    def lines(self) -> dict[float, list[MapPoint]]:
        lines: dict[float, list[MapPoint]] = {}
        for point in self.points:
            lines.setdefault(point.speed_rpm, []).append(point)
        return lines


def flow_to_kg_s(unit: str, temperature_k: float, pressure_kpa: float) -> Callable[[float], float]:
    """Mass flow at the map's reference state. A volume flow counts air of that state."""
    if unit in MASS_UNITS:
        return lambda flow: convert(flow, unit, "kg/s")
    density = float(density_kg_m3(pressure_kpa, temperature_k - ZERO_CELSIUS_K))
    if unit == "m³/s":
        return lambda flow: flow * density
    return lambda flow: convert(flow, unit, "m³/h") / 3600 * density


def read_map(
    data: bytes, flow_unit: str, efficiency_in_pct: bool, temperature_k: float, pressure_kpa: float
) -> MapPreview:
    """Read and check a map. Raises FileRefused where the table as a whole is no map; bad cells are in `refused`."""
    header = data.decode("utf-8-sig", errors="ignore").split("\n", 1)[0].lower()
    if "flow_kg_s" in header and flow_unit != "kg/s":
        raise FileRefused(f"The column is named flow_kg_s, but {flow_unit} was chosen as its unit. Change one of the two.")
    if "efficiency_ratio" in header and efficiency_in_pct:
        raise FileRefused("The column is named efficiency_ratio, but per cent was chosen. Change one of the two.")
    table = read_table(data, COLUMNS, COLUMNS, OTHER_NAMES)
    to_kg_s = flow_to_kg_s(flow_unit, temperature_k, pressure_kpa)
    preview = MapPreview()
    for line, cells in table.rows:
        point = _point(preview, line, cells, to_kg_s, efficiency_in_pct)
        if point:
            preview.points.append(point)
    if not preview.refused:
        preview.speeds_read = len({point.speed_rpm for point in preview.points})
        _gather_lines(preview.points)
        _check_lines(preview, temperature_k, pressure_kpa)
    return preview


def _point(preview: MapPreview, line: int, cells: dict[str, str], to_kg_s, in_pct: bool) -> MapPoint | None:
    values = {}
    for name in COLUMNS:
        try:
            values[name] = read_number(cells[name])
        except ValueError as error:
            preview.refused.append(Refusal(line, name, cells[name], str(error)))
    if len(values) < len(COLUMNS):
        return None
    flow, efficiency = to_kg_s(values["flow"]), values["efficiency"] / (100 if in_pct else 1)
    checked = [
        _check(preview, line, "speed_rpm", cells["speed_rpm"], values["speed_rpm"], "speed_rpm"),
        _check(preview, line, "flow", cells["flow"], flow, "flow_kg_s"),
        _check(preview, line, "pressure_ratio", cells["pressure_ratio"], values["pressure_ratio"], "pressure_ratio"),
        _check(preview, line, "efficiency", cells["efficiency"], efficiency, "efficiency"),
    ]
    if not all(checked):
        return None
    return MapPoint(
        speed_rpm=values["speed_rpm"], flow_kg_s=flow, pressure_ratio=values["pressure_ratio"], efficiency_ratio=efficiency
    )


def _check(preview: MapPreview, line: int, column: str, typed: str, value: float, name: str) -> bool:
    low, high, unit = ALLOWED[name]
    if low <= value <= high:
        return True
    why = f"Outside what is possible. Allowed: {low:,g} to {high:,g} {unit}".rstrip() + "."
    if name == "efficiency" and 1 < value <= 100:
        why = f"{typed} is more than 1. If the file gives efficiency in per cent, choose 'in per cent' above. {why}"
    if name == "flow_kg_s":
        why = f"{typed} is {value:.4g} kg/s in the unit that was chosen. {why}"
    preview.refused.append(Refusal(line, column, typed, why))
    return False


def _gather_lines(points: list[MapPoint]) -> None:
    """Give the points of one line one speed, their mean."""
    points.sort(key=lambda point: point.speed_rpm)
    start = 0
    for i in range(1, len(points) + 1):
        if i < len(points) and points[i].speed_rpm - points[i - 1].speed_rpm <= SAME_LINE_RATIO * points[i - 1].speed_rpm:
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
            raise FileRefused(f"The speed line of {speed:,.0f} rpm has two points at the same flow. Keep one.")
    columns = (
        [getattr(point, name) for point in preview.points]
        for name in ("speed_rpm", "flow_kg_s", "pressure_ratio", "efficiency_ratio")
    )
    try:
        build_map(*columns, temperature_k - ZERO_CELSIUS_K, pressure_kpa)
    except ValueError as error:
        text = str(error)
        raise FileRefused(f"{text[:1].upper()}{text[1:].rstrip('.')}.") from error


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
