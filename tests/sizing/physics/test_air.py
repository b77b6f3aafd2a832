import numpy as np
import pytest
from ambiance import Atmosphere
from CoolProp.CoolProp import HAPropsSI, PropsSI

from sizing.physics import air
from sizing.physics.errors import OutOfRange


def test_standard_atmosphere_over_a_grid_against_ambiance():
    altitude = np.linspace(-400, 10_900, 60)
    reference = Atmosphere(altitude)
    assert air.standard_pressure_kpa(altitude) == pytest.approx(reference.pressure / 1e3, rel=1e-5)
    assert air.standard_temperature_c(altitude) == pytest.approx(reference.temperature_in_celsius, abs=0.01)


def test_saturation_pressure_against_coolprop():
    warm = np.linspace(0.5, 140, 40)
    expected = [PropsSI("P", "T", t + 273.15, "Q", 0, "Water") / 1e3 for t in warm]
    assert air.saturation_pressure_kpa(warm) == pytest.approx(expected, rel=5e-4)


def test_saturation_over_ice_against_coolprop():
    for celsius in (-55.0, -30.0, -10.0, -0.5):
        expected = HAPropsSI("P_w", "T", celsius + 273.15, "P", 101325, "R", 1.0) / 1e3
        assert air.saturation_pressure_kpa(celsius) == pytest.approx(expected, rel=0.007)  # real-gas factor 0.5 %


def test_dry_pressure():
    # 100 kPa at 25 °C and 30 % is 99.05 kPa dry (the 99 kPa of ISO 1585)
    assert air.dry_pressure_kpa(100.0, 25.0, 30.0) == pytest.approx(99.05, abs=0.01)


def test_density_over_a_grid_against_coolprop():
    for kpa in (60.0, 101.325, 250.0):
        for celsius in (-30.0, 20.0, 150.0):
            expected = PropsSI("D", "T", celsius + 273.15, "P", kpa * 1e3, "Air")
            assert air.density_kg_m3(kpa, celsius) == pytest.approx(expected, rel=0.003)


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
