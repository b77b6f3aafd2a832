import os

from django.core.management.base import BaseCommand

from shop.long_work.worker import LOOK_S, Worker


class Command(BaseCommand):
    help = "Do the long work that pages ask for (logs, backups, exports), until it is told to stop"

    def add_arguments(self, parser):
        parser.add_argument("--look", type=float, default=LOOK_S, metavar="SECONDS", help="how often to look when idle")
        parser.add_argument("--with-parent", action="store_true", help="end when the process that started this is gone")

    def handle(self, *, look, with_parent, **_):
        Worker(look, os.getppid() if with_parent else None).run()
