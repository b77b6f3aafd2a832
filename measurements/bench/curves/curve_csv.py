"""A full-load curve from CSV or pasted text: engine speed with torque or power, in any usual unit. Pure."""

import csv
from collections.abc import Sequence

from measurements.logs.parsing.dialect import LogRefused, find_dialect
from measurements.logs.parsing.names import guess
from sizing.physics.engine.power import torque_nm
from sizing.units.conversion import convert
from sizing.units.figures import read_figure

MOST_POINTS = 500


def _columns(header: Sequence[str], units: Sequence[str]) -> dict[str, tuple[int, str]]:
    found: dict[str, tuple[int, str]] = {}
    for i, name in enumerate(header):
        quantity, unit = guess(name, units[i] if units else "")
        if quantity in ("speed_rpm", "torque_nm", "power_kw") and quantity not in found:
            found[quantity] = (i, unit)
    return found


def _figure(row: list[str], column: tuple[int, str], line: int, decimal: str) -> float:
    position, _ = column
    text = row[position].strip() if position < len(row) else ""
    try:
        return read_figure(text, decimal)
    except ValueError:
        raise LogRefused("table.no_figure", line=line, text=text[:40]) from None


def read_curve(data: bytes) -> list[tuple[float, float]]:
    """Points of engine speed in rpm and torque in Nm, sorted by speed; LogRefused with the reason and the line.

    >>> read_curve(b"engine_speed_rpm,max_torque_Nm\\n1000,95.71\\n1500,118.65\\n")
    [(1000.0, 95.71), (1500.0, 118.65)]
    """
    dialect = find_dialect(data)
    columns = _columns(dialect.header, dialect.units)
    if "speed_rpm" not in columns:
        raise LogRefused("table.no_engine_speed")
    if "torque_nm" not in columns and "power_kw" not in columns:
        raise LogRefused("table.no_torque_or_power")
    rows = list(csv.reader(data.decode(dialect.encoding).splitlines(), delimiter=dialect.delimiter))
    points = []
    for line, row in enumerate(rows[dialect.skip_rows :], start=dialect.skip_rows + 1):
        if not any(cell.strip() for cell in row):
            continue
        speed = convert(_figure(row, columns["speed_rpm"], line, dialect.decimal), columns["speed_rpm"][1], "rpm")
        if "torque_nm" in columns:
            torque = convert(_figure(row, columns["torque_nm"], line, dialect.decimal), columns["torque_nm"][1], "Nm")
        else:
            power = convert(_figure(row, columns["power_kw"], line, dialect.decimal), columns["power_kw"][1], "kW")
            if speed <= 0:
                raise LogRefused("table.no_torque", line=line, speed_rpm=speed)
            torque = float(torque_nm(power, speed))
        points.append((speed, torque))
    if len(points) > MOST_POINTS:
        raise LogRefused("table.too_many_points", points=len(points), most=MOST_POINTS)
    return sorted(points)
