"""The demo catalogue: invented makes, plausible measures, every source 'demo'."""

from dataclasses import dataclass, field

from measurements.demo.compressor_maps import map_points
from measurements.demo.engines import rows_of
from sizing.catalogue.map_actions import replace_map
from sizing.catalogue.models import AirCleaner, Cooler, Plunger, Pump, Turbo
from sizing.plans.turbo_basis import Basis, Measures, basis_of

SOURCE = "demo"
MAP_TEMPERATURE_K, MAP_PRESSURE_KPA = 298.0, 100.0

TURBOS = list(rows_of("turbos"))


@dataclass
class Catalogue:
    turbos: dict[str, Turbo] = field(default_factory=dict)
    pumps: dict[str, Pump] = field(default_factory=dict)
    plungers: dict[tuple[str, float], Plunger] = field(default_factory=dict)
    cleaners: dict[str, AirCleaner] = field(default_factory=dict)
    coolers: dict[str, Cooler] = field(default_factory=dict)


def _stored(thing):
    thing.full_clean()
    thing.save()
    return thing


def _turbo(row: dict) -> Turbo:
    figures = {name: value for name, value in row.items() if name != "has_map"}
    radius, is_vessan = row["housing_radius_mm"], row["make"] == "Vessan"
    turbo = _stored(
        Turbo(
            **figures, turbine_flange=f"four studs {round(radius * 1.4)} mm", outlet_flange="three studs, clamp ring",
            compressor_inlet_mm=round(row["compressor_inducer_mm"] * 1.35),
            compressor_outlet_mm=round(row["compressor_exducer_mm"] * 0.9),
            boost_port=is_vessan, clocking_step_deg=0 if is_vessan else 30,
            turbine_clocking_step_deg=None if is_vessan else 45, source=SOURCE,
            note="Map drawn from a published non-dimensional shape, not measured." if row["has_map"] else "",
        )
    )  # fmt: skip
    if row["has_map"]:
        replace_map(turbo, map_points(turbo), MAP_TEMPERATURE_K, MAP_PRESSURE_KPA)
    return turbo


def wheel_of(row: dict) -> Turbo:
    """A turbo with no more than its compressor wheel, for a map."""
    names = (
        "compressor_inducer_mm",
        "compressor_exducer_mm",
        "compressor_blade_count",
        "backsweep_deg",
        "max_speed_rpm",
    )
    return Turbo(**{name: row[name] for name in names}, map_temperature_k=MAP_TEMPERATURE_K)


def turbo_basis(name: str, turbine_efficiency_ratio: float) -> Basis:
    """A turbo of the demo as the physics takes it, without asking the database."""
    row = next(row for row in TURBOS if row["name"] == name)
    points = map_points(wheel_of(row)) if row["has_map"] else []
    wheel = (
        row["compressor_inducer_mm"], row["compressor_exducer_mm"], row["compressor_blade_count"],
        row["compressor_exit_height_mm"], row["backsweep_deg"],
    )  # fmt: skip
    measures = Measures(
        name, wheel, tuple((p.speed_rpm, p.flow_kg_s, p.pressure_ratio, p.efficiency_ratio) for p in points),
        (MAP_TEMPERATURE_K, MAP_PRESSURE_KPA), row["turbine_inducer_mm"], None,
        (row["housing_area_mm2"], row["turbine_exducer_mm"]), row["wastegate"],
    )  # fmt: skip
    return basis_of(measures, turbine_efficiency_ratio)


def make_catalogue() -> Catalogue:
    made = Catalogue()
    for row in TURBOS:
        made.turbos[row["name"]] = _turbo(row)
    for row in rows_of("pumps"):
        pump = Pump(make="Perrun", **row, stock_count=1, weight_kg=4.0 + 2.1 * row["plunger_count"], source=SOURCE)
        made.pumps[row["name"]] = _stored(pump)
    for row in rows_of("plungers"):
        plunger = Plunger(**row | {"pump": made.pumps[row["pump"]]})
        made.plungers[row["pump"], row["diameter_mm"]] = _stored(plunger)
    for row in rows_of("air_cleaners"):
        made.cleaners[row["name"]] = _stored(AirCleaner(make="Siftane", **row, stock_count=4, source=SOURCE))
    for row in rows_of("coolers"):
        made.coolers[row["name"]] = _stored(Cooler(make="Kelvane", **row, stock_count=2, source=SOURCE))
    return made
