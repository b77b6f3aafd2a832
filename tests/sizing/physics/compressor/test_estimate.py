import numpy as np
import pytest

from sizing.physics.compressor import estimate as map_estimate
from sizing.physics.compressor.estimate import Wheel, choke_flow_kg_s, estimate_map, slip_factor, work_coefficient_ratio
from sizing.physics.errors import OutOfRange

# NASA radial compressor, wheel measures off the archive's coordinate files; 15 full and 15 splitter blades.
NASA = Wheel(215.9, 431.6, 30, 15.9, 34.0, 81.0, 54.0)
# Design speed 21 789 rpm at 288.15 K; the estimate stands at 298.15 K.
DESIGN_RPM = 21_789 * np.sqrt(298.15 / 288.15)
# Measured there: choke 11.55 lbm/s at 288.15 K and 101.325 kPa; best efficiency 0.827 at ratio 4.76.
CHOKE_KG_S = 11.55 * 0.45359237 * np.sqrt(288.15 / 298.15) * 100.0 / 101.325
RATIO_AT_BEST = 4.76


def test_choke_flow_of_the_measured_machine():
    tip = np.pi * 0.4316 * DESIGN_RPM / 60
    assert choke_flow_kg_s(NASA, tip) == pytest.approx(CHOKE_KG_S, rel=0.10)


def test_pressure_ratio_at_best_efficiency_of_the_measured_machine():
    chart = estimate_map(NASA)
    flow = np.linspace(1.01 * chart.surge_flow_kg_s(DESIGN_RPM), 0.99 * chart.choke_flow_kg_s(DESIGN_RPM), 200)
    line = chart.at_speed(DESIGN_RPM, flow)
    best = int(np.argmax(line.efficiency_ratio))
    assert line.pressure_ratio[best] == pytest.approx(RATIO_AT_BEST, rel=0.08)
    assert line.efficiency_ratio[best] == pytest.approx(0.827, abs=0.05)


def test_work_against_the_measured_temperature_rise():
    # measured at best efficiency: 4.75 kg/s, T07/T00 - 1 = 0.6725 at 288.15 K: 0.6725 * 1004.7 * 288.15 / U²
    tip = np.pi * 0.4316 * 21_789 / 60
    measured = 0.6725 * 1004.7 * 288.15 / tip**2
    corrected = 4.75 * np.sqrt(288.15 / 298.15) * 100.0 / 101.325
    assert work_coefficient_ratio(NASA, tip * np.sqrt(298.15 / 288.15), corrected) == pytest.approx(measured, rel=0.05)


def test_slip_against_textbook_values():
    # Dixon 7.4 uses 1 - 2/17 = 0.882 (Stanitz form for 17 radial vanes); Wiesner for 17: 0.862
    assert slip_factor(17, 0.0) == pytest.approx(0.862, abs=0.002)
    assert slip_factor(17, 0.0) == pytest.approx(0.882, abs=0.025)
    # Arasu 3.3 and others take 0.9 for wheels of about 20 vanes
    assert slip_factor(20, 20.0) == pytest.approx(0.9, abs=0.025)


def test_the_estimate_says_what_it_is():
    chart = estimate_map(Wheel(38.0, 52.0, 12))
    assert chart.origin == "estimated"
    assert "±8 %" in chart.error


def test_a_small_wheel_lies_where_practice_has_it():
    # common practice: a 52 mm wheel with a 38 mm inlet serves about 50 to 110 kW; 0.16 to 0.20 kg/s at most,
    # best efficiency 0.72 to 0.78 near ratio 2, tip speed about 400 m/s for 2.2
    chart = estimate_map(Wheel(38.0, 52.0, 12))
    assert 0.16 <= float(chart.choke_flow_kg_s(160e3)) <= 0.20
    efficiencies = [float(chart.at(f, 2.0).efficiency_ratio) for f in np.linspace(0.07, 0.14, 15)]
    assert 0.72 <= max(efficiencies) <= 0.78
    speed = float(chart.at(0.11, 2.2).speed_rpm)
    assert np.pi * 0.052 * speed / 60 == pytest.approx(400, rel=0.05)


def test_a_larger_wheel_loses_less():
    sizes = map_estimate.peak_efficiency_ratio(np.array([40.0, 80.0, 430.0]), 0.8)
    assert np.all(np.diff(sizes) > 0)
    assert sizes[2] == pytest.approx(0.87)  # good large stage, Casey and Robinson


def test_efficiency_shape_is_one_at_its_top_and_falls_to_both_sides():
    share = np.linspace(0.2, 0.999, 400)
    for mach in (0.6, 1.0, 1.4):
        shape = map_estimate.efficiency_shape_ratio(share, mach)
        top = int(np.argmax(shape))
        assert shape[top] == pytest.approx(1.0, abs=1e-3)
        assert np.all(np.diff(shape[: top + 1]) > -1e-9)
        assert np.all(np.diff(shape[top:]) < 1e-9)


@pytest.mark.parametrize(
    "measures",
    [
        (14.0, 52.0, 12), (38.0, 601.0, 12), (52.0, 38.0, 12), (38.0, 52.0, 5), (38.0, 52.0, 41),
        (38.0, 52.0, 12, 0.5), (38.0, 52.0, 12, 3.6, 61.0), (38.0, 52.0, 12, 3.6, 35.0, 30.0),
        (38.0, 52.0, 12, 3.6, 35.0, 12.0, 39.0), (np.nan, 52.0, 12),
    ],
)  # fmt: skip
def test_measures_of_no_wheel_are_refused(measures):
    with pytest.raises(OutOfRange):
        Wheel(*measures)


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (slip_factor, (5, 0.0)),
        (slip_factor, (12, 61.0)),
        (choke_flow_kg_s, (NASA, 49.0)),
        (choke_flow_kg_s, (NASA, 601.0)),
        (work_coefficient_ratio, (NASA, 400.0, -0.1)),
        (work_coefficient_ratio, (NASA, 100.0, 20.0)),
        (map_estimate.peak_efficiency_ratio, (19.0, 1.0)),
        (map_estimate.peak_efficiency_ratio, (50.0, 1.9)),
        (map_estimate.efficiency_shape_ratio, (0.0, 1.0)),
        (map_estimate.efficiency_shape_ratio, (0.5, 0.1)),
    ],
)
def test_out_of_range(function, arguments):
    with pytest.raises(OutOfRange):
        function(*arguments)
