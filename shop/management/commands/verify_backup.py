from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from shop.workshop.backups import BackupError, verify_backup


class Command(BaseCommand):
    help = "Check that a backup is whole: every checksum, and the database it holds. Nothing is changed."

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path)

    def handle(self, *args, file, **options):
        try:
            manifest = verify_backup(file)
        except BackupError as error:
            raise CommandError(str(error), returncode=2) from error
        self.stdout.write(
            f"{file} is whole: made {manifest['made_at']}, {sum(manifest['rows'].values()):,} rows, {len(manifest['members']) - 1:,} files."
        )
