"""Single questions with single answers: one table that pages and the shell both read.

Pure: no database, no request. Each row names its inputs with unit and range, says its formula in
words and symbols, and where it comes from. `calculate` checks the ranges and calls the physics.
"""

from collections.abc import Mapping

from sizing.calculators.calculator import Calculator, Input, Output
from sizing.physics import air, fuel
from sizing.physics.around import cooler, restriction
from sizing.physics.compressor import work as compressor
from sizing.physics.engine import breathing, power, smoke
from sizing.physics.errors import OutOfRange, require
from sizing.physics.pump import injection
from sizing.physics.pump import lines as bench_sheet
from sizing.physics.pump import plunger as pump
from sizing.physics.turbine import flow as turbine


class UnknownCalculator(ValueError):
    """There is no calculator of that name; the message lists those that there are."""


class UnknownInput(ValueError):
    """The calculator has no such input; the message lists those that it has."""


def _air_at_the_place(altitude_m: float, air_temperature_c: float, relative_humidity_pct: float) -> tuple[float, ...]:
    pressure = air.standard_pressure_kpa(altitude_m)
    dry = air.dry_pressure_kpa(pressure, air_temperature_c, relative_humidity_pct)
    density = air.moist_density_kg_m3(pressure, air_temperature_c, relative_humidity_pct)
    # Oxygen goes with the dry part alone.
    sea_level = air.density_kg_m3(air.SEA_LEVEL_KPA, 15.0)
    share = air.density_kg_m3(dry, air_temperature_c) / sea_level
    return float(pressure), float(dry), float(density), float(share * 100.0)


def _engine_air(
    displacement_l: float, speed_rpm: float, volumetric_efficiency_ratio: float, manifold_pressure_kpa: float,
    charge_temperature_c: float,
) -> tuple[float, ...]:  # fmt: skip
    flow = breathing.air_flow_kg_s(
        displacement_l, speed_rpm, volumetric_efficiency_ratio, manifold_pressure_kpa, charge_temperature_c
    )
    return float(flow), float(flow / air.density_kg_m3(air.SEA_LEVEL_KPA, 20.0) * 3600.0)


def _air_fuel(air_flow_kg_s: float, fuel_flow_kg_h: float) -> tuple[float, ...]:
    ratio = fuel.air_fuel_ratio(air_flow_kg_s, fuel_flow_kg_h / 3600.0)
    return float(ratio), float(fuel.lambda_ratio(ratio)), float(1.0 / fuel.lambda_ratio(ratio))


def _delivery(
    delivery_mm3: float,
    cylinder_count: float,
    speed_rpm: float,
    fuel_density_15c_kg_m3: float,
    fuel_temperature_c: float,
) -> tuple[float, ...]:
    density = fuel.fuel_density_kg_m3(fuel_density_15c_kg_m3, fuel_temperature_c)
    flow = float(pump.fuel_flow_kg_s(delivery_mm3, density, speed_rpm, cylinder_count))
    return flow * 3600.0, flow / float(density) * 3.6e6, delivery_mm3 * float(density) * 1e-3


def _plunger(
    delivery_mm3: float,
    old_diameter_mm: float,
    new_diameter_mm: float,
    injection_pressure_bar: float,
    enclosed_volume_mm3: float,
) -> tuple[float, ...]:
    lost = pump.fuel_compression_mm3(injection_pressure_bar, enclosed_volume_mm3)
    stroke = pump.effective_stroke_for_mm(delivery_mm3, old_diameter_mm, injection_pressure_bar, enclosed_volume_mm3)
    square = pump.delivery_after_plunger_change_mm3(delivery_mm3, old_diameter_mm, new_diameter_mm)
    most = pump.delivery_after_plunger_change_mm3(delivery_mm3, old_diameter_mm, new_diameter_mm, lost)
    return float(square), float(most), float(stroke), float(lost)


