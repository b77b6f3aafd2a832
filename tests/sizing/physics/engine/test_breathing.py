import numpy as np
import pytest

from sizing.physics import air
from sizing.physics.engine import breathing
from sizing.physics.errors import OutOfRange


@pytest.mark.parametrize("injection", ["direct", "indirect"])
def test_an_engine_breathes_best_at_half_its_rated_speed(injection):
    # common practice: best torque of a diesel without turbo lies near half of the rated speed
    speeds = np.linspace(1000, 4000, 31)
    curve = breathing.volumetric_efficiency_ratio(speeds, 4000.0, injection, 24.85)
    assert speeds[np.argmax(curve)] == pytest.approx(2000)


def test_a_hot_charge_fills_better_for_its_density():
    # Heywood 6.2.3: with the root of the charge temperature
    cold, hot = breathing.volumetric_efficiency_ratio(2000.0, 4000.0, "direct", [24.85, 24.85 + 298.0])
    assert hot / cold == pytest.approx(np.sqrt(2.0))


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
