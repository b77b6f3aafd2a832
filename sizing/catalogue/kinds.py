"""The kinds of things in the catalogue: what each list shows, may be sorted by, and holds in its CSV."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from django.db import models

from sizing.catalogue.models import AirCleaner, Cooler, Plunger, Pump, Turbo

UNIT_OF_SUFFIX = {
    "_kg_s": "kg/s",
    "_m3_h": "m³/h",
    "_mm2": "mm²",
    "_mm": "mm",
    "_kg": "kg",
    "_kpa": "kPa",
    "_rpm": "rpm",
    "_deg": "°",
    "_k": "K",
}


ABSOLUTE = frozenset({"map_pressure_kpa"})  # fields whose pressure is absolute, which is said beside the unit


def unit_of(name: str) -> str:
    return next((unit for suffix, unit in UNIT_OF_SUFFIX.items() if name.endswith(suffix)), "")


def label_of(model_field: "models.Field[Any, Any]") -> str:
    """The field's words without the unit, which is shown small beside the number."""
    unit = unit_of(model_field.name)
    words = str(model_field.verbose_name)
    for ending in (unit, "kPa absolute", "degrees", unit.replace("/", " ").replace("³", "3")):
        words = words.removesuffix(ending).rstrip(" ,") if ending else words
    return words[:1].upper() + words[1:]


@dataclass(frozen=True)
class Column:
    name: str
    label: str
    decimals: int = 0
    unit: str = ""


@dataclass(frozen=True)
class Kind:
    slug: str
    model: type[models.Model]
    one: str
    many: str
    columns: tuple[Column, ...]
    groups: dict[str, tuple[str, ...]]
    sorts: dict[str, str] = field(default_factory=dict)  # order_by key -> words

    @property
    def measures(self) -> tuple[str, ...]:
        return tuple(name for names in self.groups.values() for name in names)

    @property
    def fields(self) -> tuple[str, ...]:
        return ("make", "name", *self.measures, *COMMON)


COMMON = ("price", "stock_count", "weight_kg", "length_mm", "width_mm", "height_mm", "source", "note")
COMMON_SORTS = {
    "name": "make and name",
    "price": "price, lowest first",
    "-price": "price, highest first",
    "-stock_count": "stock, most first",
    "weight_kg": "weight, lightest first",
}

KINDS = {
    kind.slug: kind
    for kind in [
        Kind(
            "turbo",
            Turbo,
            "turbo",
            "turbos",
            (
                Column("compressor_exducer_mm", "Compressor wheel", 1, "mm"),
                Column("turbine_inducer_mm", "Turbine wheel", 1, "mm"),
                Column("housing_area_mm2", "Throat", 0, "mm²"),
            ),
            {
                "Compressor": (
                    "compressor_inducer_mm",
                    "compressor_exducer_mm",
                    "compressor_exit_height_mm",
                    "compressor_blade_count",
                    "backsweep_deg",
                    "max_speed_rpm",
                ),
                "Turbine": (
                    "turbine_inducer_mm",
                    "turbine_exducer_mm",
                    "housing_area_mm2",
                    "housing_radius_mm",
                    "turbine_flow_kg_s",
                    "wastegate",
                ),
                "Fitting": (
                    "turbine_flange",
                    "outlet_flange",
                    "compressor_inlet_mm",
                    "compressor_outlet_mm",
                    "boost_port",
                    "clocking_step_deg",
                    "turbine_clocking_step_deg",
                ),
                "Compressor map": ("map_temperature_k", "map_pressure_kpa"),
            },
            {
                **COMMON_SORTS,
                "compressor_exducer_mm": "compressor wheel, smallest first",
                "-compressor_exducer_mm": "compressor wheel, largest first",
                "housing_area_mm2": "throat area, smallest first",
            },
        ),
        Kind(
            "pump",
            Pump,
            "injection pump",
            "injection pumps",
            (Column("kind", "Kind"), Column("governor", "Governor"), Column("plunger_count", "Plungers")),
            {"Pump": ("kind", "governor", "plunger_count", "boost_compensator", "max_speed_rpm")},
            COMMON_SORTS,
        ),
        Kind(
            "aircleaner",
            AirCleaner,
            "air cleaner",
            "air cleaners",
            (
                Column("rated_flow_m3_h", "Rated flow, one element", 0, "m³/h"),
                Column("loss_clean_kpa", "Loss, clean", 2, "kPa"),
                Column("element_count", "Elements"),
            ),
            {"Air cleaner": ("rated_flow_m3_h", "loss_clean_kpa", "loss_service_kpa", "element_count", "outlet_mm")},
            {**COMMON_SORTS, "-rated_flow_m3_h": "rated flow, largest first"},
        ),
        Kind(
            "cooler",
            Cooler,
            "charge air cooler",
            "charge air coolers",
            (
                Column("kind", "Kind"),
                Column("effectiveness_ratio", "Effectiveness", 2),
                Column("loss_kpa", "Loss", 1, "kPa"),
                Column("rated_flow_kg_s", "Rated flow", 3, "kg/s"),
            ),
            {"Cooler": ("kind", "effectiveness_ratio", "loss_kpa", "rated_flow_kg_s", "port_mm")},
            {**COMMON_SORTS, "-effectiveness_ratio": "effectiveness, best first"},
        ),
    ]
}


@dataclass(frozen=True)
class TableSheet:
    """A CSV of one kind of row: its columns are the fields' names, which carry their units."""

    slug: str
    model: type[models.Model]
    many: str
    key: tuple[str, ...]  # what makes a row the same row
    columns: tuple[str, ...]
    key_of: Callable[[Any], tuple[Any, ...]]  # given a row of `model`


def _item_sheet(kind: Kind) -> TableSheet:
    columns = (*kind.fields, "retired")
    return TableSheet(kind.slug, kind.model, kind.many, ("make", "name"), columns, lambda item: (item.make, item.name))


SHEETS = {kind.slug: _item_sheet(kind) for kind in KINDS.values()}
SHEETS["plunger"] = TableSheet(
    "plunger",
    Plunger,
    "plungers",
    ("make", "name", "diameter_mm"),
    ("make", "name", "diameter_mm", "effective_stroke_max_mm", "price", "retired"),
    lambda plunger: (plunger.pump.make, plunger.pump.name, plunger.diameter_mm),
)
