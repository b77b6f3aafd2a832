import fluids
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from sizing.physics.compressor import work as compressor
from sizing.physics.errors import OutOfRange

# pressure ratio, efficiency, °C; fluids.compressible.isentropic_T_rise_compression at 298.15 K, gamma 1.4
OUTLETS = [(1.5, 0.60, 86.03), (2.0, 0.70, 118.28), (2.4, 0.70, 146.05), (3.0, 0.78, 165.95)]


@pytest.mark.parametrize(("ratio", "efficiency", "expected"), OUTLETS)
def test_outlet_temperature(ratio, efficiency, expected):
    assert compressor.outlet_temperature_c(25.0, ratio, efficiency) == pytest.approx(expected, abs=0.02)


def real_outlet_c(inlet_c, ratio, efficiency, inlet_pa=1e5):
    kelvin = inlet_c + 273.15
    entropy = PropsSI("S", "T", kelvin, "P", inlet_pa, "Air")
    before = PropsSI("H", "T", kelvin, "P", inlet_pa, "Air")
    ideal = PropsSI("H", "P", inlet_pa * ratio, "S", entropy, "Air")
    return PropsSI("T", "P", inlet_pa * ratio, "H", before + (ideal - before) / efficiency, "Air") - 273.15


@pytest.mark.parametrize("ratio", [1.0, 1.4, 2.0, 3.0, 4.0])
@pytest.mark.parametrize("inlet_c", [-20.0, 25.0, 45.0])
def test_outlet_temperature_against_real_air(ratio, inlet_c):
    expected = real_outlet_c(inlet_c, ratio, 0.70)
    kelvin = compressor.outlet_temperature_c(inlet_c, ratio, 0.70) + 273.15
    assert kelvin == pytest.approx(expected + 273.15, rel=0.007)


def test_outlet_temperature_over_a_grid_against_fluids():
    for ratio in (1.0, 1.7, 6.0):
        expected = fluids.compressible.isentropic_T_rise_compression(288.15, 1e5, ratio * 1e5, 1.4, 0.65)
        assert compressor.outlet_temperature_c(15.0, ratio, 0.65) == pytest.approx(expected - 273.15, abs=0.01)


def test_efficiency_undoes_the_outlet_temperature():
    for ratio in (1.05, 2.0, 6.0):
        outlet = compressor.outlet_temperature_c(20.0, ratio, 0.72)
        assert compressor.efficiency_ratio(20.0, outlet, ratio) == pytest.approx(0.72)
    # CoolProp row: 117.98 °C at ratio 2 from 25 °C is 0.70
    assert compressor.efficiency_ratio(25.0, 117.98, 2.0) == pytest.approx(0.70, abs=0.003)


def test_power_against_real_air():
    for celsius in (60.0, 125.0, 200.0):
        rise = PropsSI("H", "T", celsius + 273.15, "P", 2e5, "Air") - PropsSI("H", "T", 298.15, "P", 1e5, "Air")
        assert compressor.power_kw(0.1, 25.0, celsius) == pytest.approx(0.1 * rise / 1e3, rel=0.012)


def test_density_gain():
    # arithmetic on fluids: ratio 2, efficiency 0.70, cooler 0.7, coolant at inlet: 1.8284
    assert compressor.density_gain_ratio(2.0, 25.0, 118.28 - 0.7 * 93.28) == pytest.approx(1.8284, abs=0.001)
    # ratio 3 without cooler, efficiency 0.7: 1.9649
    outlet = compressor.outlet_temperature_c(25.0, 3.0, 0.70)
    assert compressor.density_gain_ratio(3.0, 25.0, outlet) == pytest.approx(1.9649, abs=0.001)


def test_corrected_flow_and_speed():
    # 0.12393 kg/s on the 302.6 K, 96.2 kPa base is 0.12 kg/s at 298 K and 100 kPa by the same law
    assert compressor.corrected_flow_kg_s(0.12, 24.85, 100.0, 24.85, 100.0) == pytest.approx(0.12)
    # the first and the last of the three bases differ by up to 8 %
    aero = compressor.corrected_flow_kg_s(0.12, 24.85, 100.0, 15.0, 101.325)
    heavy = compressor.corrected_flow_kg_s(0.12, 24.85, 100.0, 29.45, 96.2)
    assert aero / heavy == pytest.approx(1.08, abs=0.005)
    # NASA radial compressor, first row of the archive: 14 984.7 rpm at 500.3635 R is 15 256.9 at 518.67 R
    celsius = 500.3635 / 1.8 - 273.15
    assert compressor.corrected_speed_rpm(14984.7, celsius, 15.0) == pytest.approx(15256.3, abs=1.0)


def test_corrected_flow_against_the_measured_archive():
    # same row: 4.902875 lbm/s at 500.3635 R and 11.0811 psia is 6.391561 lbm/s at 518.67 R, 14.696 psia
    celsius = 500.3635 / 1.8 - 273.15
    kpa = 11.0811 * 6.894757
    flow = compressor.corrected_flow_kg_s(4.902875, celsius, kpa, 15.0, 101.325)
    assert flow == pytest.approx(6.391561, rel=0.001)


def test_tip_speed():
    assert compressor.tip_speed_m_s(60.0, 150_000) == pytest.approx(471.2, abs=0.1)  # kinematics
    # Arasu example 3.3: 433.4 m/s at 200 rev/s is a wheel of 69 cm
    assert compressor.tip_speed_m_s(690.0, 12_000) == pytest.approx(433.4, rel=0.005)


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (compressor.outlet_temperature_c, (-61.0, 2.0, 0.7)),
        (compressor.outlet_temperature_c, (25.0, 0.99, 0.7)),
        (compressor.outlet_temperature_c, (25.0, 6.1, 0.7)),
        (compressor.outlet_temperature_c, (25.0, 2.0, 0.1)),
        (compressor.outlet_temperature_c, (25.0, 2.0, 70.0)),  # per cent where a fraction is meant
        (compressor.efficiency_ratio, (25.0, 25.0, 2.0)),
        (compressor.efficiency_ratio, (25.0, 120.0, 1.0)),
        (compressor.power_kw, (-0.1, 25.0, 100.0)),
        (compressor.power_kw, (0.1, 25.0, 401.0)),
        (compressor.density_gain_ratio, (0.4, 25.0, 25.0)),
        (compressor.density_gain_ratio, (2.0, 25.0, np.nan)),
        (compressor.corrected_flow_kg_s, (0.1, 25.0, 9.0, 25.0, 100.0)),
        (compressor.corrected_flow_kg_s, (0.1, 25.0, 100.0, 25.0, 14.7)),  # psi where kPa is meant
        (compressor.corrected_speed_rpm, (500_000, 25.0, 25.0)),
        (compressor.tip_speed_m_s, (19.0, 1000.0)),
        (compressor.tip_speed_m_s, (60.0, 400_001)),
    ],
)
def test_out_of_range(function, arguments):
    with pytest.raises(OutOfRange):
        function(*arguments)
