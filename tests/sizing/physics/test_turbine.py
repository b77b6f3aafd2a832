import cantera
import numpy as np
import pytest

from sizing.physics import compressor, turbine
from sizing.physics.errors import NoSolution, OutOfRange

from .test_gas import exhaust


def test_book_share_of_turbine_power():
    # Gupta 15.6: air-fuel 20, compressor asks for 76.6 % of what the turbine gives with textbook gas
    # (cp 1.15); turned round: at the expansion ratio found here the real gas gives what was asked.
    power = compressor.power_kw(0.1, 15.0, 130.0)
    ratio = turbine.expansion_ratio(power, 0.105, 600.0, 20 / 14.5, 0.65)
    gas = exhaust(20 / 14.5)
    gas.TP = 873.15, ratio * 1e5
    before, entropy = gas.enthalpy_mass, gas.entropy_mass
    gas.SP = entropy, 1e5
    assert 0.105 * 0.65 * (before - gas.enthalpy_mass) / 1e3 == pytest.approx(power, rel=0.02)


@pytest.mark.parametrize("celsius", [400.0, 600.0, 800.0])
@pytest.mark.parametrize("lambda_ratio", [1.1, 2.0])
def test_power_balance_over_a_grid_against_cantera(celsius, lambda_ratio):
    gas = exhaust(lambda_ratio)
    gas.TP = celsius + 273.15, 2.0e5
    before, entropy = gas.enthalpy_mass, gas.entropy_mass
    gas.SP = entropy, 1.0e5
    given_kw = 0.1 * 0.6 * (before - gas.enthalpy_mass) / 1e3
    assert turbine.expansion_ratio(given_kw, 0.1, celsius, lambda_ratio, 0.6) == pytest.approx(2.0, rel=0.02)


def test_no_power_needs_no_expansion():
    assert turbine.expansion_ratio(0.0, 0.1, 600.0, 1.5, 0.6) == pytest.approx(1.0)


def test_outlet_temperature_against_cantera():
    gas = exhaust(1.5)
    gas.TP = 923.15, 101325
    target = gas.enthalpy_mass - 8000.0 / 0.97 / 0.1
    gas.HP = target, 101325
    found = turbine.outlet_temperature_c(8.0, 0.1, 650.0, 1.5)
    assert found == pytest.approx(gas.T - 273.15, abs=0.8)
    assert turbine.outlet_temperature_c(0.0, 0.1, 650.0, 1.5) == pytest.approx(650.0)
    assert cantera.__version__


def test_a_turbine_that_cannot_supply_the_boost_says_so():
    with pytest.raises(NoSolution, match="cannot supply this boost"):
        turbine.expansion_ratio(60.0, 0.1, 400.0, 2.0, 0.5)


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (turbine.expansion_ratio, (-1.0, 0.1, 600.0, 1.5, 0.6)),
        (turbine.expansion_ratio, (1.0, 0.0, 600.0, 1.5, 0.6)),
        (turbine.expansion_ratio, (1.0, 0.1, 1201.0, 1.5, 0.6)),
        (turbine.expansion_ratio, (1.0, 0.1, 600.0, 0.9, 0.6)),
        (turbine.expansion_ratio, (1.0, 0.1, 600.0, 1.5, 60.0)),
        (turbine.outlet_temperature_c, (1.0, 0.1, 600.0, 1.5, 0.6)),
        (turbine.outlet_temperature_c, (np.nan, 0.1, 600.0, 1.5)),
        (turbine.outlet_temperature_c, (1.0, 0.1, 600.0, 1.5, 0.97, -1.0)),
    ],
)
def test_out_of_range(function, arguments):
    with pytest.raises(OutOfRange):
        function(*arguments)
