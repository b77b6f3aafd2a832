"""A full-load curve from a table: engine speed with torque or power, in any usual unit. Pure."""

from measurements.logs.parsing.names import asked
from sizing.physics.engine.power import torque_nm
from sizing.tables.named import read_table
from sizing.tables.refused import FileRefused
from sizing.units.conversion import convert

MOST_BYTES = 4 * 1024 * 1024
MOST_POINTS = 500
SPEED, TORQUE, POWER = "engine_speed_rpm", "torque_Nm", "power_kW"
COLUMNS = (SPEED, TORQUE, POWER)
UNITS = {SPEED: "rpm", TORQUE: "Nm", POWER: "kW"}


def read_curve(data: bytes) -> list[tuple[float, float]]:
    """Points of engine speed in rpm and torque in Nm, sorted by speed; FileRefused with the reason and the line.

    >>> read_curve(b"engine_speed_rpm,max_torque_Nm\\n1000,95.71\\n1500,118.65\\n")
    [(1000.0, 95.71), (1500.0, 118.65)]
    """
    table = read_table(
        data, COLUMNS, (SPEED, (TORQUE, POWER)), COLUMNS, asked(dict(zip(("speed_rpm", "torque_nm", "power_kw"), COLUMNS, strict=True))),
        others_allowed=True, most_bytes=MOST_BYTES, most_rows=MOST_POINTS,
    )  # fmt: skip
    points = []
    for line, cells in table.rows:
        load = TORQUE if TORQUE in cells else POWER
        speed, figure = (
            convert(table.figure(line, cells, name), table.units[name], UNITS[name]) for name in (SPEED, load)
        )
        if load == POWER and speed <= 0:
            raise FileRefused("curve.no_torque", line=line, speed_rpm=speed)
        points.append((speed, figure if load == TORQUE else float(torque_nm(figure, speed))))
    return sorted(points)
