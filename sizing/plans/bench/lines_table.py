"""Lines of a pump bench from a table: number of the line, delivery at rated speed and at that of greatest torque. Pure."""

import re

from sizing.plans.models import MOST_LINES, SPEEDS
from sizing.said import Said
from sizing.tables.named import read_table
from sizing.tables.refused import CellRefused, FileRefused

COLUMNS = ("line", *SPEEDS)
UNITS = ("mm³/stroke", "cm³/1000 strokes")  # the same number
_HEADING = re.compile(rf"({'|'.join(COLUMNS)})(?:[ _,]*[\[(]?\s*([^\[\]()]*?)\s*[\])]?)?", re.IGNORECASE)
_UNIT = re.compile(r"((mm3|mm³)[ /_]*(stroke|str)|(cm3|cm³|cc)[ /_]*1000([ _]*(strokes|str))?)?", re.IGNORECASE)


def _name_of(cell: str, unit_text: str) -> tuple[str, str]:
    found = _HEADING.fullmatch(cell)
    return (found[1].lower(), found[2] or unit_text.strip("[]() ")) if found else ("", "")


def read_bench_lines(data: bytes) -> dict[str, dict[int, float]]:
    """Delivery in mm³ a stroke, by speed and number of the line; an empty cell is a line that was not read.

    >>> read_bench_lines(b"line;rated [mm3/stroke]\\n1;48,5\\n2;50\\n")
    {'rated': {1: 48.5, 2: 50.0}}
    """
    table = read_table(data, COLUMNS, ("line", tuple(SPEEDS)), COLUMNS, _name_of, most_rows=MOST_LINES)
    for name, unit in table.units.items():
        if not _UNIT.fullmatch(unit):
            raise FileRefused("table.unit_not_known", heading=table.headings[name], unit=unit, allowed=UNITS)
    found: dict[str, dict[int, float]] = {at: {} for at in SPEEDS if at in table.headings}
    seen: set[float] = set()
    for line, cells in table.rows:
        number = table.figure(line, cells, "line")
        if number not in range(1, MOST_LINES + 1):
            why = Said("bench.no_line", {"text": cells["line"], "most": MOST_LINES})
            raise CellRefused(line, table.headings["line"], cells["line"], why)
        if number in seen:
            why = Said("bench.line_twice", {"text": cells["line"]})
            raise CellRefused(line, table.headings["line"], cells["line"], why)
        seen.add(number)
        for at, lines in found.items():
            if cells[at]:
                lines[int(number)] = table.figure(line, cells, at)
    return found
