"""The demo catalogue: invented makes, plausible measures, every source 'demo'."""

from dataclasses import dataclass, field

from measurements.demo.compressor_maps import map_points
from sizing.catalogue.map_actions import replace_map
from sizing.catalogue.models import AirCleaner, Cooler, Plunger, Pump, Turbo
from sizing.plans.turbo_basis import Basis, Measures, basis_of

SOURCE = "demo"
MAP_TEMPERATURE_K, MAP_PRESSURE_KPA = 298.0, 100.0

# name, inducer, exducer, exit height, blades, backsweep, turbine in, turbine out, throat mm², radius, wastegate,
# top speed, weight, length, width, height, price, in stock, has a map
_TURBOS = [
    (
        "Vessan",
        "Ves-36",
        28.5,
        39.0,
        2.9,
        12,
        30,
        36.0,
        30.0,
        230,
        38,
        True,
        244_000,
        3.6,
        165,
        150,
        140,
        410,
        1,
        False,
    ),
    ("Vessan", "Ves-38", 32.5, 44.5, 3.3, 12, 30, 40.5, 34.0, 315, 41, True, 216_000, 3.9, 172, 158, 146, 430, 2, True),
    ("Vessan", "Ves-42", 36.5, 50.0, 3.7, 12, 32, 44.5, 38.0, 400, 45, True, 193_000, 4.8, 185, 170, 158, 470, 3, True),
    ("Vessan", "Ves-46", 40.5, 55.0, 4.1, 12, 34, 49.5, 42.5, 490, 49, True, 175_000, 5.7, 200, 185, 170, 520, 2, True),
    (
        "Vessan",
        "Ves-50",
        43.5,
        59.5,
        4.5,
        14,
        35,
        53.5,
        46.0,
        580,
        53,
        True,
        162_000,
        7.1,
        218,
        200,
        186,
        610,
        1,
        False,
    ),
    (
        "Vessan",
        "Ves-54",
        50.0,
        68.0,
        5.1,
        14,
        36,
        60.5,
        52.5,
        750,
        59,
        True,
        142_000,
        8.6,
        235,
        215,
        200,
        690,
        1,
        False,
    ),
    (
        "Vessan",
        "Ves-60",
        54.0,
        74.0,
        5.6,
        14,
        38,
        67.0,
        58.0,
        880,
        64,
        False,
        130_000,
        11.2,
        262,
        240,
        224,
        840,
        0,
        False,
    ),
    (
        "Tolverrin",
        "Tol-40",
        33.0,
        46.0,
        3.3,
        10,
        20,
        42.0,
        35.0,
        330,
        42,
        False,
        204_000,
        5.0,
        188,
        172,
        160,
        340,
        0,
        False,
    ),
    (
        "Tolverrin",
        "Tol-44",
        36.0,
        50.0,
        3.6,
        10,
        20,
        46.0,
        38.5,
        400,
        45,
        False,
        189_000,
        5.6,
        198,
        180,
        168,
        365,
        2,
        False,
    ),
    (
        "Tolverrin",
        "Tol-48",
        43.0,
        59.5,
        4.3,
        10,
        22,
        54.0,
        46.0,
        590,
        53,
        False,
        160_000,
        6.7,
        212,
        194,
        180,
        395,
        2,
        True,
    ),
    (
        "Tolverrin",
        "Tol-56",
        51.5,
        71.0,
        5.2,
        12,
        24,
        64.5,
        55.0,
        820,
        61,
        False,
        134_000,
        9.6,
        246,
        224,
        210,
        520,
        2,
        False,
    ),
    (
        "Tolverrin",
        "Tol-64",
        55.0,
        76.0,
        5.6,
        12,
        24,
        69.5,
        59.0,
        930,
        66,
        False,
        124_000,
        13.4,
        284,
        258,
        240,
        690,
        0,
        False,
    ),
]
# name, kind, governor, plungers, compensator, top speed, price, plungers as (diameter, longest stroke, price)
_PUMPS = [
    ("Uln-4S", "inline", "mechanical", 4, True, 2400, 720, [(5.0, 3.0, 18), (5.5, 3.0, 18), (6.0, 3.0, 19), (6.5, 3.0, 20), (7.0, 3.0, 22), (7.5, 3.0, 23)]),
    ("Uln-4L", "inline", "mechanical", 4, True, 1800, 940, [(6.5, 3.6, 24), (7.0, 3.6, 24), (7.5, 3.6, 26), (8.0, 3.6, 28), (8.5, 3.6, 30), (9.0, 3.6, 33)]),
    ("Uln-3L", "inline", "mechanical", 3, False, 1500, 780, [(6.5, 3.6, 24), (7.0, 3.6, 24), (7.5, 3.6, 26), (8.0, 3.6, 28), (8.5, 3.6, 30), (9.0, 3.6, 33)]),
    ("Uln-6L", "inline", "mechanical", 6, True, 1700, 1380, [(6.5, 3.6, 24), (7.0, 3.6, 24), (7.5, 3.6, 26), (8.0, 3.6, 28), (8.5, 3.6, 30), (9.0, 3.6, 33)]),
    ("Rov-4", "rotary", "mechanical", 4, True, 2600, 560, [(5.0, 2.6, 21), (5.5, 2.6, 21), (6.0, 2.6, 23), (6.5, 2.6, 23), (7.0, 2.6, 25), (7.5, 2.6, 26)]),
]  # fmt: skip
# name, rated flow, clean loss, elements, outlet, weight, length, width, height, price
_CLEANERS = [
    ("Sif-150", 150, 1.6, 1, 50, 1.4, 220, 140, 140, 38),
    ("Sif-220", 220, 1.7, 1, 57, 1.8, 260, 160, 160, 44),
    ("Sif-330", 330, 1.8, 1, 70, 2.6, 320, 190, 190, 58),
    ("Sif-600", 600, 1.9, 2, 90, 4.4, 410, 240, 240, 96),
]
# name, kind, effectiveness, loss, rated flow, port, weight, length, width, height, price
_COOLERS = [
    ("Kel-XS", "air", 0.62, 5.0, 0.07, 45, 2.2, 320, 180, 55, 120),
    ("Kel-S", "air", 0.68, 6.0, 0.11, 50, 3.0, 420, 200, 60, 150),
    ("Kel-M", "air", 0.70, 6.5, 0.15, 57, 4.1, 500, 240, 65, 190),
    ("Kel-L", "air", 0.72, 7.0, 0.24, 63, 6.0, 620, 300, 70, 260),
    ("Kel-W", "water", 0.78, 5.0, 0.16, 57, 5.2, 300, 180, 160, 310),
]


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


