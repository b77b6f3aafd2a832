import fluids
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from sizing.physics.around import restriction
from sizing.physics.errors import OutOfRange


def test_cleaner_meets_its_rating_and_two_share_the_flow():
    assert restriction.cleaner_loss_kpa(400.0, 400.0, 2.5) == pytest.approx(2.5)
    # common practice: two elements side by side lose a quarter to a third of one (between linear and square)
    both = restriction.cleaner_loss_kpa(400.0, 400.0, 2.5, element_count=2)
    assert 0.25 * 2.5 < both < 0.33 * 2.5
    assert restriction.cleaner_loss_kpa(0.0, 400.0, 2.5) == 0.0


def test_cleaner_at_half_flow_lies_between_paper_and_pipe():
    # Darcy (paper, linear) and turbulent pipe (square) bound every cleaner
    half = restriction.cleaner_loss_kpa(200.0, 400.0, 4.0)
    assert 4.0 * 0.25 < half < 4.0 * 0.5


@pytest.mark.parametrize("celsius", [-40.0, 20.0, 150.0, 380.0])
def test_viscosity_against_coolprop(celsius):
    expected = PropsSI("V", "T", celsius + 273.15, "P", 101325, "Air")
    assert restriction.viscosity_pa_s(celsius) == pytest.approx(expected, rel=0.025)


@pytest.mark.parametrize("reynolds", [500.0, 1e4, 1e5, 1e6])
@pytest.mark.parametrize("roughness", [0.0, 1e-4, 0.01])
def test_friction_factor_against_fluids(reynolds, roughness):
    expected = fluids.friction_factor(Re=reynolds, eD=roughness)  # Clamond's exact Colebrook
    assert restriction.friction_factor(reynolds, roughness) == pytest.approx(expected, rel=0.035)


@pytest.mark.parametrize("angle", [30.0, 90.0, 180.0])
@pytest.mark.parametrize("ratio", [1.0, 1.5, 4.0])
def test_bend_against_fluids(angle, ratio):
    expected = fluids.fittings.bend_rounded(Di=0.05, angle=angle, fd=0.02, rc=ratio * 0.05, method="Rennels")
    assert restriction.bend_loss_coefficient(angle, ratio) == pytest.approx(expected, rel=1e-6)


def test_a_smooth_bend_against_a_printed_figure():
    # Miller, Internal Flow Systems, as fluids reads its charts: 0.245 for 90 degrees, 1.5 bores, Re 1e5
    assert restriction.bend_loss_coefficient(90.0, 1.5) == pytest.approx(0.245, abs=0.01)
    assert restriction.bend_loss_coefficient(0.0, 1.5) == pytest.approx(0.0)


@pytest.mark.parametrize(("flow", "bore"), [(0.02, 40.0), (0.1, 60.0), (0.4, 100.0)])
def test_pipe_loss_against_fluids(flow, bore):
    density = PropsSI("D", "T", 293.15, "P", 150e3, "Air")
    speed = flow / (density * np.pi / 4 * (bore / 1e3) ** 2)
    mu = PropsSI("V", "T", 293.15, "P", 150e3, "Air")
    factor = fluids.friction_factor(Re=density * speed * bore / 1e3 / mu, eD=0.05 / bore)
    K = fluids.core.K_from_f(fd=factor, L=1.5, D=bore / 1e3) + 0.6
    expected = fluids.core.dP_from_K(K, rho=density, V=speed) / 1e3
    found = restriction.pipe_loss_kpa(flow, bore, 1500.0, 150.0, 20.0, 0.6)
    assert found == pytest.approx(expected, rel=0.03)
    assert restriction.air_speed_m_s(flow, bore, 150.0, 20.0) == pytest.approx(speed, rel=0.002)


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (restriction.cleaner_loss_kpa, (-1.0, 400.0, 2.5)),
        (restriction.cleaner_loss_kpa, (1001.0, 400.0, 2.5)),
        (restriction.cleaner_loss_kpa, (300.0, 19.0, 2.5)),
        (restriction.cleaner_loss_kpa, (300.0, 400.0, 16.0)),
        (restriction.cleaner_loss_kpa, (300.0, 400.0, 2.5, 5)),
        (restriction.air_speed_m_s, (0.1, 9.0, 100.0, 20.0)),
        (restriction.air_speed_m_s, (1.0, 40.0, 100.0, 20.0)),
        (restriction.viscosity_pa_s, (401.0,)),
        (restriction.friction_factor, (0.5, 0.0)),
        (restriction.friction_factor, (1e5, 0.06)),
        (restriction.bend_loss_coefficient, (181.0, 1.5)),
        (restriction.bend_loss_coefficient, (90.0, 0.4)),
        (restriction.pipe_loss_kpa, (0.1, 60.0, -1.0, 100.0, 20.0)),
        (restriction.pipe_loss_kpa, (0.1, 60.0, 1000.0, 100.0, 20.0, 51.0)),
        (restriction.pipe_loss_kpa, (0.25, 50.0, 20_000.0, 100.0, 20.0, 10.0)),
        (restriction.pipe_loss_kpa, (np.nan, 50.0, 100.0, 100.0, 20.0)),
    ],
)
def test_out_of_range(function, arguments):
    with pytest.raises(OutOfRange):
        function(*arguments)
