"""Power correction against UN R85, a textbook's worked examples, and plain arithmetic on the stated formulas."""

import pytest

from measurements.bench.dyno import correction as c
from sizing.physics.errors import OutOfRange


@pytest.mark.parametrize(("standard", "row"), [(s.slug, row.slug) for s in c.STANDARDS.values() for row in s.classes])
def test_standard_air_needs_no_correction(standard, row):
    # 99 kPa dry and 298 K are the reference of UN R85 and ISO 1585: factor 1 for every class
    assert c.atmospheric_factor(99.0, 298.0, standard, row) == pytest.approx(1.0)


def test_atmospheric_factor():
    # UN R85 turbocharged exponents 0.7 and 1.5, by hand: (99/95)^0.7 (303/298)^1.5
    assert c.atmospheric_factor(95.0, 303.0, "r85", "turbo") == pytest.approx(1.0553, abs=2e-5)
    # naturally aspirated, (99/85)(313/298)^0.7, to the power of 0.66 it is 1.1312 (plain arithmetic)
    assert c.atmospheric_factor(85.0, 313.0, "r85", "natural") ** 0.66 == pytest.approx(1.1312, abs=2e-4)
    # ISO 1585 as recalled: 1.2 without cooler or air to air, 0.7 air to liquid
    assert c.atmospheric_factor(99.0, 310.0, "iso1585", "turbo") == pytest.approx((310 / 298) ** 1.2)
    assert c.atmospheric_factor(99.0, 310.0, "iso1585", "turbo_liquid") == pytest.approx((310 / 298) ** 0.7)


def test_fuel_parameter():
    # Inputs of Mathur & Sharma example 27.6: 54.5 g/s, 1800 rpm, 51.8 L; at ratio 2.6 it is 26.98
    assert c.fuel_parameter(54.5, 51.8, 1800.0) == pytest.approx(70.14, abs=0.01)
    assert c.fuel_parameter(54.5, 51.8, 1800.0) / 2.6 == pytest.approx(26.98, abs=0.01)
    # plain arithmetic: 60 mm³, 4 cylinders, 0.835 kg/L, 3.0 L, ratio 1.8
    assert c.fuel_parameter_from_delivery(60.0, 4, 0.835, 3.0) / 1.8 == pytest.approx(37.11, abs=0.01)
    # both ways to the same figure: 4 x 60 mm³ at 0.835 kg/L, 1000 rpm is 500 cycles a minute
    assert c.fuel_parameter(4 * 60 * 0.835e-3 * 500 / 60, 3.0, 1000.0) == pytest.approx(
        c.fuel_parameter_from_delivery(60.0, 4, 0.835, 3.0)
    )


@pytest.mark.parametrize(
    ("fuel", "r85", "iso"),
    [
        # UN R85 Annex 5, 5.4.2.2: 0.3 below 40, 0.036 qc - 1.14 to 65, 1.2 above; ISO 1585 (memory): 0.2 below 37.2
        (20.0, 0.3, 0.2),
        (37.11, 0.3, 0.2),
        (38.0, 0.3, 0.228),
        (40.0, 0.3, 0.3),
        (50.0, 0.66, 0.66),
        (65.0, 1.2, 1.2),
        (80.0, 1.2, 1.2),
    ],
)
def test_engine_factor_of_both_standards(fuel, r85, iso):
    assert c.engine_factor(fuel, "r85") == pytest.approx(r85)
    assert c.engine_factor(fuel, "iso1585") == pytest.approx(iso)


def test_whole_correction():
    # dry 95 kPa and 303 K with qc 50: fa 1.0553, fm 0.66, factor 1.03617 (plain arithmetic)
    found = c.work_out_correction(95.0, 29.85, 0.0, 75.0, "r85", "turbo", 1.5, "compressor")
    assert found.factor == pytest.approx(1.03617, abs=2e-5)
    assert (found.corrected_fuel_parameter, found.is_allowed) == (pytest.approx(50.0), True)
    power = c.correct_power(100.0, found, 2.0)
    assert power.corrected_kw == pytest.approx(103.617, abs=0.002)
    assert power.corrected_uncertainty_kw == pytest.approx(2.0 * 1.03617, abs=1e-3)
    assert (found.standard, found.engine_class, found.ratio_place) == ("r85", "turbo", "compressor")
    assert any("mechanical pumps" in str(note) for note in found.notes)


