from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from measurements.demo.fleet import ZONE
from measurements.demo.load import SEED, RealData, is_loaded, load_demo
from shop.access.demo_logins import DEMO_LOGINS


class Command(BaseCommand):
    help = "Fill an empty database with the demo workshop. A database that holds anything else is left as it is."

    def add_arguments(self, parser):
        parser.add_argument("--if-empty", action="store_true", help="a demo that is here already is no error")
        parser.add_argument("--seed", type=int, default=SEED, help="another seed makes another workshop")

    def handle(self, *args, seed, if_empty, **options):
        if is_loaded():
            here = "The demo workshop is here already; nothing was changed."
            if not if_empty:
                raise CommandError(here, returncode=2)
            self.stdout.write(here)
            if settings.DEMO:
                self._tell([(w.role, w.username, w.password) for w in DEMO_LOGINS])
            return
        try:
            log_ins = load_demo(timezone.localdate(timezone=ZONE), self._say, seed)
        except RealData as error:
            raise CommandError(str(error), returncode=2) from error
        self._tell([(item.role, item.username, item.password) for item in log_ins])

    def _say(self, text: str) -> None:
        self.stdout.write(text)
        self.stdout.flush()

    def _tell(self, rows: list[tuple[str, str, str]]) -> None:
        self.stdout.write("\nDemo log-ins")
        for role, username, password in rows:
            self.stdout.write(f"  {role:<12}{username:<8}{password}")
