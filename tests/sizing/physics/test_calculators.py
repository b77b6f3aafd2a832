"""The calculators hand the right values to the right formula; the formulas have their own checks."""

import math

import pytest

from sizing.calculators import CALCULATORS, UnknownCalculator, UnknownInput, calculate
from sizing.physics.errors import OutOfRange

# calculator, inputs, output, figure, tolerance, source
CHECKS = [
    ("air-at-the-place", {"altitude_m": 1500}, "air_pressure_kpa", 84.56, 0.01, "ambiance.Atmosphere(1500)"),
    ("air-at-the-place", {"altitude_m": 0, "air_temperature_c": 15, "relative_humidity_pct": 0}, "oxygen_share_pct", 100, 0.05, "definition"),
    ("engine-air", {"displacement_l": 23.8, "speed_rpm": 1500, "volumetric_efficiency_ratio": 0.78, "manifold_pressure_kpa": 101.3,
                    "charge_temperature_c": 9.85}, "air_flow_kg_s", 250 * 0.245 / 3600 * 17, 0.002, "Mathur & Sharma 17.2"),
    ("air-fuel", {"air_flow_kg_s": 0.1, "fuel_flow_kg_h": 18}, "air_fuel_ratio", 20.0, 1e-6, "definition"),
    ("air-fuel", {"air_flow_kg_s": 14.503 / 3600, "fuel_flow_kg_h": 1}, "lambda_ratio", 1.0, 0.001, "14.503 kg/kg, CH1.80 in real dry air"),
    ("delivery", {"delivery_mm3": 57.7, "cylinder_count": 6, "speed_rpm": 2500, "fuel_density_15c_kg_m3": 840, "fuel_temperature_c": 15},
     "fuel_flow_kg_h", 21.8, 0.05, "Mathur & Sharma 12.1: 89 kW at 245 g/kWh"),
    ("plunger", {"delivery_mm3": 40, "old_diameter_mm": 5.75, "new_diameter_mm": 7.25}, "delivery_mm3", 63.6, 0.1, "square of the diameters"),
    ("plunger", {"delivery_mm3": 150, "old_diameter_mm": 8, "new_diameter_mm": 8, "injection_pressure_bar": 199,
                 "enclosed_volume_mm3": 14948}, "effective_stroke_mm", 7.65, 0.03, "Mathur & Sharma 12.5"),
    ("compressor-outlet", {"inlet_temperature_c": 25, "inlet_pressure_kpa": 100, "air_pressure_kpa": 100, "boost_kpa": 100,
                           "efficiency_ratio": 0.70}, "outlet_temperature_c", 118.28, 0.02, "fluids, gamma 1.4"),
    ("compressor-efficiency", {"outlet_temperature_c": 117.98}, "efficiency_ratio", 0.70, 0.003, "CoolProp"),
    ("cooler", {"inlet_temperature_c": 118.28, "coolant_temperature_c": 25, "effectiveness_ratio": 0.7}, "charge_temperature_c", 52.98, 0.01,
     "definition"),
    ("cooler-effectiveness", {"inlet_temperature_c": 118.28, "outlet_temperature_c": 52.98}, "effectiveness_ratio", 0.7, 0.001, "definition"),
    ("restriction", {"air_flow_kg_s": 350 / 3600 * 1.184, "air_temperature_c": 25}, "cleaner_loss_kpa", 2.5, 0.03, "its own rating (ISO 5011)"),
    ("power", {"torque_nm": 160, "speed_rpm": 3000, "displacement_l": 2.094}, "mean_pressure_kpa", 960, 1, "Rajput 17.4"),
    ("power", {"torque_nm": 100, "speed_rpm": 5000}, "power_hp_metric", 71.2, 0.05, "100 Nm at 5000 rpm is 52.36 kW"),
    ("consumption", {"fuel_flow_kg_h": 21.805, "power_kw": 89}, "fuel_consumption_g_kwh", 245, 0.1, "Mathur & Sharma 12.1"),
    ("smoke-k", {"opacity_pct": 65}, "absorption_per_m", 2.4414, 0.0005, "Beer-Lambert on 0.430 m"),
    ("smoke-k", {"opacity_pct": 60, "path_m": 0.407}, "absorption_per_m", 2.2513, 0.0005, "French order of 1963"),
    ("smoke-opacity", {"absorption_per_m": 2.4414}, "opacity_pct", 65, 0.01, "Beer-Lambert"),
    ("injection-time", {"duration_deg": 30, "speed_rpm": 1500}, "duration_ms", 3.333, 0.001, "angle / (6 n)"),
]  # fmt: skip


@pytest.mark.parametrize(("slug", "values", "output", "expected", "tolerance", "source"), CHECKS)
def test_answers(slug, values, output, expected, tolerance, source):
    assert calculate(slug, values)[output] == pytest.approx(expected, abs=tolerance), source


@pytest.mark.parametrize("slug", CALCULATORS)
def test_every_calculator_answers_on_its_defaults_and_says_what_it_is(slug):
    row = CALCULATORS[slug]
    assert {s for s, *_ in CHECKS} >= {slug}
    assert row.title
    assert row.formula
    assert row.source
    answers = calculate(slug, {})
    assert list(answers) == [o.name for o in row.outputs]
    assert all(math.isfinite(a) for a in answers.values())


@pytest.mark.parametrize(("slug", "number"), [(s, k) for s, row in CALCULATORS.items() for k in range(len(row.inputs))])
def test_each_end_of_each_input(slug, number):
    field = CALCULATORS[slug].inputs[number]
    assert field.low <= field.default <= field.high
    for bad in (field.low - 1e-3 * (1 + abs(field.low)), field.high + 1e-3 * (1 + abs(field.high)), math.nan):
        with pytest.raises(OutOfRange, match=field.name.replace("_", " ")):
            calculate(slug, {field.name: bad})
    for end in (field.low, field.high):
        try:
            answers = calculate(slug, {field.name: end})
        except OutOfRange:
            continue  # the others at their defaults may not go with it, but then it says so
        assert all(math.isfinite(a) for a in answers.values())


def test_names_that_do_not_exist():
    with pytest.raises(UnknownCalculator, match="no calculator named 'horoscope'; there are air-at-the-place"):
        calculate("horoscope", {})
    with pytest.raises(UnknownInput, match="no input named 'boost'"):
        calculate("power", {"boost": 1})


def test_half_a_cylinder_is_refused():
    with pytest.raises(OutOfRange, match="whole numbers"):
        calculate("delivery", {"cylinder_count": 3.5})


def test_readings_that_contradict_each_other_are_refused():
    with pytest.raises(OutOfRange, match="a reading is wrong"):
        calculate("cooler-effectiveness", {"inlet_temperature_c": 80, "outlet_temperature_c": 90})
    with pytest.raises(OutOfRange, match="temperature rise"):
        calculate("compressor-efficiency", {"inlet_temperature_c": 40, "outlet_temperature_c": 30})
