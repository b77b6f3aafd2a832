"""Long work of the workshop's own page."""

from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.long_work.kinds import Done, WorkRefused, long_work
from shop.long_work.queue import Hand
from shop.workshop.backups import BackupError, write_backup
from sizing.said import told


# Not begun anew by itself: a backup that is put back elsewhere would begin with making one.
@long_work(
    "backup", _("Backup of the workshop"), "shop.add_backup", tries=1,
    steps={"database": _("Copying the database"), "files": _("Packing database, photos and logs")},
)  # fmt: skip
def make_backup(hand: Hand) -> Done:
    file = hand.folder / f"workshop-{timezone.localtime():%Y-%m-%d-%H%M}.zip"
    try:
        write_backup(file, hand.work.by, hand.tell)
    except BackupError as error:
        raise WorkRefused(told(str(error))) from error
    return Done(file=file, name=file.name)
