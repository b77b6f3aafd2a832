"""What a plan may be given: words for each input and limit of the physics, and what is taken when nobody knows it."""

from dataclasses import dataclass

from sizing.physics.limits.parts import PART_DEFAULTS, PART_RANGES
from sizing.physics.limits.pump_lines import BENCH_DEFAULTS
from sizing.physics.limits.values import DEFAULTS, TURBO_DEFAULTS
from sizing.physics.plan.data import ALLOWED


@dataclass(frozen=True)
class PlanFact:
    name: str
    label: str
    unit: str
    low: float
    high: float
    group: str = ""
    otherwise: str = ""  # what is taken when it is not known, in words


# Usual ranges, common practice; their middles are the defaults of the physics. Each counts as guessed.
USUAL: dict[str, tuple[float, float]] = {
    "air_temperature_c": (15.0, 35.0),
    "relative_humidity_pct": (20.0, 80.0),
    "compressor_efficiency_ratio": (0.62, 0.74),
    "turbine_efficiency_ratio": (0.50, 0.66),
    "air_cleaner_loss_kpa": (1.5, 3.5),
    "exhaust_loss_kpa": (3.0, 9.0),
    "injection_pressure_bar": (120.0, 180.0),
    "line_volume_mm3": (1000.0, 2000.0),
    "barrel_volume_mm3": (300.0, 700.0),
    "fuel_density_15c_kg_m3": (825.0, 845.0),
    "fuel_temperature_c": (25.0, 55.0),
}
# Swirl chambers need more compression to start; common practice.
USUAL_COMPRESSION = {"indirect": (20.0, 23.0), "direct": (16.0, 18.5)}
NEEDED = ("displacement_l", "cylinder_count", "rated_power_kw", "rated_speed_rpm")

