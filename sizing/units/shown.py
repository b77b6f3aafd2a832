"""Plan figures in the units that the workshop reads. Gauge or absolute is said by the label."""

from sizing.units.conversion import convert, convert_difference
from sizing.units.display import unit_choices

CHOICE_OF_UNIT = {"kPa": "pressure", "°C": "temperature", "K": "temperature", "kW": "power", "Nm": "torque"}
DECIMALS = {
    "": 2,
    "% of the mean": 1,
    "kPa": 0,
    "bar": 2,
    "psi": 1,
    "kW": 1,
    "hp metric": 1,
    "hp imperial": 1,
    "mm³": 1,
    "mm³/stroke": 1,
    "mm/°": 2,
    "g/s": 0,
}


def shown_unit(unit: str) -> str:
    return unit_choices().get(CHOICE_OF_UNIT.get(unit, ""), unit)


def to_shown(value, unit: str):
    """A number or an array in the workshop's unit."""
    return convert(value, unit, shown_unit(unit)) if unit in CHOICE_OF_UNIT else value


def to_stored(value: float, unit: str) -> float:
    return convert(value, shown_unit(unit), unit) if unit in CHOICE_OF_UNIT else value


def figure(value: float, unit: str) -> str:
    """The number with its unit, as words in a sentence.

    >>> figure(115.04, "kPa"), figure(1.234, ""), figure(2100.0, "rpm")
    ('115 kPa', '1.23', '2,100 rpm')
    """
    return f"{number(value, unit)} {shown_unit(unit)}".strip()


def number(value: float, unit: str) -> str:
    return _plain(float(to_shown(value, unit)), unit)


def difference(value: float, unit: str) -> str:
    """A margin: the zero of the scale does not count, and its sign is said in words beside it."""
    shown = convert_difference(abs(value), unit, shown_unit(unit)) if unit in CHOICE_OF_UNIT else abs(value)
    return f"{_plain(float(shown), unit)} {shown_unit(unit)}".strip()


def _plain(value: float, unit: str) -> str:
    # Peak and opening pressures stand in bar by nature and need no decimals; a boost shown in bar does.
    decimals = 0 if unit == "bar" else DECIMALS.get(shown_unit(unit), 0)
    if shown_unit(unit) == "kPa" and abs(value) < 10:
        decimals = 1  # the loss of an air cleaner, or what is left to a limit
    text = f"{value:,.{decimals}f}"
    return text.lstrip("-") if float(text.replace(",", "")) == 0 else text.replace("-", "−")