def test_uncertainty_follows_the_slope_of_the_correction():
    # central differences on the formula itself, one input at a time (GUM 5.1)
    def power(dry=95.0, kelvin=303.0, fuel=50.0):
        fa = (99 / dry) ** 0.7 * (kelvin / 298) ** 1.5
        return 100 * fa ** (0.036 * fuel - 1.14)

    parts = [
        (power(dry=95.5) - power(dry=94.5)) / 2,  # half width 0.5 kPa
        (power(kelvin=305) - power(kelvin=301)) / 2,  # 2 K
        (power(fuel=52.5) - power(fuel=47.5)) / 2,  # 5 %
    ]
    wanted = (sum(p * p for p in parts) + (2.0 * power() / 100) ** 2) ** 0.5
    found = c.work_out_correction(95.0, 29.85, 0.0, 75.0, "r85", "turbo", 1.5, "compressor")
    assert c.correct_power(100.0, found, 2.0, 0.5, 2.0, 5.0).corrected_uncertainty_kw == pytest.approx(wanted, rel=1e-3)
    assert c.correct_power(100.0, found).corrected_uncertainty_kw is None  # unknown stays unknown


def test_conflict_of_the_standards_is_said():
    found = c.work_out_correction(95.0, 25.0, 30.0, 37.11 * 1.8, "r85", "turbo", 1.8, "cooler")
    said = " ".join(map(str, found.notes))
    assert "37.2" in said
    assert "0.300 against 0.200" in said
    assert "after the cooler" in said
    assert "takes it after the compressor" in said
    assert not any("standards part" in str(n) for n in c.work_out_correction(95.0, 25.0, 30.0, 60.0).notes)


@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        # Mathur & Sharma example 27.7: 69 kPa at 283 K takes the out-of-range branch
        ((69.0, 9.85, 40.0, 57.0), "Dry air pressure"),
        ((90.0, -5.0, 40.0, 57.0), "283 to 313 K"),
        ((97.0, 45.0, 10.0, 57.0), "283 to 313 K"),
        # naturally aspirated at 85 kPa and 313 K with qc 50: 1.1312 is above 1.1
        ((85.0, 39.8, 0.0, 50.0), "outside 0.9 to 1.1"),
    ],
)
def test_refused_outside_its_range_with_the_measured_figure_kept(arguments, why):
    found = c.work_out_correction(*arguments)
    assert not found.is_allowed
    assert why in " ".join(map(str, found.refusals))
    power = c.correct_power(70.0, found, 1.5)
    assert (power.measured_kw, power.corrected_kw, power.corrected_uncertainty_kw) == (70.0, None, None)


def test_ends_of_the_range_are_allowed():
    assert c.work_out_correction(80.0, 9.85, 0.0, 60.0, "r85", "turbo", 1.5, "compressor").is_allowed
    assert c.work_out_correction(110.0, 39.85, 0.0, 60.0, "r85", "turbo", 1.5, "compressor").is_allowed


def test_highland_workshop_is_told():
    # US Standard Atmosphere 1976: 79.5 kPa at 2000 m, 89.9 kPa at 1000 m
    assert "normally refused" in c.altitude_note(2600.0)
    assert "74 kPa" in c.altitude_note(2600.0)  # table value 73.8 kPa, interpolated
    assert c.altitude_note(2000.0)
    assert c.altitude_note(1000.0) == ""


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: c.work_out_correction(30.0, 20.0, 50.0, 60.0), "air pressure kpa is 30 kPa; allowed is 40 to 110 kPa"),
        (lambda: c.work_out_correction(95.0, 90.0, 50.0, 60.0), "air temperature c is 90"),
        (
            lambda: c.work_out_correction(95.0, 20.0, 101.0, 60.0),
            "relative humidity pct is 101 %; allowed is 0 to 100 %",
        ),
        (lambda: c.work_out_correction(95.0, 20.0, 50.0, float("nan")), "not a number"),
        (lambda: c.fuel_parameter(1.0, 2.5, 0.0), "speed rpm is 0 rpm; allowed is 100 to 8000 rpm"),
        (lambda: c.correct_power(-1.0, c.work_out_correction(95.0, 20.0, 50.0, 60.0)), "power kw is -1 kW"),
    ],
)
def test_impossible_figures_are_refused_by_name(call, named):
    with pytest.raises(OutOfRange, match=named):
        call()


@pytest.mark.parametrize(
    "arguments",
    [("r86", "natural", 1.0, "none"), ("r85", "turbo_liquid", 1.5, "cooler"), ("r85", "turbo", 1.5, "none"), ("r85", "natural", 1.5, "none"), ("r85", "turbo", 1.5, "elsewhere")],
)  # fmt: skip
def test_standard_class_and_place_have_to_go_together(arguments):
    with pytest.raises(ValueError, match=r"allowed|knows|needs"):
        c.work_out_correction(95.0, 20.0, 50.0, 60.0, *arguments)
