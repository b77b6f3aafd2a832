"""The calculators hand the right values to the right formula; the formulas have their own checks."""

import math
import statistics

import numpy as np
import pytest

from sizing.calculators.table import CALCULATORS, UnknownCalculator, UnknownInput, calculate
from sizing.physics.errors import OutOfRange
from sizing.physics.pump import lines as bench_sheet

BENCH_LINES = (58.0, 60.0, 62.0, 60.0)
BENCH = {f"line_{k}_mm3": delivery for k, delivery in enumerate(BENCH_LINES, 1)}

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
    ("injection-duration", {"delivery_mm3": 60, "plunger_diameter_mm": 8, "plunger_speed_mm_deg": 0.1194}, "duration_deg", 20, 0.01,
     "stroke 1.194 mm for 60 mm³ of an 8 mm plunger (row IP-15), 10 degrees at the pump, twice that at the crank"),
    ("injection-duration", {"delivery_mm3": 60, "plunger_diameter_mm": 8, "plunger_speed_mm_deg": 0.0796, "speed_rpm": 1500}, "duration_ms",
     3.333, 0.002, "30 degrees of crank at 1500 rpm (row IP-11)"),
    ("injection-duration", {"delivery_mm3": 384, "plunger_diameter_mm": 8, "plunger_speed_mm_deg": 1.0}, "duration_pump_deg", 7.64, 0.01,
     "Mathur & Sharma 12.5: 0.384 cm³ is a stroke of 7.65 mm (prints 0.384 rounded)"),
    ("bench-sheet", BENCH, "mean_mm3", statistics.fmean(BENCH_LINES), 1e-9, "Python statistics"),
    ("bench-sheet", BENCH, "spread_pct", 20 / 3, 1e-9, "4 mm³ of 60 mm³ by hand"),
    ("bench-sheet", BENCH, "spread_room_pct", 4 - 20 / 3, 1e-9, "4 % allowed"),
    ("bench-sheet", BENCH | {"lambda_ratio": 1.24}, "richest_lambda_ratio", 1.2, 1e-9, "1.24 x 60 / 62 by hand"),
    ("bench-sheet", {"line_1_mm3": 57.7, "line_2_mm3": 57.7}, "richest_lambda_ratio", 1.35, 1e-9, "even lines change nothing"),
    ("pipe-speed", {"air_flow_kg_s": 0.1, "bore_mm": 60, "pressure_kpa": 101.325, "air_temperature_c": 20}, "air_speed_m_s",
     0.1 / 1.2041 / (math.pi / 4 * 0.06**2), 0.05, "continuity; air of 1.2041 kg/m³ at 20 °C and one atmosphere (handbook)"),
    ("pipe-speed", {"air_flow_kg_s": 0.1, "bore_mm": 60, "pressure_kpa": 101.325, "air_temperature_c": 20}, "velocity_head_kpa",
     1.2041 * 29.37**2 / 2000, 0.005, "q = rho v^2 / 2"),
    ("pipe-speed", {"bore_mm": 50, "speed_max_m_s": 25}, "bore_for_speed_mm", 50 * math.sqrt(0.1 * 287.05 * 333.15 / 2e5 / (math.pi / 4 * 0.05**2) / 25),
     0.1, "speed goes with one over the square of the bore"),
    ("turbine-capacity", {"gas_flow_kg_s": 0.1, "exhaust_temperature_c": 600, "inlet_pressure_kpa": 400, "outlet_pressure_kpa": 100}, "capacity_kg_s",
     0.1 * math.sqrt(873.15 / 288.15) * 101.325 / 400, 1e-3, "a choked nozzle passes its capacity, corrected for temperature and pressure (textbook)"),
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
    assert field.default is None or field.low <= field.default <= field.high
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


def test_one_line_alone_has_no_spread():
    with pytest.raises(OutOfRange, match="line count is 1"):
        bench_sheet.line_spread_pct([45.0])


def test_a_sheet_of_many_pumps_is_told_row_by_row():
    # numpy's own range over mean, as oracle
    sheets = np.array([[44.0, 45.0, 46.0], [50.0, 50.0, 50.0]])
    expected = np.ptp(sheets, axis=1) / sheets.mean(axis=1) * 100
    assert bench_sheet.line_spread_pct(sheets) == pytest.approx(expected)
    assert bench_sheet.richest_line_lambda_ratio([1.3, 1.3], sheets) == pytest.approx([1.3 * 45 / 46, 1.3])


def test_half_a_cylinder_is_refused():
    with pytest.raises(OutOfRange, match="whole numbers"):
        calculate("delivery", {"cylinder_count": 3.5})


def test_readings_that_contradict_each_other_are_refused():
    with pytest.raises(OutOfRange, match="a reading is wrong"):
        calculate("cooler-effectiveness", {"inlet_temperature_c": 80, "outlet_temperature_c": 90})
    with pytest.raises(OutOfRange, match="temperature rise"):
        calculate("compressor-efficiency", {"inlet_temperature_c": 40, "outlet_temperature_c": 30})
