"""Logs of road runs for some demo jobs: three pulls in one gear, drawn from what the engine really does."""

import io

import numpy as np

from measurements.demo.fleet import Visit
from measurements.logs.actions import name_instruments, receive_log
from measurements.logs.models import LogFile
from measurements.logs.reading import read_log
from measurements.proving.models import ProvingRun
from measurements.readings.instruments import Instrument
from shop.access.models import Person
from shop.jobs.models import JobCard

STEP_S = 0.1
PULL_S, COAST_S, WAIT_S, PULLS = 14.0, 9.0, 6.0, 3
BOOST_LAG_S, HEAT_LAG_S = 0.5, 4.0
IDLE_RPM = 780.0


def _drive(case: Visit) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Time, engine speed and pedal of three pulls with waiting before each."""
    top, start = float(case.speeds_rpm[-1]), float(case.speeds_rpm[0]) * 0.9
    one = round((WAIT_S + PULL_S + COAST_S) / STEP_S)
    at = np.arange(one) * STEP_S
    speed = np.interp(
        at,
        [0, WAIT_S - 1, WAIT_S, WAIT_S + PULL_S, WAIT_S + PULL_S + COAST_S - 1],
        [IDLE_RPM, IDLE_RPM, start, top, IDLE_RPM],
    )
    pedal = np.where((at >= WAIT_S) & (at <= WAIT_S + PULL_S), 100.0, 0.0)
    return np.arange(PULLS * one) * STEP_S, np.tile(speed, PULLS), np.tile(pedal, PULLS)


def _lagged(wanted: np.ndarray, lag_s: float) -> np.ndarray:
    """First-order lag of a gauge or of the gas itself."""
    share = 1.0 - np.exp(-STEP_S / lag_s)
    value = np.empty_like(wanted)
    held = wanted[0]
    for i, target in enumerate(wanted):
        held += share * (target - held)
        value[i] = held
    return value


def demo_log_csv(case: Visit) -> bytes:
    """A plain CSV as a data logger writes it: a header with units, a point in the numbers, ten rows a second."""
    time_s, speed, pedal = _drive(case)
    full = pedal > 0
    boost = np.where(full, np.interp(speed, case.speeds_rpm, case.after["boost_kpa"]), 0.0)
    heat = np.where(full, np.interp(speed, case.speeds_rpm, case.after["exhaust_temperature_c"]), 160.0)
    rng = np.random.default_rng([case.number, 19])
    columns = {
        "time [s]": (time_s, 1),
        "engine speed [rpm]": (speed + rng.normal(0, 4, speed.size), 0),
        "boost [kPa]": (_lagged(boost, BOOST_LAG_S) + rng.normal(0, 0.4, speed.size), 1),
        "exhaust temperature [°C]": (_lagged(heat, HEAT_LAG_S) + rng.normal(0, 0.8, speed.size), 0),
        "pedal [%]": (pedal, 0),
    }
    out = io.StringIO()
    out.write(",".join(columns) + "\n")
    formats = [f"{{:.{decimals}f}}" for _, decimals in columns.values()]
    for row in zip(*(values for values, _ in columns.values()), strict=True):
        out.write(",".join(form.format(value) for form, value in zip(formats, row, strict=True)) + "\n")
    return out.getvalue().encode()


def record_log(case: Visit, job: JobCard, run: ProvingRun, by: Person, at, gauge: dict[str, Instrument]) -> LogFile:
    log = receive_log(job, "after", f"pass road, run {run.number}.csv", demo_log_csv(case), by, run=run, at=at)
    log = read_log(log, None, by, at=at)
    name_instruments(log, {c.pk: gauge[c.quantity] for c in log.columns.all() if c.quantity in gauge}, by, at)
    return log
