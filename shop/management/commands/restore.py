from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from shop.workshop.backups import BackupError, restore_backup


class Command(BaseCommand):
    help = "Put a backup into an empty database and bring it up to this version. A database that holds a workshop is refused."

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path)

    def handle(self, *args, file, **options):
        try:
            manifest = restore_backup(file)
        except BackupError as error:
            raise CommandError(str(error), returncode=2) from error
        self.stdout.write(
            f"Restored from {file}, made {manifest['made_at']}: {sum(manifest['rows'].values()):,} rows, {len(manifest['members']) - 1:,} files."
        )