def _compressor_outlet(
    inlet_temperature_c: float,
    inlet_pressure_kpa: float,
    boost_kpa: float,
    air_pressure_kpa: float,
    efficiency_ratio: float,
) -> tuple[float, ...]:
    ratio = float(require("pressure_ratio", (air_pressure_kpa + boost_kpa) / inlet_pressure_kpa, 1.0, 6.0, ""))
    outlet = float(compressor.outlet_temperature_c(inlet_temperature_c, ratio, efficiency_ratio))
    gain = float(compressor.density_gain_ratio(ratio, inlet_temperature_c, outlet))
    return ratio, outlet, gain


def _compressor_efficiency(
    inlet_temperature_c: float, outlet_temperature_c: float, pressure_ratio: float
) -> tuple[float, ...]:
    return (float(compressor.efficiency_ratio(inlet_temperature_c, outlet_temperature_c, pressure_ratio)),)


def _cooler(
    inlet_temperature_c: float,
    coolant_temperature_c: float,
    effectiveness_ratio: float,
    pressure_kpa: float,
    pressure_loss_kpa: float,
) -> tuple[float, ...]:
    outlet = float(cooler.cooled_temperature_c(inlet_temperature_c, coolant_temperature_c, effectiveness_ratio))
    after = float(require("pressure_behind_cooler_kpa", pressure_kpa - pressure_loss_kpa, 30.0, 600.0, "kPa"))
    before = air.density_kg_m3(pressure_kpa, inlet_temperature_c)
    return (
        outlet,
        float(air.density_kg_m3(after, outlet)),
        float((air.density_kg_m3(after, outlet) / before - 1.0) * 100.0),
    )


def _cooler_check(
    inlet_temperature_c: float, outlet_temperature_c: float, coolant_temperature_c: float
) -> tuple[float, ...]:
    found = cooler.effectiveness_from_readings_ratio(inlet_temperature_c, outlet_temperature_c, coolant_temperature_c)
    return (float(require("effectiveness_ratio", found, 0.0, 1.0, "(a reading is wrong)")),)


def _restriction(
    air_flow_kg_s: float, rated_flow_m3_h: float, rated_loss_kpa: float, element_count: float, bore_mm: float,
    length_mm: float, bend_count: float, air_pressure_kpa: float, air_temperature_c: float,
) -> tuple[float, ...]:  # fmt: skip
    density = float(air.density_kg_m3(air_pressure_kpa, air_temperature_c))
    volume = air_flow_kg_s / density * 3600.0
    cleaner = float(restriction.cleaner_loss_kpa(volume, rated_flow_m3_h, rated_loss_kpa, element_count, density))
    bends = bend_count * float(restriction.bend_loss_coefficient(90.0, 1.5))
    pipe = float(
        restriction.pipe_loss_kpa(air_flow_kg_s, bore_mm, length_mm, air_pressure_kpa, air_temperature_c, bends)
    )
    speed = float(restriction.air_speed_m_s(air_flow_kg_s, bore_mm, air_pressure_kpa, air_temperature_c))
    return cleaner, pipe, cleaner + pipe, speed


def _power(torque_nm: float, speed_rpm: float, displacement_l: float) -> tuple[float, ...]:
    kw = float(power.power_kw(torque_nm, speed_rpm))
    return kw, kw / 0.73549875, float(power.mean_pressure_kpa(torque_nm, displacement_l))


def _consumption(fuel_flow_kg_h: float, power_kw: float) -> tuple[float, ...]:
    used = float(power.fuel_consumption_g_kwh(fuel_flow_kg_h / 3600.0, power_kw))
    return used, float(power.brake_efficiency_ratio(used)) * 100.0


def _smoke_k(opacity_pct: float, path_m: float) -> tuple[float, ...]:
    return (float(smoke.absorption_per_m(opacity_pct, path_m)),)


def _smoke_opacity(absorption_per_m: float, path_m: float) -> tuple[float, ...]:
    return (float(smoke.opacity_pct(absorption_per_m, path_m)),)


def _injection_time(duration_deg: float, speed_rpm: float) -> tuple[float, ...]:
    return (float(pump.duration_ms(duration_deg, speed_rpm)),)


def _injection_duration(
    delivery_mm3: float, plunger_diameter_mm: float, plunger_speed_mm_deg: float, speed_rpm: float
) -> tuple[float, ...]:
    crank = float(injection.injection_duration_deg(delivery_mm3, plunger_diameter_mm, plunger_speed_mm_deg))
    require("duration_deg", crank, 0.0, 90.0, "° crank")
    return crank, crank / 2.0, float(pump.duration_ms(crank, speed_rpm))


