"""Real logs: a tractor of about 40 kW run up without load, a car on a road cycle (tests/reference/data/SOURCES.md)."""

import os
from pathlib import Path

import pandas as pd
import pytest

from measurements.logs.pulls.pulls import find_pulls
from measurements.logs.report import report
from measurements.logs.words import findings
from sizing.tables.refused import FileRefused
from tests.measurements.logs.parsing.test_file import read
from tests.reference import DATA

FILES = ["tractor-idling.csv", "tractor-start-and-raise-speed-1.csv", "tractor-start-in-neutral.csv"]


@pytest.mark.parametrize("name", FILES)
def test_a_tractor_without_load_is_no_boost_test(name):
    log = read((DATA / name).read_bytes())
    lines = [str(said) for said in findings(log, find_pulls(log))]
    assert lines[0].startswith("No load, not a boost test")
    assert any("different rates" in line for line in lines)
    assert any("nothing is said about power" in line for line in lines)


@pytest.mark.parametrize("name", FILES)
def test_counts_and_ends_are_those_of_another_reader(name):
    path = DATA / name
    other, log = pd.read_csv(path), read(path.read_bytes())
    for header, quantity in (
        ("engine_speed_rpm", "speed_rpm"),
        ("boost_kPa", "boost_kpa"),
        ("oil_pressure_kPa", "oil_pressure_kpa"),
    ):
        column = log.column(quantity)
        assert column.value_count == other[header].count()
        assert (column.lowest, column.highest) == (other[header].min(), other[header].max())


def test_the_sentinel_is_left_out():
    column = read((DATA / "tractor-start-in-neutral.csv").read_bytes()).column("torque_pct")
    assert (column.left_out, column.left_out_low, column.lowest) == (1, -125.0, 0.0)


def test_the_fuel_spike_is_pointed_out_and_not_repaired():
    column = read((DATA / "tractor-idling.csv").read_bytes()).column("fuel_flow_l_h")
    [(at, value)] = column.spikes
    assert value == 81.8
    assert at == pytest.approx(1.871 - 0.1904, abs=1e-6)
    assert column.highest == 81.8


@pytest.mark.parametrize("name", ["road-cycle-1.csv", "road-cycle-3.csv"])
def test_a_road_cycle_without_engine_speed_carries_no_claim_of_power(name):
    [recording] = report((DATA / name).read_bytes())["recordings"]
    assert recording["rows"] == 300
    assert {column["quantity"] for column in recording["columns"]} == {"time_s", "road_speed_km_h", ""}
    assert any("no engine speed was logged" in line for line in recording["refusals"])
    assert any("nothing is said about power" in line for line in recording["refusals"])


@pytest.mark.parametrize("name", FILES)
def test_the_tractor_comes_out_the_same_from_the_shell(name):
    path = DATA / name
    other, [recording] = pd.read_csv(path), report(path.read_bytes())["recordings"]
    assert (recording["rows"], recording["pulls"]) == (len(other), [])
    for channel in recording["channels"]:
        if not channel["left_out_not_possible"]:
            assert (channel["values"], channel["lowest"], channel["highest"]) == (
                other[channel["header"]].count(),
                other[channel["header"]].min(),
                other[channel["header"]].max(),
            )


# More of them, too large to be carried along, may lie in a folder of one's own.
FOLDERS = [DATA, *([Path(os.environ["SHARED_DATA"])] if os.environ.get("SHARED_DATA") else [])]


@pytest.mark.parametrize("folder", FOLDERS)
def test_no_file_of_real_data_breaks_the_reading(folder):
    read, said = [], []
    for path in sorted(folder.rglob("*.*")):
        try:
            read.append(report(path.read_bytes()))
        except FileRefused as refused:
            said.append(str(refused))
    assert all(said)
    assert len(read) >= 3
