"""The worker: looks for long work, has it done one by one by the library's worker, says that it lives, and tidies up."""

import logging
import os
import secrets
import shutil
import signal
import socket
import threading
import time
from datetime import timedelta
from pathlib import Path

from django.conf import settings
from django.db import Error, connection
from django.utils import timezone
from django_tasks import DEFAULT_TASK_BACKEND_ALIAS, DEFAULT_TASK_QUEUE_NAME, TaskResultStatus
from django_tasks_db.management.commands.db_worker import Worker as OneByOne
from django_tasks_db.models import DBTaskResult

from shop.long_work import queue
from shop.long_work.models import BEAT_S, LOST_S, Work, WorkerSeen
from shop.long_work.queue import FOLDER

logger = logging.getLogger(__name__)
# How often an idle worker looks. It only reads, and on a connection that stays open, since a new one reads the whole
# schema first. Measured on SQLite: a save takes 3.9 ms on average without a worker, 3.7 beside an idle one, 6.3 where it
# connects anew each time, and 6.8 beside the library's own loop, which locks the file for itself each time it looks.
LOOK_S = 1.0
TIDY_S = 3600.0
MADE_KEPT = timedelta(hours=24)  # a file that was made may be fetched for a day
ENDED_KEPT = timedelta(days=30)


class Worker:
    def __init__(self, look_s: float = LOOK_S, parent: int | None = None):
        self.name = f"{socket.gethostname()[:40]}:{os.getpid()}:{secrets.token_hex(4)}"
        self.look_s, self.parent = look_s, parent
        self.stopping = threading.Event()
        self.tidied_at = -TIDY_S

    def stop(self, *_: object) -> None:
        self.stopping.set()

    def is_stopping(self) -> bool:
        return self.stopping.is_set() or (self.parent is not None and os.getppid() != self.parent)

    def run(self) -> None:
        """Until it is told to stop, or until whoever started it is gone."""
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, self.stop)
        queue.is_stopping = self.is_stopping
        threading.Thread(target=self._beat, daemon=True).start()
        while not self.is_stopping():
            try:
                if not self.round():
                    self.stopping.wait(self.look_s)
            except Error as error:  # the database is busy or away: nothing is lost, it is asked again
                logger.warning("the worker could not ask the database: %s", error)
                connection.close()
                self.stopping.wait(5 * self.look_s)
        WorkerSeen.objects.filter(pk=self.name).delete()

    def round(self) -> bool:
        """One look: at lost work, at what is old, and at the queue. Whether there was something to do."""
        if time.monotonic() - self.tidied_at >= TIDY_S:
            self.tidied_at = time.monotonic()
            tidy_up()
        if Work.objects.filter(state="doing").exists():
            queue.take_back_lost()
        if not DBTaskResult.objects.ready().exists():
            return False
        OneByOne(
            queue_names=[DEFAULT_TASK_QUEUE_NAME], interval=0, batch=True, backend_name=DEFAULT_TASK_BACKEND_ALIAS,
            startup_delay=False, max_tasks=1, worker_id=self.name, excluded_queue_names=[],
        ).run()  # fmt: skip
        return True

    def seen(self) -> None:
        WorkerSeen.objects.update_or_create(name=self.name, defaults={"at": timezone.now()})

    def _beat(self) -> None:
        """In a thread of its own, with a connection of its own, so that it goes on while work is being done."""
        while not self.is_stopping():
            try:
                self.seen()
            except Error as error:
                logger.warning("the worker could not say that it lives: %s", error)
                connection.close()
            self.stopping.wait(BEAT_S)


def tidy_up() -> None:
    """Files that nobody fetched in a day, and rows that nobody asks for any more. What failed keeps what was sent."""
    now = timezone.now()
    for work in Work.objects.exclude(made="").filter(ended_at__lt=now - MADE_KEPT):
        work.made.delete(save=False)
        Work.objects.filter(pk=work.pk).update(made="")
    Work.objects.filter(received="", ended_at__lt=now - ENDED_KEPT).delete()
    WorkerSeen.objects.filter(at__lt=now - timedelta(days=1)).delete()
    for folder in Path(settings.DATA_DIR).glob(f"{FOLDER}*"):
        if folder.stat().st_mtime < (now - MADE_KEPT).timestamp():
            shutil.rmtree(folder, ignore_errors=True)
    ended = [TaskResultStatus.SUCCESSFUL, TaskResultStatus.FAILED]
    DBTaskResult.objects.filter(status__in=ended, finished_at__lt=now - ENDED_KEPT).delete()
    cut_off = DBTaskResult.objects.filter(status=TaskResultStatus.RUNNING)
    cut_off.filter(started_at__lt=now - ENDED_KEPT - timedelta(seconds=LOST_S)).delete()
