import cantera
import numpy as np
import pytest

from sizing.physics import fuel
from sizing.physics.errors import OutOfRange


def test_air_needed_by_road_diesel():
    # 14.503 for CH1.80 with real dry air, IUPAC masses; the 3.76 convention gives 14.403
    assert fuel.stoichiometric_air_fuel(1.80) == pytest.approx(14.503, abs=0.005)
    assert pytest.approx(14.503, abs=0.005) == fuel.STOICHIOMETRIC_AIR_FUEL


def test_air_needed_by_dodecane_against_cantera():
    # cantera nDodecane_Reitz.yaml: 14.915 with O2 + 3.76 N2; real air with argon needs 0.7 % more
    mixture = cantera.Solution("nDodecane_Reitz.yaml")
    plain = mixture.stoich_air_fuel_ratio("c12h26", {"o2": 1, "n2": 3.76}, "mole")
    assert plain == pytest.approx(14.915, abs=0.002)
    assert fuel.stoichiometric_air_fuel(26 / 12) == pytest.approx(plain * 1.007, rel=0.001)


def test_air_needed_at_the_edge_of_pure_carbon_and_methane():
    # carbon: 32/12.011/0.2314 kg; methane: 17.12 with 3.76 N2 (textbook), 0.7 % more here
    assert fuel.stoichiometric_air_fuel(0.0) == pytest.approx(11.51, rel=0.003)
    assert fuel.stoichiometric_air_fuel(4.0) == pytest.approx(17.12 * 1.007, rel=0.003)


def test_air_needed_from_mass_analysis():
    # Kates, ch. 5 example 9 prints 14.79; unrounded 14.776
    assert fuel.stoichiometric_air_fuel_by_mass(86, 14) == pytest.approx(14.79, abs=0.02)
    # pure hydrogen: 8/0.231 = 34.6 (textbook 34.3)
    assert fuel.stoichiometric_air_fuel_by_mass(0, 100) == pytest.approx(34.3, rel=0.012)


def test_lambda_and_air_fuel():
    # definitions; Gupta example 15.6 runs a turbocharged diesel at 20 kg/kg
    assert fuel.air_fuel_ratio(0.2, 0.01) == pytest.approx(20.0)
    assert fuel.lambda_ratio(20.0) == pytest.approx(20.0 / 14.503, abs=0.001)
    assert fuel.lambda_ratio(14.503) == pytest.approx(1.0, abs=0.001)


def test_density_when_warm():
    # API MPMS 11.1 style: 817.1 kg/m³ at 40 °C from 835 at 15 °C (from memory)
    assert fuel.fuel_density_kg_m3(835.0, 40.0) == pytest.approx(817.1, abs=0.5)
    assert fuel.fuel_density_kg_m3(820.0, 15.0) == pytest.approx(820.0)  # EN 590 lower end, by definition
    # handbook: about -0.085 % per kelvin
    assert fuel.fuel_density_kg_m3(845.0, 25.0) / 845.0 - 1 == pytest.approx(-0.0085, abs=0.0006)


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (fuel.stoichiometric_air_fuel, (-0.1,)),
        (fuel.stoichiometric_air_fuel, (4.1,)),
        (fuel.stoichiometric_air_fuel_by_mass, (101, 0)),
        (fuel.stoichiometric_air_fuel_by_mass, (50, -1)),
        (fuel.air_fuel_ratio, (0.0, 0.01)),
        (fuel.air_fuel_ratio, (0.1, 0.0)),
        (fuel.air_fuel_ratio, (5.1, 0.01)),
        (fuel.air_fuel_ratio, (0.1, 0.6)),
        (fuel.lambda_ratio, (0.5,)),
        (fuel.lambda_ratio, (np.inf,)),
        (fuel.fuel_density_kg_m3, (780.0, 15.0)),
        (fuel.fuel_density_kg_m3, (835.0, 130.0)),
    ],
)
def test_out_of_range(function, arguments):
    with pytest.raises(OutOfRange):
        function(*arguments)