def _bench_sheet(lambda_ratio: float, spread_max_pct: float, **lines: float | None) -> tuple[float, ...]:
    told = [delivery for delivery in lines.values() if delivery is not None]
    found = bench_sheet.sheet_figures(told, lambda_ratio)
    return (
        found.mean_mm3,
        found.spread_pct,
        spread_max_pct - found.spread_pct,
        found.richest_mm3,
        found.richest_lambda_ratio,
    )


def _pipe_speed(
    air_flow_kg_s: float, bore_mm: float, pressure_kpa: float, air_temperature_c: float, speed_max_m_s: float
) -> tuple[float, ...]:
    speed = float(restriction.air_speed_m_s(air_flow_kg_s, bore_mm, pressure_kpa, air_temperature_c))
    head_kpa = float(air.density_kg_m3(pressure_kpa, air_temperature_c)) * speed**2 / 2e3
    return speed, bore_mm * (speed / speed_max_m_s) ** 0.5, head_kpa


def _turbine_capacity(
    gas_flow_kg_s: float, exhaust_temperature_c: float, inlet_pressure_kpa: float, outlet_pressure_kpa: float
) -> tuple[float, ...]:
    capacity = turbine.capacity_from_flow_kg_s(
        gas_flow_kg_s, exhaust_temperature_c, inlet_pressure_kpa, outlet_pressure_kpa
    )
    return float(capacity), inlet_pressure_kpa / outlet_pressure_kpa


_AIR_C = Input("air_temperature_c", "Air temperature", "°C", -40, 55, 25, "t")
_SPEED = Input("speed_rpm", "Engine speed", "rpm", 300, 6500, 2400, "n")
_PATH = Input("path_m", "Optical path of the instrument", "m", 0.03, 1.0, 0.430, "L")
_HOT = Input("inlet_temperature_c", "Charge temperature before the cooler", "°C", -40, 250, 120, "t1")
_COOLANT = Input("coolant_temperature_c", "Cooling air or water as it enters", "°C", -40, 110, 25, "tc")

