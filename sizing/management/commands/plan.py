import json
import sys
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from sizing.plans.answer.answers import answer
from sizing.plans.file import answer_of, read_case
from sizing.ways import word_of


class Command(BaseCommand):
    help = "Work out a plan from a JSON file ('-' reads the standard input) and print limits and figures over speed."

    def add_arguments(self, parser):
        parser.add_argument("file")
        parser.add_argument(
            "--json", action="store_true", help="print everything as JSON, in kPa, °C, Nm, kW, mm³ a stroke"
        )

    def handle(self, *args, **options):
        try:
            text = sys.stdin.read() if options["file"] == "-" else Path(options["file"]).read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError) as error:
            raise CommandError(f"{options['file']} cannot be read: {error}") from error
        try:
            case = read_case(text)
            if options["json"]:
                self.stdout.write(json.dumps(answer_of(case), indent=1, ensure_ascii=False))
                return
        except ValueError as error:
            raise CommandError(str(error)) from error
        found = answer(case)
        if found.trouble:
            raise CommandError(found.trouble)
        self.stdout.write(f"{word_of('verdict', found.verdict)}: {found.sentence}\n")
        for row in found.limits:
            self.stdout.write(
                f"{word_of('verdict', row.verdict):14} {row.label}: {row.value} {row.unit}, limit {row.limit}, {row.margin}{row.at_speed and ','}{row.at_speed}"
            )
        self.stdout.write("\n" + "  ".join(f"{label} {unit}".strip() for label, unit in found.table_head))
        for cells in found.table:
            self.stdout.write("  ".join(cells))
