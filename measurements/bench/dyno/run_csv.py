"""A drum run or a road run from a table: time and speed, in any usual unit. Pure."""

import numpy as np

from measurements.logs.parsing.names import SPEED, TIME, asked
from sizing.tables.named import read_table
from sizing.units.conversion import convert

MOST_BYTES = 4 * 1024 * 1024
MOST_ROWS = 200_000
SPEEDS = {"drum": (SPEED, "drum_speed_rpm", "rpm"), "road": ("road_speed_km_h", "road_speed_km_h", "km/h")}


def read_run(data: bytes, kind: str) -> tuple[np.ndarray, np.ndarray]:
    """Times in s and speeds in rpm (drum) or km/h (road); FileRefused with the reason and the line.

    >>> read_run(b"time_s,drum_speed_rpm\\n0,300\\n0.5,320\\n", "drum")[1].tolist()
    [300.0, 320.0]
    """
    slug, heading, unit = SPEEDS[kind]
    columns = (TIME, heading)
    table = read_table(
        data, columns, columns, columns, asked({TIME: TIME, slug: heading}),
        others_allowed=True, most_bytes=MOST_BYTES, most_rows=MOST_ROWS,
    )  # fmt: skip
    times, speeds = (np.array([table.figure(line, cells, name) for line, cells in table.rows]) for name in columns)
    return convert(times, table.units[TIME], "s"), convert(speeds, table.units[heading], unit)