CALCULATORS: dict[str, Calculator] = {
    c.slug: c
    for c in [
        Calculator(
            "air-at-the-place", "Air at the place", "p = 101.325 (T/288.15)^5.25588; pd = p - RH psat(t); ρ = pd/(R T) + pv/(Rv T)",
            (Input("altitude_m", "Altitude", "m", -430, 5200, 2600, "H"), _AIR_C,
             Input("relative_humidity_pct", "Relative humidity", "%", 0, 100, 50, "RH")),
            (Output("air_pressure_kpa", "Air pressure", "kPa absolute", 2, "p"), Output("dry_pressure_kpa", "Dry part", "kPa absolute", 2, "pd"),
             Output("density_kg_m3", "Air density", "kg/m³", 3, "ρ"), Output("oxygen_share_pct", "Oxygen in a litre, sea level at 15 °C is 100", "%", 0)),
            _air_at_the_place, "US Standard Atmosphere 1976; saturation line of IAPWS (Wagner and Pruss)",
            "The weather moves the barometer by up to 3 kPa: type a reading where there is one.",
        ),
        Calculator(
            "engine-air", "Air that an engine takes", "m = V n/120 ηv p/(R T)",
            (Input("displacement_l", "Displacement", "L", 0.3, 30, 2.5, "V"), _SPEED,
             Input("volumetric_efficiency_ratio", "Volumetric efficiency at manifold density", "", 0.5, 1.2, 0.85, "ηv"),
             Input("manifold_pressure_kpa", "Manifold pressure, absolute", "kPa", 40, 500, 200, "p"),
             Input("charge_temperature_c", "Charge temperature", "°C", -40, 250, 60, "t")),
            (Output("air_flow_kg_s", "Air flow", "kg/s", 4, "m"), Output("volume_flow_m3_h", "The same at 20 °C and sea level", "m³/h", 0)),
            _engine_air, "Ideal gas law, four-stroke; Heywood, Internal Combustion Engine Fundamentals, ch. 2",
        ),
        Calculator(
            "air-fuel", "Air-fuel ratio", "AFR = m air / m fuel; λ = AFR / 14.50",
            (Input("air_flow_kg_s", "Air flow (dry)", "kg/s", 0.001, 3, 0.1, "m air"),
             Input("fuel_flow_kg_h", "Fuel flow", "kg/h", 0.05, 600, 16, "m fuel")),
            (Output("air_fuel_ratio", "Air-fuel ratio", "kg/kg", 1, "AFR"), Output("lambda_ratio", "Lambda", "", 2, "λ"),
             Output("equivalence_ratio", "Equivalence ratio", "", 2, "φ")),
            _air_fuel, "Complete combustion of CH1.80 in dry air with argon, 14.50 kg/kg",
            "Below lambda 1.3 (direct) or 1.2 (indirect) a diesel smokes and runs hot: common practice.",
        ),
        Calculator(
            "delivery", "Fuel from pump delivery", "m = V z n/2 ρ(t); 1 mm³ a stroke = 1 cm³ per 1000 strokes",
            (Input("delivery_mm3", "Delivery", "mm³/stroke", 1, 600, 45, "V"), Input("cylinder_count", "Cylinders", "", 1, 16, 4, "z"), _SPEED,
             Input("fuel_density_15c_kg_m3", "Fuel density at 15 °C", "kg/m³", 790, 920, 835, "ρ15"),
             Input("fuel_temperature_c", "Fuel temperature at the pump", "°C", -20, 90, 40, "t")),
            (Output("fuel_flow_kg_h", "Fuel flow", "kg/h", 2, "m"), Output("fuel_flow_l_h", "Fuel flow", "L/h", 2),
             Output("fuel_per_cycle_mg", "Fuel per cycle and cylinder", "mg", 1)),
            _delivery, "Four-stroke, one delivery every second turn; density by API MPMS 11.1 (constants from memory)",
        ),
        Calculator(
            "plunger", "Larger plunger at equal rack", "V2 = V1 (d2/d1)²; with compression: V2 = (V1 + C Δp Vc)(d2/d1)² - C Δp Vc",
            (Input("delivery_mm3", "Delivery with the old plunger", "mm³/stroke", 3, 300, 40, "V1"),
             Input("old_diameter_mm", "Old plunger", "mm", 4, 14, 6, "d1"), Input("new_diameter_mm", "New plunger", "mm", 4, 14, 7, "d2"),
             Input("injection_pressure_bar", "Pressure rise of the fuel", "bar", 0, 1200, 150, "Δp"),
             Input("enclosed_volume_mm3", "Barrel, line and injector together", "mm³", 0, 20000, 2000, "Vc")),
            (Output("delivery_mm3", "Delivery by the square rule", "mm³/stroke", 1, "V2"),
             Output("delivery_most_mm3", "Upper bound, fuel compression counted", "mm³/stroke", 1),
             Output("effective_stroke_mm", "Effective stroke", "mm", 2, "s"), Output("compressed_mm3", "Volume lost to compression", "mm³/stroke", 1)),
            _plunger, "Geometry; compressibility 79e-6 per bar (Mathur & Sharma ch. 12, Gupta ch. 10)",
            "Only the pump bench says what is delivered. More fuel needs more air: do not run it before the boost is there.",
        ),
        Calculator(
            "compressor-outlet", "Air behind the compressor", "T2 = T1 [1 + (r^0.2857 - 1)/η]",
            (Input("inlet_temperature_c", "Air before the compressor", "°C", -40, 60, 25, "t1"),
             Input("inlet_pressure_kpa", "Pressure before it, absolute", "kPa", 45, 110, 99, "p1"),
             Input("boost_kpa", "Boost behind it, gauge", "kPa", 0, 350, 120),
             Input("air_pressure_kpa", "Air pressure", "kPa", 50, 108, 101.325),
             Input("efficiency_ratio", "Compressor efficiency", "", 0.4, 0.85, 0.68, "η")),
            (Output("pressure_ratio", "Pressure ratio", "", 2, "r"), Output("outlet_temperature_c", "Temperature", "°C", 0, "t2"),
             Output("density_gain_ratio", "Density against the inlet", "times", 2)),
            _compressor_outlet, "Ideal gas of exponent 1.4; within 1.1 K of real air up to ratio 3",
        ),
        Calculator(
            "compressor-efficiency", "Compressor efficiency from readings", "η = T1 (r^0.2857 - 1)/(T2 - T1)",
            (Input("inlet_temperature_c", "Air before the compressor", "°C", -40, 60, 25, "t1"),
             Input("outlet_temperature_c", "Air behind it", "°C", -30, 350, 118, "t2"),
             Input("pressure_ratio", "Pressure ratio, absolute", "", 1.05, 6, 2.0, "r")),
            (Output("efficiency_ratio", "Efficiency", "", 2, "η"),),
            _compressor_efficiency, "Ideal gas of exponent 1.4",
            "Above 0.85 or below 0.5 look at the gauges first: a probe near hot metal reads high.",
        ),
        Calculator(
            "cooler", "Charge behind a cooler", "t2 = t1 - ε (t1 - tc)",
            (_HOT, _COOLANT, Input("effectiveness_ratio", "Effectiveness", "", 0, 1, 0.7, "ε"),
             Input("pressure_kpa", "Pressure before the cooler, absolute", "kPa", 60, 500, 240),
             Input("pressure_loss_kpa", "Loss of the cooler", "kPa", 0, 40, 5)),
            (Output("charge_temperature_c", "Charge temperature", "°C", 0, "t2"), Output("charge_density_kg_m3", "Charge density", "kg/m³", 3),
             Output("density_gain_pct", "More air than without the cooler", "%", 0)),
            _cooler, "Definition of effectiveness; ideal gas law",
        ),
        Calculator(
            "cooler-effectiveness", "Cooler effectiveness from readings", "ε = (t1 - t2)/(t1 - tc)",
            (_HOT, Input("outlet_temperature_c", "Charge temperature behind it", "°C", -40, 250, 50, "t2"), _COOLANT),
            (Output("effectiveness_ratio", "Effectiveness", "", 2, "ε"),),
            _cooler_check, "Definition of effectiveness",
        ),
        Calculator(
            "restriction", "Air cleaner and pipe", "Δp = Δp rated (Q/Q rated)^1.8 ρ/1.19; Δp pipe = (f L/D + ΣK) ρ v²/2",
            (Input("air_flow_kg_s", "Air flow", "kg/s", 0.001, 3, 0.1), Input("rated_flow_m3_h", "Rated flow of one element", "m³/h", 20, 10000, 350),
             Input("rated_loss_kpa", "Loss at rated flow", "kPa", 0.05, 15, 2.5), Input("element_count", "Elements side by side", "", 1, 4, 1),
             Input("bore_mm", "Bore of the pipe", "mm", 20, 300, 63, "D"), Input("length_mm", "Length of the pipe", "mm", 0, 10000, 1000, "L"),
             Input("bend_count", "Bends of 90° (radius 1.5 bores)", "", 0, 12, 2), Input("air_pressure_kpa", "Air pressure", "kPa", 50, 108, 101.325), _AIR_C),
            (Output("cleaner_loss_kpa", "Loss of the cleaner", "kPa", 2), Output("pipe_loss_kpa", "Loss of the pipe", "kPa", 2),
             Output("total_loss_kpa", "Both", "kPa", 2), Output("air_speed_m_s", "Air speed in the pipe", "m/s", 0, "v")),
            _restriction, "ISO 5011 for the rating, exponent 1.8 common practice; Darcy and Weisbach, Churchill, Rennels and Hudson",
            "A loaded element loses about 6.2 kPa at its service limit (25 inches of water, common practice).",
        ),
        Calculator(
            "power", "Power, torque and mean pressure", "P = T n/9549.3; bmep = 4 π T/V",
            (Input("torque_nm", "Torque", "Nm", 0, 10000, 250, "T"), _SPEED, Input("displacement_l", "Displacement", "L", 0.3, 30, 2.5, "V")),
            (Output("power_kw", "Power", "kW", 1, "P"), Output("power_hp_metric", "Power", "hp metric", 1), Output("mean_pressure_kpa", "Mean pressure", "kPa", 0, "bmep")),
            _power, "Mechanics; four-stroke; 1 hp metric = 0.7355 kW",
        ),
        Calculator(
            "consumption", "Specific consumption and efficiency", "b = m/P; η = 3600/(b 42.8)",
            (Input("fuel_flow_kg_h", "Fuel flow", "kg/h", 0.05, 600, 16, "m"), Input("power_kw", "Power at the flywheel", "kW", 1, 2000, 60, "P")),
            (Output("fuel_consumption_g_kwh", "Specific consumption", "g/kWh", 0, "b"), Output("brake_efficiency_pct", "Efficiency", "%", 1, "η")),
            _consumption, "Definitions; lower heating value 42.8 MJ/kg (handbook 42.5 to 43.1)",
        ),
        Calculator(
            "smoke-k", "Smoke: k from opacity", "k = -ln(1 - N/100)/L",
            (Input("opacity_pct", "Opacity", "%", 0, 99.9, 50, "N"), _PATH),
            (Output("absorption_per_m", "Absorption coefficient", "1/m", 2, "k"),),
            _smoke_k, "Beer-Lambert law", "Opacity means nothing without its path; write both down.",
        ),
        Calculator(
            "smoke-opacity", "Smoke: opacity from k", "N = 100 (1 - e^(-k L))",
            (Input("absorption_per_m", "Absorption coefficient", "1/m", 0, 20, 1.6, "k"), _PATH),
            (Output("opacity_pct", "Opacity", "%", 1, "N"),),
            _smoke_opacity, "Beer-Lambert law",
        ),
        Calculator(
            "injection-time", "Injection duration in time", "t = θ/(6 n)",
            (Input("duration_deg", "Injection duration", "° crank", 1, 90, 25, "θ"), _SPEED),
            (Output("duration_ms", "Duration", "ms", 2, "t"),),
            _injection_time, "Kinematics; 20 to 30 degrees at full load are usual (common practice)",
        ),
        Calculator(
            "injection-duration", "Injection duration from plunger and delivery", "θ = 2 V/(π d²/4 c); t = θ/(6 n)",
            (Input("delivery_mm3", "Delivery", "mm³/stroke", 1, 600, 60, "V"), Input("plunger_diameter_mm", "Plunger", "mm", 4, 14, 8, "d"),
             Input("plunger_speed_mm_deg", "Lift for a degree of pump shaft, ports shut", "mm/°", 0.05, 1.5, 0.2, "c"), _SPEED),
            (Output("duration_deg", "Duration", "° crank", 1, "θ"), Output("duration_pump_deg", "The same at the pump", "° pump", 1),
             Output("duration_ms", "In time", "ms", 2, "t")),
            _injection_duration, "Geometry; the pump of a four-stroke turns at half engine speed; 20 to 30 degrees of crank at full load are usual (common practice, from memory)",
            "This is the least: lines and nozzle stretch it. The lift for a degree is measured with a dial gauge on the tappet, over the few degrees after the port shuts.",
        ),
        Calculator(
            "bench-sheet", "Bench sheet: lines against each other", "m = (V1 + V2 + …)/number of lines; S = 100 (Vmax - Vmin)/m; λr = λ m/Vmax",
            (*(Input(f"line_{k}_mm3", f"Line {k}", "mm³/stroke", 1, 600, {1: 45.0, 2: 44.0}.get(k), f"V{k}") for k in range(1, 9)),
             Input("lambda_ratio", "Lambda of the plan at full load", "", 0.8, 5, 1.35, "λ"),
             Input("spread_max_pct", "Spread allowed", "%", 0.5, 20, bench_sheet.SPREAD_MAX_PCT)),
            (Output("mean_mm3", "Mean of the lines", "mm³/stroke", 1, "m"), Output("spread_pct", "Spread, richest less leanest", "% of the mean", 1, "S"),
             Output("spread_room_pct", "Room to the spread allowed; below zero is too much", "% of the mean", 1),
             Output("richest_mm3", "Richest line", "mm³/stroke", 1, "Vmax"), Output("richest_lambda_ratio", "Lambda in its cylinder", "", 2, "λr")),
            _bench_sheet, "Relative range of the lines; definition of lambda, with the same air in each cylinder; 4 % at full load is common practice (from memory)",
            "One cm³ per 1000 strokes is one mm³ a stroke. Leave lines empty that the pump does not have. The richest cylinder smokes and overheats first: hold its lambda to the limit, not the mean.",
        ),
        Calculator(
            "pipe-speed", "Air speed in a pipe", "v = m R T/(p π D²/4); D2 = D (v/v2)^0.5; q = ρ v²/2",
            (Input("air_flow_kg_s", "Air flow", "kg/s", 0.001, 3, 0.1, "m"), Input("bore_mm", "Bore of the pipe", "mm", 20, 300, 63, "D"),
             Input("pressure_kpa", "Pressure in the pipe, absolute", "kPa", 45, 500, 200, "p"),
             Input("air_temperature_c", "Temperature of the air in it", "°C", -40, 250, 60, "T"),
             Input("speed_max_m_s", "Speed wanted at most", "m/s", 10, 120, 60, "v2")),
            (Output("air_speed_m_s", "Air speed", "m/s", 0, "v"), Output("bore_for_speed_mm", "Bore for the speed wanted", "mm", 0, "D2"),
             Output("velocity_head_kpa", "Lost where the air is stopped once", "kPa", 2, "q")),
            _pipe_speed, "Continuity, ideal gas; common practice (from memory): up to 45 m/s before the compressor, up to 60 m/s behind it",
        ),
        Calculator(
            "turbine-capacity", "Turbine capacity from one measured state", "C = m (T/288.15)^0.5 (101.325/p3)/ψ(p3/p4)",
            (Input("gas_flow_kg_s", "Exhaust flow, air and fuel", "kg/s", 0.001, 3, 0.1, "m"),
             Input("exhaust_temperature_c", "Exhaust before the turbine", "°C", 50, 1000, 600, "T"),
             Input("inlet_pressure_kpa", "Pressure before the turbine, absolute", "kPa", 45, 600, 170, "p3"),
             Input("outlet_pressure_kpa", "Pressure behind the turbine, absolute", "kPa", 40, 150, 105, "p4")),
            (Output("capacity_kg_s", "Flow capacity (choked, at 288.15 K and 101.325 kPa)", "kg/s", 3, "C"), Output("expansion_ratio", "Expansion ratio", "", 2)),
            _turbine_capacity, "Compressible flow through one nozzle; ψ is its flow as a share of choked flow; T in kelvin",
            "With the wastegate shut. Where nothing is measured before the turbine, the plan page tells the capacity from boost at two or more speeds.",
        ),
    ]
}  # fmt: skip


