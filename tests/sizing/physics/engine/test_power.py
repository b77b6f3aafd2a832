import numpy as np
import pytest

from sizing.physics.engine import power
from sizing.physics.errors import OutOfRange


def test_power_constant():
    assert pytest.approx(9549.297, abs=0.001) == power.RPM_NM_PER_KW  # 60000 / (2 pi)


def test_power_from_torque():
    # Kates ch. 7 example 1: 129 lb at 4 ft (699.6 Nm), 1150 rpm: 112.98 hp with the exact constant
    torque = 129 * 4.4482216 * 4 * 0.3048
    assert power.power_kw(torque, 1150.0) / 0.7457 == pytest.approx(112.98, abs=0.05)
    # DY-01: 9549.297 Nm at 1 rpm is 1 kW
    assert power.power_kw(9549.297, 1.0) == pytest.approx(1.0, abs=1e-6)
    assert power.power_kw(100.0, 0.0) == 0.0


def test_torque_undoes_power():
    for speed in (100.0, 800.0, 8000.0):
        assert power.power_kw(power.torque_nm(50.0, speed), speed) == pytest.approx(50.0)


def test_mean_pressure():
    # Rajput example 17.4: 160 Nm at 9.6 bar is 2.094 L; example 17.7: 6 bar, 25 L, 2000 rpm is 250 kW
    assert power.mean_pressure_kpa(160.0, 2.094) == pytest.approx(960.0, rel=0.001)
    assert power.power_from_mean_pressure_kw(600.0, 25.0, 2000.0) == pytest.approx(250.0)
    torque = power.torque_nm(250.0, 2000.0)
    assert power.mean_pressure_kpa(torque, 25.0) == pytest.approx(600.0)


def test_consumption_and_efficiency():
    # Mathur & Sharma 12.1: 89 kW at 245 g/kWh burn 21.805 kg/h
    assert power.fuel_consumption_g_kwh(21.805 / 3600, 89.0) == pytest.approx(245.0, abs=0.05)
    # 200 g/kWh at 42.5 MJ/kg is 42.35 % (definition: 3600 / (0.2 * 42500))
    assert power.brake_efficiency_ratio(200.0, 42.5) == pytest.approx(0.42353, abs=1e-4)
    # Mathur & Sharma: 245 g/kWh; at 42.8 MJ/kg the definition gives 0.3433
    assert power.brake_efficiency_ratio(245.0) == pytest.approx(0.3433, abs=1e-4)


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (power.power_kw, (20_001.0, 1000.0)),
        (power.power_kw, (100.0, -1.0)),
        (power.power_kw, (100.0, 8001.0)),
        (power.torque_nm, (50.0, 0.0)),
        (power.torque_nm, (3001.0, 1000.0)),
        (power.mean_pressure_kpa, (100.0, 0.0)),
        (power.mean_pressure_kpa, (100.0, -2.5)),
        (power.power_from_mean_pressure_kw, (4001.0, 2.5, 1000.0)),
        (power.fuel_consumption_g_kwh, (0.01, 0.0)),
        (power.fuel_consumption_g_kwh, (0.6, 10.0)),
        (power.brake_efficiency_ratio, (99.0,)),
        (power.brake_efficiency_ratio, (200.0, 10.0)),
        (power.brake_efficiency_ratio, (np.nan,)),
    ],
)
def test_out_of_range(function, arguments):
    with pytest.raises(OutOfRange):
        function(*arguments)
