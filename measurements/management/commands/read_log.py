import json
from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from measurements.logs.parsing.dialect import HEAD_LINES, Layout
from measurements.logs.report import report
from sizing.tables.marks import DECIMALS, DELIMITERS
from sizing.tables.refused import FileRefused


class Command(BaseCommand):
    help = "Say what is understood of a log file: recordings, channels, what was dropped and why, pulls, refusals. Nothing is stored."

    def add_arguments(self, parser):
        parser.add_argument("file", help="CSV, TSV or other text, .xlsx, gzip or zip")
        parser.add_argument("--json", action="store_true")
        parser.add_argument(
            "--air-pressure-kpa", type=float, help="of the place, for logs that hold only absolute manifold pressure"
        )
        parser.add_argument(
            "--delimiter",
            choices=list(DELIMITERS.values()),
            default="",
            help="between columns, where the guess is wrong",
        )
        parser.add_argument(
            "--decimal", choices=list(DECIMALS.values()), default="", help="mark, where the guess is wrong"
        )
        parser.add_argument(
            "--names-line",
            type=int,
            help="line of the names of columns, counted from where the recording begins; 0: none",
        )
        parser.add_argument(
            "--recording", type=int, help="the only one that these three are said of; all when left out"
        )

    def handle(self, *args, **options):
        path, air = Path(options["file"]), options["air_pressure_kpa"]
        if air is not None and not 50 <= air <= 110:
            raise CommandError(f"--air-pressure-kpa: {air:g} is outside 50 to 110 kPa.")
        line, only = options["names_line"], options["recording"]
        if line is not None and not 0 <= line <= HEAD_LINES:
            raise CommandError(f"--names-line: {line} is outside 0 to {HEAD_LINES}.")
        layout = Layout.of_words(options["delimiter"], options["decimal"], line)
        try:
            if path.stat().st_size > settings.MAX_UPLOAD_MB * 1024 * 1024:
                raise CommandError(
                    f"{path.name} has {path.stat().st_size / 1048576:.0f} MB. Allowed: up to {settings.MAX_UPLOAD_MB} MB."
                )
            found = report(path.read_bytes(), air, layout_of=lambda number: layout if only in (None, number) else None)
            if only is not None and only not in {row["number"] for row in found["recordings"]}:
                raise CommandError(f"--recording: the file holds no recording {only}.")
        except OSError as error:
            raise CommandError(f"{path}: {error.strerror}.") from error
        except FileRefused as refused:
            if options["json"]:
                self.stdout.write(json.dumps({"refused": str(refused)}, ensure_ascii=False))
            raise CommandError(str(refused)) from refused
        self.stdout.write(
            json.dumps(found, ensure_ascii=False, indent=1, allow_nan=False) if options["json"] else _text(found)
        )


def _text(found: dict) -> str:
    packed = f", {found['packed']}" if found["packed"] else ""
    lines = [f"{found['bytes']:,} bytes{packed}, SHA-256 {found['sha256']}"]
    lines += [f"Not a log: {row['part'] or 'the file'}: {row['why']}" for row in found["not_a_log"]]
    for row in found["recordings"]:
        lines += [
            "",
            f"Recording {row['number']}"
            + (f", {row['label']}" if row["label"] else "")
            + (f", stretch {row['stretch']}" if row.get("stretch", 1) > 1 else ""),
        ]
        d = row["dialect"]
        lines.append(
            f"  {d['encoding']}, {d['delimiter']} between columns, decimal {d['decimal']}, {'names in line ' + str(d['names_line']) if d['names_line'] else 'no names'}, {d['rows_before_the_figures']} rows before the figures"
        )
        lines += [f"  note: {note}" for note in d["notes"]]
        if "refused" in row:
            lines += [f"  {c['header']}: {c['quantity'] or 'not used'} {c['unit']}".rstrip() for c in row["columns"]]
            lines += [f"  Not read: {row['refused']}", *(f"  - {line}" for line in row["refusals"][1:])]
            continue
        lines.append(f"  {row['rows']:,} rows over {row['seconds']:g} s")
        for c in row["channels"]:
            ends = "no value" if c["lowest"] is None else f"{c['lowest']:g} to {c['highest']:g} {c['unit']}"
            lines.append(f"  {c['header']}: {c['label']}, logged in {c['logged_in']}: {c['values']:,} values, {ends}")
        if row["not_used"]:
            lines.append("  not used: " + ", ".join(name or "(no name)" for name in row["not_used"]))
        if row["unit_not_said"]:
            lines.append("  no unit said, the usual one taken: " + ", ".join(row["unit_not_said"]))
        for p in row["pulls"]:
            boost = "" if p["boost_highest_kpa"] is None else f", boost up to {p['boost_highest_kpa']:g} kPa"
            lines.append(
                f"  pull {p['start_s']:.1f} to {p['end_s']:.1f} s, {p['speed_from_rpm']:.0f} to {p['speed_to_rpm']:.0f} rpm{boost}"
            )
        lines += [f"  - {line}" for line in row["findings"]]
    return "\n".join(lines)