def calculate(slug: str, values: Mapping[str, float | None]) -> dict[str, float]:
    """Answer of a calculator.

    Takes:
        slug: name of the calculator
        values: inputs by name, in the units of the table; what is left out takes its default, if it has one
    Returns: dict of str to float: outputs by name, in the units of the table, not rounded.
    Raises: UnknownCalculator, UnknownInput if a name does not exist; OutOfRange if a value is outside its range; `name`
        is that of the input wherever one input alone is at fault.
    """
    if slug not in CALCULATORS:
        raise UnknownCalculator(f"there is no calculator named {slug!r}; there are {', '.join(CALCULATORS)}")
    row = CALCULATORS[slug]
    known = {i.name for i in row.inputs}
    for name in values:
        if name not in known:
            raise UnknownInput(f"{slug} has no input named {name!r}; it has {', '.join(i.name for i in row.inputs)}")
    checked: dict[str, float | None] = {}
    for i in row.inputs:
        value = values.get(i.name, i.default)
        left_out = value is None and i.default is None
        checked[i.name] = None if left_out else float(require(i.name, value, i.low, i.high, i.unit))  # type: ignore[arg-type]
    for i in row.inputs:
        if i.name.endswith("_count") and checked[i.name] != round(checked[i.name]):
            raise OutOfRange(i.name, checked[i.name], i.low, i.high, "in whole numbers")
    answers = row.function(**checked)
    return dict(zip((o.name for o in row.outputs), answers, strict=True))
