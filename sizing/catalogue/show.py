"""Catalogue figures as they stand on a page: label, number, unit; what nobody knows says so."""

from django.db import models

from sizing.catalogue.kinds import ABSOLUTE, COMMON, Column, Kind, label_of, unit_of
from sizing.units.figures import bare_unit, to_shown
from sizing.units.quantities import EXTRA_DECIMALS

UNKNOWN = "not known"
NOT_LISTED = {"map_temperature_k", "map_pressure_kpa"}  # their group stands beside the map itself


def cell_text(value: object, decimals: int | None = None) -> str:
    if value is None or value == "":
        return UNKNOWN
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:,.{decimals}f}" if decimals is not None else f"{value:,.6g}"
    return str(value)


def fact(thing: models.Model, name: str) -> dict[str, str]:
    model_field = thing._meta.get_field(name)
    value = getattr(thing, f"get_{name}_display")() if model_field.choices else getattr(thing, name)
    unit = unit_of(name) if value is not None else ""
    if unit != bare_unit(unit):
        value = float(f"{to_shown(value, unit):.4g}")
    word = " absolute" if model_field.name in ABSOLUTE else ""
    return {
        "label": label_of(model_field),
        "value": cell_text(value),
        "is_known": value not in (None, ""),
        "unit": bare_unit(unit) + word if unit else "",
    }


def map_state(temperature_k: float, pressure_kpa: float) -> str:
    """The reference state of a map, in the workshop's units."""
    kelvin, kpa = to_shown(temperature_k, "K"), to_shown(pressure_kpa, "kPa")
    return f"{kelvin:.5g} {bare_unit('K')} and {kpa:.5g} {bare_unit('kPa')} absolute"


def map_lines(preview) -> list[dict[str, object]]:
    """Each speed line of a map as read, with its flows in the unit of the file beside the stored one."""
    factor, rows = preview.factors["flow"], []
    for speed_rpm, points in preview.lines.items():
        flows = (points[0].flow_kg_s, points[-1].flow_kg_s)
        rows.append(
            {
                "speed_rpm": speed_rpm,
                "count": len(points),
                "flow_kg_s": flows,
                "flow_in_file": [f"{flow / factor:,.4g}" for flow in flows],
                "ratio": max(p.pressure_ratio for p in points),
                "efficiency_ratio": max(p.efficiency_ratio for p in points),
            }
        )
    return rows


def fact_groups(kind: Kind, thing: models.Model) -> list[tuple[str, list[dict[str, str]]]]:
    common = [name for name in COMMON if name not in {"price", "note"}]
    groups = [
        (title, [fact(thing, name) for name in names])
        for title, names in kind.groups.items()
        if not NOT_LISTED.issuperset(names)
    ]
    return [*groups, ("Stock and size", [fact(thing, name) for name in common])]


def form_sections(kind: Kind, form) -> list[tuple[str, list]]:
    """The fields of a form in the same groups as on the page, names first and the note last."""
    common = [name for name in COMMON if name != "note"]
    sections = [("", ("make", "name")), *kind.groups.items(), ("Stock and size", common), ("", ("note",))]
    return [(title, [form[name] for name in names]) for title, names in sections]


def _column(thing: models.Model, column: Column) -> dict[str, str]:
    model_field = thing._meta.get_field(column.name)
    value = getattr(thing, f"get_{column.name}_display")() if model_field.choices else getattr(thing, column.name)
    is_number = isinstance(value, int | float)
    unit, decimals = bare_unit(column.unit), column.decimals
    if is_number and unit != column.unit:
        value, decimals = float(to_shown(value, column.unit)), decimals + EXTRA_DECIMALS.get(unit, 0)
    return {
        "label": column.label,
        "value": cell_text(value, decimals),
        "unit": "" if value in (None, "") else unit,
        "class": "num" if is_number or value is None else "",
    }


def list_row(kind: Kind, thing: models.Model) -> dict[str, object]:
    cells = [_column(thing, column) for column in kind.columns]
    if kind.slug == "turbo":
        cells.append({"label": "Wastegate", "value": cell_text(thing.wastegate), "unit": "", "class": ""})
        cells.append({"label": "Map", "value": "from file" if thing.has_map else "none", "unit": "", "class": ""})
    if kind.slug == "pump":
        sizes = [f"{p.diameter_mm:g}" for p in thing.plungers.all() if not p.retired]
        cells.append(
            {
                "label": "Plungers to choose",
                "value": ", ".join(sizes) or "none",
                "unit": "mm" if sizes else "",
                "class": "",
            }
        )
    return {"item": thing, "cells": cells}


def sheet_columns(sheet) -> list[dict[str, str]]:
    """What may stand in a CSV of this kind, for the page that asks for one."""
    rows = []
    for name in sheet.columns:
        if name in sheet.key and name in {"make", "name"}:
            rows.append(
                {
                    "name": name,
                    "label": name.capitalize(),
                    "allowed": "must be there; together they say which thing is meant",
                }
            )
            continue
        model_field = sheet.model._meta.get_field(name)
        rows.append({"name": name, "label": label_of(model_field), "allowed": _allowed(model_field)})
    return rows


def _allowed(model_field: models.Field) -> str:
    if model_field.choices:
        return " or ".join(value for value, _ in model_field.choices)
    if isinstance(model_field, models.BooleanField):
        return "yes or no"
    ends = {type(v).__name__: getattr(v, "limit_value", None) for v in model_field.validators}
    if "MinValueValidator" in ends and "MaxValueValidator" in ends:
        return f"{ends['MinValueValidator']:,.10g} to {ends['MaxValueValidator']:,.10g} {unit_of(model_field.name)}".strip()
    return "a whole number" if isinstance(model_field, models.IntegerField) else "text"
