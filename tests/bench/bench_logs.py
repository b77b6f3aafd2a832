"""Drawing and reading logs: beside a bare NumPy minimum and maximum, and beside a bare CSV read."""

import io
import subprocess
import sys
import tempfile

import numpy as np
import pyarrow as pa
from pyarrow import csv as pa_csv

from measurements.logs.parsing.file import read_logs
from measurements.logs.parsing.match import matched_columns
from measurements.logs.parsing.parts import understand
from sizing.drawing.thinning import PLOT_BYTES, kept, plot_data
from tests.bench.timing import best_of

ROWS, BUCKETS = 1_000_000, 1000


def bench_thinning():
    whole = np.random.default_rng(7).normal(150.0, 40.0, ROWS)
    gaps = whole.copy()
    gaps[::9] = np.nan
    table = whole.reshape(BUCKETS, -1), gaps.reshape(BUCKETS, -1)
    bare = best_of(lambda: (table[0].min(axis=1), table[0].max(axis=1)), 15)
    bare_gaps = best_of(lambda: (np.nanmin(table[1], axis=1), np.nanmax(table[1], axis=1)), 15)
    yield "a million points thinned / NumPy minimum and maximum", best_of(lambda: kept(whole, BUCKETS), 15) / bare, 3
    yield (
        "the same with every ninth missing / NumPy nanmin and nanmax",
        best_of(lambda: kept(gaps, BUCKETS), 15) / bare_gaps,
        6,
    )
    times = np.arange(ROWS) * 0.02
    packed = plot_data(
        times, {"boost_kpa": whole, "speed_rpm": whole.cumsum(), "exhaust_temperature_c": gaps, "lambda_ratio": whole}
    )
    yield "plot data of a million rows, four channels / 40 kB", len(packed) / PLOT_BYTES, 1


COLUMNS = [
    ("time_s", "s"), ("engine_speed_rpm", "rpm"), ("boost_kPa", "kPa"), ("egt_C", "°C"), ("charge_temp_C", "°C"), ("oil_pressure_kPa", "kPa"),
    ("coolant_temp_C", "°C"), ("pedal_pct", "%"), ("vehicle_speed_km_h", "km/h"), ("lambda", "ratio"), ("oil_temp_C", "°C"), ("fuel_flow_l_h", "L/h"),
]  # fmt: skip


def wide_csv(rows: int, columns: int = 25) -> bytes:
    """A log as a logger writes it: twelve channels that mean something, the rest that do not."""
    random = np.random.default_rng(5)
    names = [name for name, _ in COLUMNS] + [f"spare_{i}" for i in range(columns - len(COLUMNS))]
    table = {name: random.uniform(20.0, 90.0, rows) for name in names}
    table |= {
        "time_s": np.arange(rows) * 0.05,
        "engine_speed_rpm": 1800 + 900 * np.sin(np.arange(rows) / 300.0),
        "lambda": random.uniform(1.2, 4.0, rows),
    }
    packed = io.BytesIO()
    pa_csv.write_csv(
        pa.table({name: np.round(values, 3 if name != "time_s" else 2) for name, values in table.items()}), packed
    )
    return packed.getvalue()


def bench_import():
    """Parse and checks of a wide log against pyarrow's bare read of the same bytes in the same run."""
    data = wide_csv(530_000)
    bare = best_of(lambda: pa_csv.read_csv(io.BytesIO(data)), 5)

    def whole():
        recording = understand(data).recordings[0]
        return read_logs(recording.data, recording.dialect, matched_columns(recording.dialect))

    yield (
        f"{len(data) / 1e6:.0f} MB with 25 columns, parsed and checked / bare pyarrow read",
        best_of(whole, 5) / bare,
        2.5,
    )
    yield (
        "memory of that import in a process of its own, libraries and file included / 600 MB",
        _memory_mb(data) / 600.0,
        1,
    )


# The highest mark of this process alone: getrusage would hand down that of the process that started it.
ALONE = """
import sys
from pathlib import Path
from measurements.logs.parsing.file import read_logs
from measurements.logs.parsing.match import matched_columns
from measurements.logs.parsing.parts import understand
recording = understand(open(sys.argv[1], "rb").read()).recordings[0]
read_logs(recording.data, recording.dialect, matched_columns(recording.dialect))
print(next(line.split()[1] for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM")))
"""


def _memory_mb(data: bytes) -> float:
    with tempfile.NamedTemporaryFile(suffix=".csv") as file:
        file.write(data)
        file.flush()
        told = subprocess.run([sys.executable, "-c", ALONE, file.name], capture_output=True, text=True, check=True)
    return float(told.stdout) / 1024
