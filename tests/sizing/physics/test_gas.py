import cantera
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from sizing.physics import gas
from sizing.physics.errors import OutOfRange


def exhaust(lambda_ratio: float) -> cantera.Solution:
    """Products of CH1.80 with real dry air, argon included, as cantera sees them."""
    mixture = cantera.Solution("gri30.yaml")
    needed = 1.45 * lambda_ratio
    mixture.X = {
        "CO2": 1.0, "H2O": 0.9, "O2": needed - 1.45,
        "N2": needed * (1 - 0.20946 - 0.00934) / 0.20946, "AR": needed * 0.00934 / 0.20946,
    }  # fmt: skip
    return mixture


def test_heat_capacity_of_air():
    # CoolProp PropsSI('C','T',400,'P',101325,'Air') = 1014.14 J/(kg K)
    assert gas.heat_capacity_j_kg_k(126.85) == pytest.approx(1014.14, rel=0.003)
    for kelvin in (260.0, 500.0, 900.0, 1500.0):
        expected = PropsSI("CP0MASS", "T", kelvin, "P", 101325, "Air")
        assert gas.heat_capacity_j_kg_k(kelvin - 273.15) == pytest.approx(expected, rel=0.004)


@pytest.mark.parametrize("lambda_ratio", [1.0, 1.4, 3.0])
def test_exhaust_over_a_grid_against_cantera(lambda_ratio):
    mixture = exhaust(lambda_ratio)
    mixture.TP = 298.15, 101325
    zero = mixture.enthalpy_mass
    for kelvin in (300.0, 500.0, 800.0, 1000.0, 1600.0, 2400.0, 2850.0):
        mixture.TP = kelvin, 101325
        celsius = kelvin - 273.15
        assert gas.heat_capacity_j_kg_k(celsius, lambda_ratio) == pytest.approx(mixture.cp_mass, rel=0.004)
        assert gas.enthalpy_j_kg(celsius, lambda_ratio) == pytest.approx(mixture.enthalpy_mass - zero, abs=3000)
        gamma = mixture.cp_mass / mixture.cv_mass
        assert gas.isentropic_exponent(celsius, lambda_ratio) == pytest.approx(gamma, rel=0.002)
    expected = cantera.gas_constant / mixture.mean_molecular_weight
    assert gas.gas_constant_j_kg_k(lambda_ratio) == pytest.approx(expected, rel=1e-4)


def test_gas_constant_of_air():
    assert gas.gas_constant_j_kg_k() == pytest.approx(287.05, abs=0.06)  # CoolProp


def test_temperature_and_enthalpy_are_inverse():
    celsius = np.linspace(-40, 2380, 30)
    back = gas.temperature_from_enthalpy_c(gas.enthalpy_j_kg(celsius, 1.7), 1.7)
    assert back == pytest.approx(celsius, abs=1e-6)


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (gas.products_share, (0.99,)),
        (gas.gas_constant_j_kg_k, (0.5,)),
        (gas.heat_capacity_j_kg_k, (-61.0,)),
        (gas.heat_capacity_j_kg_k, (2601.0,)),
        (gas.isentropic_exponent, (np.nan,)),
        (gas.enthalpy_j_kg, (20.0, 0.9)),
        (gas.temperature_from_enthalpy_c, (-81e3,)),
        (gas.temperature_from_enthalpy_c, (3.1e6,)),
    ],
)
def test_out_of_range(function, arguments):
    with pytest.raises(OutOfRange):
        function(*arguments)