def _turbo(row: tuple) -> Turbo:
    (make, name, inducer, exducer, exit_height, blades, backsweep, turbine, turbine_out, throat, radius, wastegate,
     top_speed, weight, length, width, height, price, stock, has_map) = row  # fmt: skip
    turbo = _stored(
        Turbo(
            make=make, name=name, compressor_inducer_mm=inducer, compressor_exducer_mm=exducer,
            compressor_exit_height_mm=exit_height, compressor_blade_count=blades, backsweep_deg=backsweep,
            turbine_inducer_mm=turbine, turbine_exducer_mm=turbine_out, housing_area_mm2=throat,
            housing_radius_mm=radius, wastegate=wastegate, max_speed_rpm=top_speed, weight_kg=weight,
            length_mm=length, width_mm=width, height_mm=height, price=price, stock_count=stock,
            turbine_flange=f"four studs {round(radius * 1.4)} mm", outlet_flange="three studs, clamp ring",
            compressor_inlet_mm=round(inducer * 1.35), compressor_outlet_mm=round(exducer * 0.9),
            boost_port=make == "Vessan", clocking_step_deg=0 if make == "Vessan" else 30,
            turbine_clocking_step_deg=None if make == "Vessan" else 45, source=SOURCE,
            note="Map drawn from a published non-dimensional shape, not measured." if has_map else "",
        )
    )  # fmt: skip
    if has_map:
        replace_map(turbo, map_points(turbo), MAP_TEMPERATURE_K, MAP_PRESSURE_KPA)
    return turbo


def turbo_basis(name: str, turbine_efficiency_ratio: float) -> Basis:
    """A turbo of the demo as the physics takes it, without asking the database."""
    row = next(row for row in _TURBOS if row[1] == name)
    inducer, exducer, exit_height, blades, backsweep, turbine, turbine_out, throat = row[2:10]
    shape = Turbo(
        compressor_inducer_mm=inducer, compressor_exducer_mm=exducer, compressor_blade_count=blades, backsweep_deg=backsweep,
        max_speed_rpm=row[12], map_temperature_k=MAP_TEMPERATURE_K,
    )  # fmt: skip
    points = (
        [(p.speed_rpm, p.flow_kg_s, p.pressure_ratio, p.efficiency_ratio) for p in map_points(shape)] if row[18] else []
    )
    measures = Measures(
        name, (inducer, exducer, blades, exit_height, backsweep), tuple(points), (MAP_TEMPERATURE_K, MAP_PRESSURE_KPA), turbine, None,
        (throat, turbine_out), row[11],
    )  # fmt: skip
    return basis_of(measures, turbine_efficiency_ratio)


def make_catalogue() -> Catalogue:
    made = Catalogue()
    for row in _TURBOS:
        made.turbos[row[1]] = _turbo(row)
    for name, kind, governor, count, compensator, top_speed, price, plungers in _PUMPS:
        pump = Pump(
            make="Perrun", name=name, kind=kind, governor=governor, plunger_count=count, price=price, source=SOURCE,
            boost_compensator=compensator, max_speed_rpm=top_speed, stock_count=1, weight_kg=4.0 + 2.1 * count,
        )  # fmt: skip
        made.pumps[name] = _stored(pump)
        for diameter, stroke, plunger_price in plungers:
            plunger = Plunger(pump=pump, diameter_mm=diameter, effective_stroke_max_mm=stroke, price=plunger_price)
            made.plungers[name, diameter] = _stored(plunger)
    for name, flow, loss, elements, outlet, weight, length, width, height, price in _CLEANERS:
        cleaner = AirCleaner(
            make="Siftane", name=name, rated_flow_m3_h=flow, loss_clean_kpa=loss, element_count=elements,
            outlet_mm=outlet, weight_kg=weight, length_mm=length, width_mm=width, height_mm=height, price=price,
            stock_count=4, source=SOURCE,
        )  # fmt: skip
        made.cleaners[name] = _stored(cleaner)
    for name, kind, effectiveness, loss, flow, port, weight, length, width, height, price in _COOLERS:
        cooler = Cooler(
            make="Kelvane", name=name, kind=kind, effectiveness_ratio=effectiveness, loss_kpa=loss,
            rated_flow_kg_s=flow, port_mm=port, weight_kg=weight, length_mm=length, width_mm=width,
            height_mm=height, price=price, stock_count=2, source=SOURCE,
        )  # fmt: skip
        made.coolers[name] = _stored(cooler)
    return made
