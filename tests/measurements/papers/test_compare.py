"""Pairing, differences and gains. Uncertainties add as in the Guide to the Expression of Uncertainty (JCGM 100, 5.1.2)."""

import numpy as np
import pytest

from measurements.bench.curves.curve_csv import read_curve
from measurements.papers.compare import ComparedStop, Difference, Value, curve_gain, pairs
from sizing.drawing.plots import nice_ticks
from sizing.tables.refused import FileRefused
from tests.reference import DATA

ORDER = ["boost_kpa", "exhaust_temperature_c"]


def stop(speed, load=100.0, air=(None, None), **values):
    return ComparedStop(speed, load, {k: Value(v) for k, v in values.items()}, *air)


def test_the_nearest_stop_is_the_partner_and_each_is_used_once():
    found = pairs(
        [stop(2000, boost_kpa=1.0), stop(2080, boost_kpa=2.0)],
        [stop(2050, boost_kpa=50.0), stop(2010, boost_kpa=40.0)],
        ORDER,
    )
    assert [(p.before.speed_rpm, p.after.speed_rpm) for p in found] == [(2000, 2010), (2080, 2050)]


def test_stops_at_other_speeds_or_loads_stand_alone():
    found = pairs(
        [stop(2000, boost_kpa=1.0)], [stop(2200, boost_kpa=50.0), stop(2000, load=50.0, boost_kpa=20.0)], ORDER
    )
    assert all(p.before is None or p.after is None for p in found)
    assert len(found) == 3


def test_a_quantity_read_on_one_side_only_has_no_difference():
    [pair] = pairs(
        [stop(2000, exhaust_temperature_c=500.0)], [stop(2000, exhaust_temperature_c=600.0, boost_kpa=80.0)], ORDER
    )
    assert [(d.quantity, d.value) for d in pair.differences] == [("boost_kpa", None), ("exhaust_temperature_c", 100.0)]


def test_uncertainties_of_two_gauges_add_in_squares():
    difference = Difference("boost_kpa", Value(10.0, 3.0), Value(14.0, 4.0))
    assert difference.uncertainty == 5.0
    assert difference.is_lost_in_gauges
    assert Difference("boost_kpa", Value(10.0), Value(14.0, 4.0)).uncertainty is None


def test_different_air_and_places_are_said():
    [pair] = pairs([stop(2000, air=(8.0, 75.0), boost_kpa=1.0)], [stop(2000, air=(24.0, 74.8), boost_kpa=80.0)], ORDER)
    assert pair.unlike == ["air temperature 8 °C before and 24 °C after"]
    [pair] = pairs([stop(2000, boost_kpa=1.0)], [stop(2050, air=(24.0, 74.8), boost_kpa=80.0)], ORDER)
    assert "held at 2000 rpm before and 2050 rpm after" in pair.unlike[0]
    assert "not noted before" in pair.unlike[1]
    assert Difference("x", Value(1, place="exhaust_port"), Value(2, place="before_turbine")).places_differ


def test_gain_at_the_speeds_that_both_curves_cover():
    gain = curve_gain([(1000, 100.0), (2000, 120.0), (5000, 90.0)], [(900, 110.0), (3000, 180.0)])
    np.testing.assert_allclose(gain.speeds_rpm, [1000, 2000])
    np.testing.assert_allclose(gain.after_nm, [110 + 70 * 100 / 2100, 110 + 70 * 1100 / 2100])
    assert curve_gain([(1000, 100.0)], [(2000, 100.0), (3000, 100.0)]) is None


def test_a_curve_from_power_and_other_units():
    """P[kW] = T[Nm] n / 9549.297; 1 lbf ft = 1.355818 Nm (NIST SP 811)."""
    [(speed, torque), _] = read_curve(b"rpm;power_kW\n3000;62,832\n4000;70,5\n")
    assert (speed, torque) == (3000.0, pytest.approx(62.832 * 9549.297 / 3000, rel=1e-6))
    [(_, torque), _] = read_curve(b"Speed [rpm],Torque [lb-ft]\n2000,100\n3000,90\n")
    assert torque == pytest.approx(135.5818, abs=1e-3)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"engine_speed_rpm,other\n1000,1\n2000,2\n", "torque_Nm / power_kW"),
        (b"other,torque_Nm\n1000,1\n2000,2\n", "No column named engine_speed_rpm"),
        (b"rpm,torque_Nm\n1000,100\n2000,abc\n", "Line 3, torque_Nm: 'abc'"),
        (b"rpm,torque_Nm\n1000,100\n2000,nan\n", "Line 3, torque_Nm: 'nan'"),
        (b"rpm,torque_Nm\n1000,100\n2000,inf\n", "Line 3, torque_Nm: 'inf'"),
        (b"rpm,torque_Nm\n1000,100\n2000,1e999\n", "Line 3, torque_Nm: '1e999'"),
        (b"rpm,torque_Nm\n1000,100\n2_000,90\n", "Line 3, rpm: '2_000'"),
        (b"rpm;torque_Nm\n1000;100,5\n2000;9_0\n", "Line 3, torque_Nm: '9_0'"),
        (b"", "empty"),
        (b"torque_Nm\n1\n2\n", "No column named engine_speed_rpm"),
    ],
)
def test_a_curve_that_cannot_be_read_says_why(data, words):
    with pytest.raises(FileRefused, match=words):
        read_curve(data)


def test_the_full_load_curve_of_a_real_engine():
    """Engine E, 2.0 L, indirect injection, not turbocharged, as published: 134.47 Nm at 3000 rpm is its best."""
    points = read_curve((DATA / "engine-e-2.0l-na-idi-full-load.csv").read_bytes())
    assert len(points) == 9
    assert max(points, key=lambda p: p[1]) == (3000.0, 134.47)


def test_ticks_are_round():
    assert nice_ticks(0.0, 182.0) == [0.0, 50.0, 100.0, 150.0, 200.0]
    assert nice_ticks(1000.0, 5000.0) == [1000.0, 2000.0, 3000.0, 4000.0, 5000.0]
