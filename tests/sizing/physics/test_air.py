import numpy as np
import pytest
from ambiance import Atmosphere
from CoolProp.CoolProp import HAPropsSI, PropsSI

from sizing.physics import air
from sizing.physics.errors import OutOfRange

# altitude m, figure, tolerance, source
PRESSURES = [
    (1500, 84.5597, 0.001, "ambiance.Atmosphere(1500).pressure; fluids ATMOSPHERE_1976 agrees"),
    (2000, 79.5014, 0.001, "ambiance.Atmosphere(2000).pressure"),
    (3000, 70.1211, 0.001, "ambiance.Atmosphere(3000).pressure"),
    (11019.1, 22.6321, 0.0005, "Denker, altimetry notes, tropopause 11 000 m geopotential: 22 632.1 Pa"),
]


@pytest.mark.parametrize(("altitude_m", "expected", "tolerance", "source"), PRESSURES)
def test_standard_pressure(altitude_m, expected, tolerance, source):
    assert air.standard_pressure_kpa(altitude_m) == pytest.approx(expected, abs=tolerance), source


def test_standard_temperature_against_printed_value():
    # ambiance and fluids: 281.651 K at 1000 m geometric
    assert air.standard_temperature_c(1000) + 273.15 == pytest.approx(281.651, abs=0.005)


def test_standard_atmosphere_over_a_grid_against_ambiance():
    altitude = np.linspace(-400, 10_900, 60)
    reference = Atmosphere(altitude)
    assert air.standard_pressure_kpa(altitude) == pytest.approx(reference.pressure / 1e3, rel=1e-5)
    assert air.standard_temperature_c(altitude) == pytest.approx(reference.temperature_in_celsius, abs=0.01)


def test_saturation_pressure_against_coolprop():
    # CoolProp PropsSI('P','T',298.15,'Q',0,'Water') = 3.1699 kPa
    assert air.saturation_pressure_kpa(25.0) == pytest.approx(3.1699, abs=0.002)
    warm = np.linspace(0.5, 140, 40)
    expected = [PropsSI("P", "T", t + 273.15, "Q", 0, "Water") / 1e3 for t in warm]
    assert air.saturation_pressure_kpa(warm) == pytest.approx(expected, rel=5e-4)


def test_saturation_over_ice_against_coolprop():
    for celsius in (-55.0, -30.0, -10.0, -0.5):
        expected = HAPropsSI("P_w", "T", celsius + 273.15, "P", 101325, "R", 1.0) / 1e3
        assert air.saturation_pressure_kpa(celsius) == pytest.approx(expected, rel=0.007)  # real-gas factor 0.5 %


def test_dry_pressure():
    # CoolProp HAPropsSI('P_w', 308.15 K, 98 kPa, 60 %) leaves 94.61 kPa
    assert air.dry_pressure_kpa(98.0, 35.0, 60.0) == pytest.approx(94.61, abs=0.02)
    # 100 kPa at 25 °C and 30 % is 99.05 kPa dry (the 99 kPa of ISO 1585)
    assert air.dry_pressure_kpa(100.0, 25.0, 30.0) == pytest.approx(99.05, abs=0.01)


def test_density_over_a_grid_against_coolprop():
    for kpa in (60.0, 101.325, 250.0):
        for celsius in (-30.0, 20.0, 150.0):
            expected = PropsSI("D", "T", celsius + 273.15, "P", kpa * 1e3, "Air")
            assert air.density_kg_m3(kpa, celsius) == pytest.approx(expected, rel=0.003)
    # ambiance: 1.11166 kg/m³ at 1000 m
    density = air.density_kg_m3(air.standard_pressure_kpa(1000), air.standard_temperature_c(1000))
    assert density == pytest.approx(1.11166, abs=1e-4)


def test_moist_density_against_coolprop():
    for kpa, celsius, humidity in [(101.325, 30.0, 80.0), (74.0, 15.0, 40.0), (101.325, 50.0, 100.0)]:
        volume = HAPropsSI("Vha", "T", celsius + 273.15, "P", kpa * 1e3, "R", humidity / 100)
        assert air.moist_density_kg_m3(kpa, celsius, humidity) == pytest.approx(1 / volume, rel=0.002)


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (air.standard_pressure_kpa, (-501.0,)),
        (air.standard_pressure_kpa, (11_100.0,)),
        (air.standard_temperature_c, (np.nan,)),
        (air.saturation_pressure_kpa, (-61.0,)),
        (air.saturation_pressure_kpa, (151.0,)),
        (air.vapour_pressure_kpa, (20.0, 101.0)),
        (air.vapour_pressure_kpa, (20.0, -1.0)),
        (air.dry_pressure_kpa, (19.0, 20.0, 50.0)),
        (air.dry_pressure_kpa, (121.0, 20.0, 50.0)),
        (air.dry_pressure_kpa, (100.0, 61.0, 50.0)),
        (air.density_kg_m3, (9.0, 20.0)),
        (air.density_kg_m3, (100.0, 1201.0)),
        (air.moist_density_kg_m3, (100.0, -61.0, 50.0)),
    ],
)
def test_out_of_range(function, arguments):
    with pytest.raises(OutOfRange):
        function(*arguments)
