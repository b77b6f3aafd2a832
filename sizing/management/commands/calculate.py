import json

from django.core.management.base import BaseCommand, CommandError

from sizing.calculators.table import CALCULATORS, UnknownCalculator, UnknownInput, calculate
from sizing.physics.errors import require
from sizing.units.conversion import PINT_NAME, told_in_every_unit
from sizing.units.figures import read_number

UNIT_LOW, UNIT_HIGH = -1e9, 1e9
UNITS = {
    "name": "units",
    "title": "Units",
    "formula": "y = a x + b",
    "source": "SI and exact definitions, by pint",
    "inputs": [
        {
            "name": "value",
            "label": "Value, with unit=UNIT beside it",
            "unit": "",
            "low": UNIT_LOW,
            "high": UNIT_HIGH,
            "default": None,
        }
    ],
    "units": [unit for unit in PINT_NAME if unit != "ratio"],
    "outputs": [{"name": "each unit of the same kind", "label": "The same quantity", "unit": ""}],
}


class Command(BaseCommand):
    help = "Answer one calculator, such as: calculate power torque_nm=250 speed_rpm=2400"

    def add_arguments(self, parser):
        parser.add_argument("name", nargs="?")
        parser.add_argument("inputs", nargs="*", metavar="input=value", help="what is left out takes its usual value")
        parser.add_argument(
            "--list", action="store_true", help="describe every calculator with inputs, units and allowed ranges"
        )
        parser.add_argument("--json", action="store_true")

    def handle(self, *args, **options):
        if options["list"]:
            self.stdout.write(self._described(options["json"]))
            return
        if not options["name"]:
            raise CommandError("Name a calculator, or use --list.")
        try:
            if options["name"] == UNITS["name"]:
                self.stdout.write(_in_every_unit(options["inputs"], options["json"]))
                return
            answers = calculate(options["name"], _values(options["inputs"]))
        except (UnknownCalculator, UnknownInput, ValueError) as error:
            raise CommandError(str(error)) from error
        if options["json"]:
            self.stdout.write(json.dumps(answers, ensure_ascii=False))
            return
        for output in CALCULATORS[options["name"]].outputs:
            self.stdout.write(f"{output.label}: {answers[output.name]:,.{output.digits}f} {output.unit}".rstrip())

    def _described(self, as_json: bool) -> str:
        rows = [
            {
                "name": row.slug,
                "title": row.title,
                "formula": row.formula,
                "source": row.source,
                "inputs": [
                    {
                        "name": i.name,
                        "label": i.label,
                        "unit": i.unit,
                        "low": i.low,
                        "high": i.high,
                        "default": i.default,
                    }
                    for i in row.inputs
                ],
                "outputs": [{"name": o.name, "label": o.label, "unit": o.unit} for o in row.outputs],
            }
            for row in CALCULATORS.values()
        ]
        rows.append(UNITS)
        if as_json:
            return json.dumps(rows, ensure_ascii=False, indent=1)
        lines = []
        for row in rows:
            lines.append(f"{row['name']}: {row['title']}\n  {row['formula']}\n  {row['source']}")
            lines += [
                f"  {i['name']}  {i['label']}, {i['low']:g} to {i['high']:g} {i['unit']} ({_usual(i['default'])})"
                for i in row["inputs"]
            ]
            lines.append("  gives " + ", ".join(f"{o['name']} {o['unit']}".strip() for o in row["outputs"]) + "\n")
        return "\n".join(lines)


def _usual(default: float | None) -> str:
    return "may be left out" if default is None else f"usually {default:g}"


def _in_every_unit(pairs: list[str], as_json: bool) -> str:
    """One quantity in every unit of its kind; the unit is a word, so it cannot go the way of the others."""
    units = [pair.removeprefix("unit=") for pair in pairs if pair.startswith("unit=")]
    numbers = _values([pair for pair in pairs if not pair.startswith("unit=")])
    if len(units) != 1 or set(numbers) != {"value"}:
        raise CommandError("units needs value=NUMBER and unit=UNIT, such as: calculate units value=1 unit=bar")
    if units[0] not in PINT_NAME or units[0] == "ratio":
        raise CommandError(f"unit is {units[0]!r}; allowed are {', '.join(PINT_NAME)}")
    require("value", numbers["value"], UNIT_LOW, UNIT_HIGH, units[0])
    told = told_in_every_unit(numbers["value"], units[0])
    if as_json:
        return json.dumps(told, ensure_ascii=False)
    return "\n".join(f"{value:,.7g} {unit}" for unit, value in told.items())


def _values(pairs: list[str]) -> dict[str, float]:
    values = {}
    for pair in pairs:
        name, sign, text = pair.partition("=")
        if not sign:
            raise CommandError(f"'{pair}' is not input=value.")
        try:
            values[name] = read_number(text)
        except ValueError as error:
            raise CommandError(f"{name}: {error}") from error
    return values
