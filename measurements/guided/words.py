"""Values of a sentence about a guided sheet: an item by its name, a figure of it, what is possible."""

from typing import Any


def item_name(sheet: str, item: str, place: int = 0, small: bool = False) -> dict[str, Any]:
    return {"way": "sheet_item", "sheet": sheet, "item": item, "place": place, "small": small}


def item_figure(sheet: str, item: str, value: float) -> dict[str, Any]:
    return {"way": "sheet_figure", "sheet": sheet, "item": item, "value": value}


def item_range(sheet: str, item: str) -> dict[str, Any]:
    return {"way": "sheet_range", "sheet": sheet, "item": item}
