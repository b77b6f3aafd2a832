"""Answers of the calculators as they stand on a page."""

from sizing.calculators.calculator import Calculator
from sizing.units.conversion import told_in_every_unit
from sizing.units.figures import bare_unit, plain, to_shown
from sizing.units.quantities import CHOICE_OF_UNIT, EXTRA_DECIMALS


def answer_rows(calculator: Calculator, answers: dict[str, float]) -> list[dict[str, str]]:
    """Label, symbol, number in the workshop's unit, unit with its word (gauge or absolute)."""
    rows = []
    for output in calculator.outputs if answers else ():
        unit, _, word = output.unit.partition(" ")
        if unit not in CHOICE_OF_UNIT:
            unit, word = output.unit, ""
        shown = bare_unit(unit)
        more = EXTRA_DECIMALS.get(shown, 0) if shown != unit else 0
        number = plain(float(to_shown(answers[output.name], unit)), output.digits + more)
        rows.append(
            {"label": output.label, "symbol": output.symbol, "number": number, "unit": f"{shown} {word}".strip()}
        )
    return rows


def unit_rows(value: float, unit: str) -> list[tuple[str, str]]:
    """The same quantity in every unit it can be told in."""
    return [(f"{told:,.7g}".replace("-", "−"), other) for other, told in told_in_every_unit(value, unit).items()]