GROUPS = {
    "place": "The place",
    "engine": "The engine",
    "pump": "Injection pump and fuel",
    "air": "Boost and air",
    "parts": "Parts around the engine",
}
_WORDS = [
    ("place", "altitude_m", "Altitude", "sea level"),
    ("place", "air_pressure_kpa", "Air pressure, absolute", "the standard atmosphere at the altitude"),
    ("place", "air_temperature_c", "Air temperature", ""),
    ("place", "relative_humidity_pct", "Relative humidity", ""),
    ("engine", "displacement_l", "Displacement", ""),
    ("engine", "cylinder_count", "Cylinders", ""),
    ("engine", "compression_ratio", "Compression ratio", ""),
    ("engine", "rated_power_kw", "Rated power as built", ""),
    ("engine", "rated_speed_rpm", "Rated speed", ""),
    ("engine", "governed_speed_rpm", "Governed speed, no load", "10 % above rated speed"),
    ("engine", "exhaust_loss_kpa", "Loss of exhaust pipe and silencer at rated speed", ""),
    ("pump", "plunger_diameter_as_built_mm", "Plunger diameter as built", "no change of plunger"),
    ("pump", "plunger_diameter_mm", "Plunger diameter of this plan", "as built"),
    ("pump", "delivery_as_built_mm3", "Full-load delivery as built", "what the rated power needs"),
    ("pump", "delivery_mm3", "Full-load delivery of this plan", "from the plunger, or as built"),
    ("pump", "effective_stroke_mm", "Effective plunger stroke", "as built"),
    ("pump", "injection_pressure_bar", "Injector opening pressure", ""),
    (
        "pump",
        "begin_of_injection_deg",
        "Begin of injection before top dead centre",
        "the usual setting for the kind of injection",
    ),
    ("pump", "compensator_lambda_ratio", "Lambda at which a boost compensator holds fuel back", "no boost compensator"),
    ("pump", "line_volume_mm3", "Volume of one injection line", ""),
    ("pump", "barrel_volume_mm3", "Volume of barrel and injector", ""),
    ("pump", "fuel_density_15c_kg_m3", "Fuel density at 15 °C", ""),
    ("pump", "fuel_temperature_c", "Fuel temperature at the pump", ""),
    ("air", "boost_kpa", "Boost wanted, gauge", "no boost"),
    ("air", "boost_onset_rpm", "Boost begins at", "30 % of rated speed"),
    ("air", "boost_full_rpm", "Full boost from", "55 % of rated speed"),
    ("air", "compressor_efficiency_ratio", "Compressor efficiency", ""),
    ("air", "turbine_efficiency_ratio", "Turbine efficiency, bearings included", ""),
    ("air", "air_cleaner_loss_kpa", "Loss of air cleaner and pipe at rated speed", ""),
    ("air", "cooler_effectiveness_ratio", "Cooler effectiveness", "no cooler"),
    ("air", "cooler_pressure_loss_kpa", "Cooler pressure loss at rated speed", "none"),
    ("air", "coolant_temperature_c", "Temperature of what cools the charge", "that of the air"),
]
# Facts of the parts; what is not known is not held against a limit, and the plan says what to measure.
_PART_WORDS = [
    (
        "pump_stroke_max_mm",
        "Greatest effective stroke of the plunger",
        "nothing",
        "turn the rack to its stop on the bench and read the lift from port closing to spill",
    ),
    (
        "plunger_speed_mm_deg",
        "Plunger lift for each degree of the pump shaft",
        "nothing",
        "read the lift over ten degrees after port closing with a dial gauge",
    ),
    (
        "service_loss_kpa",
        "Loss of the air cleaner when it is due for service",
        "that of the chosen air cleaner",
        "read it off the restriction indicator",
    ),
    ("intake_bore_mm", "Pipe to the compressor, inner diameter", "nothing", "measure the narrowest place"),
    ("charge_bore_mm", "Charge pipe, inner diameter", "nothing", "measure the narrowest place"),
    (
        "oil_feed_kpa",
        "Oil pressure at the turbo, hot at rated speed, gauge",
        "nothing",
        "fit a gauge to the feed and warm the engine up",
    ),
    ("oil_drain_deg", "Oil drain, from straight down in its worst part", "nothing", "lay an angle gauge on the drain"),
    ("oil_drain_bore_mm", "Oil drain, narrowest inner diameter", "nothing", "measure fitting and hose"),
]
PART_FACTS = tuple(name for name, *_ in _PART_WORDS)
MEASURE = {name: how for name, _, _, how in _PART_WORDS}
HANGS_ON = {  # limit of a part -> the fact without which it cannot be held
    "pump_share_max_pct": "pump_stroke_max_mm",
    "injection_duration_max_deg": "plunger_speed_mm_deg",
    "service_restriction_max_kpa": "service_loss_kpa",
    "intake_speed_max_m_s": "intake_bore_mm",
    "charge_speed_max_m_s": "charge_bore_mm",
    "oil_feed_min_kpa": "oil_feed_kpa",
    "oil_drain_max_deg": "oil_drain_deg",
    "oil_drain_bore_min_mm": "oil_drain_bore_mm",
}
_UNITS = {name: unit.replace("deg", "°") for name, (_, _, unit) in PART_RANGES.items()}
PLAN_INPUTS = {
    name: PlanFact(
        name, label, ALLOWED[name].unit.replace("deg", "°"), ALLOWED[name].low, ALLOWED[name].high, group, otherwise
    )
    for group, name, label, otherwise in _WORDS
} | {
    name: PlanFact(name, label, _UNITS[name], *PART_RANGES[name][:2], "parts", otherwise)
    for name, label, otherwise, _ in _PART_WORDS
}
PLAN_LIMITS = {
    name: PlanFact(name, d.label, d.unit.replace("deg", "°"), d.low, d.high)
    for name, d in {**DEFAULTS, **TURBO_DEFAULTS, **PART_DEFAULTS, **BENCH_DEFAULTS}.items()
}


def usual_range(name: str, injection: str) -> tuple[float, float] | None:
    return USUAL_COMPRESSION.get(injection) if name == "compression_ratio" else USUAL.get(name)
