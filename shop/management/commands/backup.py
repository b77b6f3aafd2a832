from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from shop.workshop.backups import BackupError, write_backup


class Command(BaseCommand):
    help = "Write the whole workshop (database, photos, logs) into one file that restore and verify_backup read."

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path, help="a file that is not there yet, such as workshop-2026-11-25.zip")

    def handle(self, *args, file, **options):
        try:
            manifest = write_backup(file)
        except BackupError as error:
            raise CommandError(str(error), returncode=2) from error
        rows, files = sum(manifest["rows"].values()), len(manifest["members"]) - 1
        self.stdout.write(
            f"{file}: {rows:,} rows in {len(manifest['rows'])} tables and {files:,} files. Keep SECRET_KEY elsewhere."
        )
