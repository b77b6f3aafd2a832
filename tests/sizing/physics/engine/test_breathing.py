import numpy as np
import pytest

from sizing.physics import air
from sizing.physics.compressor import work as compressor
from sizing.physics.engine import breathing
from sizing.physics.errors import OutOfRange


@pytest.mark.parametrize(("injection", "low", "high"), [("direct", 0.80, 0.90), ("indirect", 0.75, 0.85)])
def test_volumetric_efficiency_stays_in_the_handbook_range(injection, low, high):
    # handbook range, naturally aspirated, full load (from memory)
    speeds = np.linspace(1000, 4000, 20)
    curve = breathing.volumetric_efficiency_ratio(speeds, 4000.0, injection, 24.85)
    assert np.all((curve >= low - 1e-9) & (curve <= high + 1e-9))
    assert speeds[np.argmax(curve)] == pytest.approx(2000, abs=160)


def test_a_hot_charge_fills_better_for_its_density():
    # Heywood 6.2.3: with the root of the charge temperature
    cold, hot = breathing.volumetric_efficiency_ratio(2000.0, 4000.0, "direct", [24.85, 24.85 + 298.0])
    assert hot / cold == pytest.approx(np.sqrt(2.0))


def test_book_example_of_a_boosted_engine():
    # Gupta 15.1: 2.8 L, 3000 rpm, ratio 1.6, compressor efficiency 0.74, 15 °C; referred to the
    # surrounding air the volumetric efficiency is 134 % (unboosted part 1.0 of the manifold density)
    outlet = compressor.outlet_temperature_c(15.0, 1.6, 0.74)
    boosted = breathing.air_flow_kg_s(2.8, 3000.0, 1.0, 1.6 * 101.325, outlet)
    outside = breathing.air_flow_kg_s(2.8, 3000.0, 1.0, 101.325, 15.0)
    assert boosted / outside == pytest.approx(1.34, abs=0.02)


def test_book_example_of_swept_volume():
    # Mathur & Sharma 17.2: 250 kW, 245 g/kWh, air-fuel 17, 1500 rpm, 0.78, 1.013 bar, 283 K: 0.0238 m³
    wanted = 250 * 0.245 / 3600 * 17
    assert breathing.air_flow_kg_s(23.8, 1500.0, 0.78, 101.3, 9.85) == pytest.approx(wanted, rel=0.003)
    assert breathing.manifold_pressure_kpa(23.8, 1500.0, 0.78, wanted, 9.85) == pytest.approx(101.3, rel=0.003)


def test_air_flow_is_density_times_swept_volume():
    density = air.density_kg_m3(101.325, 15.0)  # 1.225 kg/m³, US Standard Atmosphere
    assert density == pytest.approx(1.225, abs=0.0005)
    assert breathing.air_flow_kg_s(1.0, 120.0, 1.0, 101.325, 15.0) == pytest.approx(1.225e-3, rel=1e-3)


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (breathing.volumetric_efficiency_ratio, (299.0, 4000.0, "direct", 25.0)),
        (breathing.volumetric_efficiency_ratio, (6000.0, 4000.0, "direct", 25.0)),
        (breathing.volumetric_efficiency_ratio, (2000.0, 400.0, "direct", 25.0)),
        (breathing.volumetric_efficiency_ratio, (2000.0, 4000.0, "direct", 401.0)),
        (breathing.air_flow_kg_s, (0.0, 2000.0, 0.9, 100.0, 25.0)),
        (breathing.air_flow_kg_s, (2.5, 2000.0, 90.0, 100.0, 25.0)),  # per cent
        (breathing.air_flow_kg_s, (2.5, 2000.0, 0.9, 601.0, 25.0)),
        (breathing.manifold_pressure_kpa, (2.5, 2000.0, 0.9, 0.0, 25.0)),
        (breathing.manifold_pressure_kpa, (1.0, 1000.0, 0.9, 1.0, 25.0)),
    ],
)
def test_out_of_range(function, arguments):
    with pytest.raises(OutOfRange):
        function(*arguments)


def test_an_unknown_kind_of_injection_is_named():
    with pytest.raises(ValueError, match="'common rail'; allowed is 'indirect' or 'direct'"):
        breathing.volumetric_efficiency_ratio(2000.0, 4000.0, "common rail", 25.0)
