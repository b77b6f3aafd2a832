"""Figures of guided sheets in the shop's units, by the same rules as any quantity."""

from measurements.guided.sheets import Item
from sizing.templatetags.quantities import plain
from sizing.units.display import unit_choices
from sizing.units.quantities import Quantity, shown_decimals, shown_unit, to_shown, to_stored


def quantity_of(item: Item) -> Quantity:
    return Quantity(item.slug, item.label, item.unit, item.low, item.high, item.decimals, item.choice, item.word)


def item_unit(item: Item) -> str:
    return f"{shown_unit(quantity_of(item), unit_choices())} {item.word}".strip()


def bare(item: Item, value: float) -> str:
    quantity, choices = quantity_of(item), unit_choices()
    return plain(float(to_shown(value, quantity, choices)), shown_decimals(quantity, choices))


def show_item(item: Item, value: float) -> str:
    return f"{bare(item, value)} {item_unit(item)}".strip()


def shown_range(item: Item) -> str:
    return f"{bare(item, item.low)} to {bare(item, item.high)} {item_unit(item)}"


def stored(item: Item, typed: float) -> float:
    return float(to_stored(typed, quantity_of(item), unit_choices()))


def unusual(item: Item, value: float) -> str:
    """A sentence when the value is outside what is usual; it is stored all the same."""
    if item.usual is None or item.usual[0] <= value <= item.usual[1]:
        return ""
    side = "below" if value < item.usual[0] else "above"
    return f"{side} the usual {bare(item, item.usual[0])} to {bare(item, item.usual[1])} {item_unit(item)}"


# Values of a sentence: an item of a sheet by its name, a figure of it, what is possible.


def item_name(sheet: str, item: str, place: int = 0, small: bool = False) -> dict:
    return {"way": "sheet_item", "sheet": sheet, "item": item, "place": place, "small": small}


def item_figure(sheet: str, item: str, value: float) -> dict:
    return {"way": "sheet_figure", "sheet": sheet, "item": item, "value": value}


def item_range(sheet: str, item: str) -> dict:
    return {"way": "sheet_range", "sheet": sheet, "item": item}
