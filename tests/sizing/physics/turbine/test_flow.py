import numpy as np
import pytest
from scipy.optimize import brentq

from sizing.physics.errors import NoSolution, OutOfRange
from sizing.physics.turbine import flow as turbine
from tests.sizing.physics.test_gas import exhaust


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
    found = turbine.turbine_outlet_temperature_c(8.0, 0.1, 650.0, 1.5)
    assert found == pytest.approx(gas.T - 273.15, abs=0.8)
    assert turbine.turbine_outlet_temperature_c(0.0, 0.1, 650.0, 1.5) == pytest.approx(650.0)


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
        (turbine.turbine_outlet_temperature_c, (1.0, 0.1, 600.0, 1.5, 0.6)),
        (turbine.turbine_outlet_temperature_c, (np.nan, 0.1, 600.0, 1.5)),
        (turbine.turbine_outlet_temperature_c, (1.0, 0.1, 600.0, 1.5, 0.97, -1.0)),
        (turbine.inlet_pressure_kpa, (0.1, 600.0, 39.0, 0.1)),
        (turbine.inlet_pressure_kpa, (0.1, 600.0, 104.0, 0.001)),
        (turbine.capacity_from_flow_kg_s, (0.1, 600.0, 105.0, 104.0)),
        (turbine.capacity_from_flow_kg_s, (0.0, 600.0, 200.0, 104.0)),
        (turbine.capacity_from_housing_kg_s, (49.0, 40.0)),
        (turbine.capacity_from_housing_kg_s, (500.0, 201.0)),
        (turbine.turbine_power_kw, (0.1, 600.0, 0.99, 1.5, 0.6)),
        (turbine.turbine_power_kw, (0.1, 600.0, 2.0, 1.5, 60.0)),
        (turbine.efficiency_at_speed_ratio, (0.65, 45.0, 999.0, 600.0, 1.8)),
        (turbine.efficiency_at_speed_ratio, (0.65, 45.0, 1e5, 600.0, 1.0)),
        (turbine.housing_loss_kw, (59.0, 2.0)),
        (turbine.housing_loss_kw, (600.0, 31.0)),
    ],
)
def test_out_of_range(function, arguments):
    with pytest.raises(OutOfRange):
        function(*arguments)


def nozzle_flux(before_kpa, behind_kpa, gamma=1.4, gas=287.05, kelvin=288.15):
    """Isentropic nozzle (any text on gas dynamics), kg/(s m²)."""
    ratio = max(behind_kpa / before_kpa, (2 / (gamma + 1)) ** (gamma / (gamma - 1)))
    return (
        before_kpa
        * 1e3
        * np.sqrt(2 * gamma / (gamma - 1) / (gas * kelvin) * (ratio ** (2 / gamma) - ratio ** ((gamma + 1) / gamma)))
    )


@pytest.mark.parametrize("expansion", [1.2, 1.5, 2.0, 2.8])
def test_capacity_curve_against_two_nozzles_in_series(expansion):
    """A radial turbine chokes later than one nozzle, as two in series do (housing and wheel)."""

    def passed(ratio):
        middle = brentq(lambda p: nozzle_flux(100.0 * ratio, p) - nozzle_flux(p, 100.0), 100.0, 100.0 * ratio)
        return nozzle_flux(100.0 * ratio, middle) / ratio

    share = passed(expansion) / passed(8.0)
    kelvin = 873.15
    corrected = 0.1 * share  # of a capacity of 0.1 kg/s
    flow = corrected * (expansion * 100.0) / 101.325 / np.sqrt(kelvin / 288.15)
    assert turbine.inlet_pressure_kpa(flow, kelvin - 273.15, 100.0, 0.1) == pytest.approx(100.0 * expansion, rel=0.10)


def test_inlet_pressure_and_capacity_are_inverse():
    for celsius in (300.0, 600.0, 900.0):
        before = turbine.inlet_pressure_kpa(0.12, celsius, 104.0, 0.11)
        assert turbine.capacity_from_flow_kg_s(0.12, celsius, before, 104.0) == pytest.approx(0.11)
    # no flow, no pressure
    assert turbine.inlet_pressure_kpa(0.0, 600.0, 104.0, 0.11) == pytest.approx(104.0)


def test_choked_flux_is_the_textbook_one():
    # 0.0404 * p / sqrt(T) for air: 0.04042 * 101325 / sqrt(288.15) = 241.3 kg/(s m²)
    assert turbine.choked_flux_kg_s_m2() == pytest.approx(0.04042 * 101_325 / np.sqrt(288.15), rel=0.001)
    # fluids-style check through the nozzle function above
    assert turbine.choked_flux_kg_s_m2() == pytest.approx(nozzle_flux(101.325, 1.0), rel=1e-6)


def test_capacity_from_housing():
    # a very large wheel leaves the housing alone: 500 mm² * 241.2 * 0.92
    assert turbine.capacity_from_housing_kg_s(500.0, 200.0) == pytest.approx(500e-6 * 241.2 * 0.92, rel=0.01)
    # common practice: housings of 4 to 8 cm² with a 40 mm outlet serve engines of about 1.5 to 3 L, 0.07 to 0.13 kg/s
    both = turbine.capacity_from_housing_kg_s(np.array([400.0, 800.0]), 40.0)
    assert np.all((both >= 0.07) & (both <= 0.13))


def test_power_undoes_the_expansion_ratio():
    for ratio in (1.001, 1.8, 4.0):
        given = turbine.turbine_power_kw(0.1, 600.0, ratio, 1.5, 0.6)
        assert turbine.expansion_ratio(given, 0.1, 600.0, 1.5, 0.6) == pytest.approx(ratio)


def test_efficiency_over_blade_speed_ratio():
    # Watson and Janota: best near 0.7; spouting velocity by hand: sqrt(2*1180*873.15*(1-1.8^-0.2432)) = 523 m/s
    best_rpm = 0.7 * 523.0 / (np.pi * 0.045) * 60
    assert turbine.efficiency_at_speed_ratio(0.65, 45.0, best_rpm, 600.0, 1.8) == pytest.approx(0.65, abs=0.001)
    assert turbine.efficiency_at_speed_ratio(0.65, 45.0, best_rpm / 2, 600.0, 1.8) == pytest.approx(
        0.65 * 0.75, rel=0.01
    )
