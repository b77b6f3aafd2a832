"""Delivery line by line, as the pump bench read it at full load."""

from collections.abc import Mapping

from django import forms

from sizing.plans.bench.lines_table import read_bench_lines
from sizing.plans.models import LEAST_MM3, MOST_LINES, MOST_MM3, SPEEDS, Plan
from sizing.tables.forms import FileOrTextMixin, table_file, typed_table
from sizing.tables.refused import FileRefused
from sizing.units.fields import NumberField
from sizing.units.figures import as_typed

USUAL_LINES = 4


def line_name(at: str, number: int) -> str:
    return f"{at}_{number}"


class BenchForm(forms.Form):
    """A field for each cylinder of the plan's engine, and for each line that came in beyond them, so that none is dropped unseen."""

    def __init__(self, plan: Plan, data=None):
        counts = [row.high for row in plan.inputs.all() if row.name == "cylinder_count"]
        self.cylinders = int(counts[0]) if counts else None
        stored = {line_name(row.at, row.line): row.delivery_mm3 for row in plan.bench_lines.all()}
        given = {name for name in (data or stored) if (data or stored)[name] not in ("", None)}
        beyond = [k for at in SPEEDS for k in range(1, MOST_LINES + 1) if line_name(at, k) in given]
        self.count = max([self.cylinders or USUAL_LINES, 2, *beyond])
        super().__init__(data, initial=stored)
        for at, words in SPEEDS.items():
            for number in range(1, self.count + 1):
                self.fields[line_name(at, number)] = NumberField(
                    low=LEAST_MM3, high=MOST_MM3, unit="mm³/stroke", required=False, label=f"Line {number} {words}"
                )

    @property
    def groups(self):
        for at, words in SPEEDS.items():
            yield words, [self[line_name(at, number)] for number in range(1, self.count + 1)]

    def clean(self):
        self.lines_mm3: dict[str, list[float]] = {}
        for at, words in SPEEDS.items():
            names = [line_name(at, number) for number in range(1, self.count + 1)]
            typed = [name for name in names if self.cleaned_data.get(name) is not None]
            if any(name in self.errors for name in names) or not typed:
                continue
            if self.cylinders and len(typed) > self.cylinders:
                self.add_error(
                    None,
                    f"{len(typed)} lines {words}: the engine of this plan has {self.cylinders} cylinders. Leave the others empty.",
                )
            wanted = names[: self.cylinders or len(typed)]
            for name in wanted:
                if name not in typed:
                    self.add_error(
                        name,
                        f"{self.fields[name].label}: empty beside the others. The richest may be the missing one; type all {len(wanted)}, or none.",
                    )
            self.lines_mm3[at] = [self.cleaned_data[name] for name in typed]
            if len(typed) == 1:
                self.add_error(None, f"One line {words}: there is nothing to hold it against. Type two or more.")
        return self.cleaned_data


class BenchTableForm(FileOrTextMixin):
    """The lines as a table, to be looked at in the form before they are kept."""

    MOST_BYTES = 64 * 1024

    file = table_file("CSV or spreadsheet", "columns line, rated, torque; mm³/stroke or cm³/1000 strokes")
    text = typed_table(MOST_BYTES, "line;rated;torque\n1;48,5;52\n2;50;53,5")

    def clean(self):
        if sent := self.sent_table(self.MOST_BYTES):
            try:
                self.cleaned_data["lines"] = read_bench_lines(sent[0])
            except FileRefused as refused:
                self.add_error(sent[1], str(refused))
        return self.cleaned_data

    def filled_into(self, typed: Mapping[str, str]) -> dict[str, str]:
        """What was typed, with the lines of the table in place of those at its speeds."""
        lines = self.cleaned_data["lines"]
        kept = {name: typed[name] for name in typed if name.rpartition("_")[0] not in lines}
        return kept | {line_name(at, n): as_typed(value) for at in lines for n, value in lines[at].items()}
