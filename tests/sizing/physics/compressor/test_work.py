import fluids
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from sizing.physics import air
from sizing.physics.compressor import work as compressor
from sizing.physics.errors import OutOfRange
from tests.reference import rows_of


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
        assert compressor.compression_power_kw(0.1, 25.0, celsius) == pytest.approx(0.1 * rise / 1e3, rel=0.012)


def test_corrected_speed_and_flow_of_the_measured_archive():
    """NASA's radial compressor, 92 points: 14,984.7 rpm at 500.36 °R is printed as 15,251.69 at 518.67 °R, and so on.

    The archive counts the moisture of its air, whose gas constant is greater by 0.608 of the mass of water (any text on
    moist air); the tool's law is that of dry air, and the difference comes out as the root of it.
    """
    names = ("NMECH", "NCRPM", "MDOT", "MDOTC", "P00", "T00", "RH0")
    speed, speed_printed, flow, flow_printed, psi, rankine, humidity = (
        np.array([row[name] for row in rows_of("compressor-archive.csv")]) for name in names
    )
    celsius, kpa = rankine / 1.8 - 273.15, psi * 6.894757
    vapour = air.vapour_pressure_kpa(celsius, humidity)
    moisture = np.sqrt(1 + 0.608 * 0.622 * vapour / (kpa - vapour))
    assert (speed[0], speed_printed[0], flow_printed[0]) == (14984.7, 15251.69, 6.391561)
    found = compressor.corrected_speed_rpm(speed, celsius, 15.0)
    assert found / moisture == pytest.approx(speed_printed, rel=5e-4)
    found = compressor.corrected_flow_kg_s(flow, celsius, kpa, 15.0, 101.325)
    assert found * moisture == pytest.approx(flow_printed, rel=1e-3)


def test_three_bases_of_maps_differ_as_they_are_said_to():
    # 288.15 K and 101.325 kPa against 302.6 K and 96.2 kPa (SAE J922, from memory): sqrt(302.6/288.15) 101.325/96.2 = 1.0794
    aero = compressor.corrected_flow_kg_s(0.12, 24.85, 100.0, 15.0, 101.325)
    heavy = compressor.corrected_flow_kg_s(0.12, 24.85, 100.0, 29.45, 96.2)
    assert aero / heavy == pytest.approx(1.0794, abs=2e-4)


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
        (compressor.compression_power_kw, (-0.1, 25.0, 100.0)),
        (compressor.compression_power_kw, (0.1, 25.0, 401.0)),
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
