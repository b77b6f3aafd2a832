"""Asking for long work, doing it, and giving it to another worker when one was lost."""

import logging
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.conf import settings
from django.core.files import File
from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django_tasks import TaskContext, task

from shop.access.models import Person
from shop.clock import workshop_clock
from shop.jobs.models import JobCard
from shop.long_work.kinds import Done, WorkRefused
from shop.long_work.models import LOST_S, Work, WorkerSeen, WorkQuerySet
from sizing.said import Said

logger = logging.getLogger(__name__)
TOLD_EVERY_S = 0.5  # a page asks once a second; more often would only take the write lock from others
NOTHING = Done()
FOLDER = "work-"  # in the data folder, while something is being made


class PutBack(Exception):
    """The worker is told to stop, or the work was given to another meanwhile: nothing more is done here."""


# Whether this process shall end; the worker sets it when it is told to.
is_stopping: Callable[[], bool] = lambda: False  # noqa: E731


def about_job(job: JobCard) -> str:
    return f"job:{job.pk}"


@transaction.atomic
def ask(kind: str, by: Person | None, about: str = "", received: "File[bytes] | None" = None, **given: Any) -> Work:
    """Put long work in the queue. What waits or is being done already is not asked for twice."""
    if received is None:
        same = Work.objects.under_way().filter(kind=kind, about=about, given=given).filter(by=by).first()
        if same:
            return same
    work = Work(kind=kind, by=by, about=about, given=given)
    if received is not None:
        work.received.save(received.name or kind, received, save=False)
    work.save()
    carry_out.enqueue(work.pk)
    work.refresh_from_db()
    return work


@transaction.atomic
def ask_again(work: Work, by: Person) -> Work:
    """The same once more, as a row of its own: what went wrong the first time stays as it was."""
    old = Work.objects.select_for_update().get(pk=work.pk)
    if not old.may_be_tried_again:
        raise WorkRefused("work.not_again")
    new = Work.objects.create(kind=old.kind, by=by, about=old.about, given=old.given, received=old.received.name)
    old.state, old.received = "again", ""
    old.save(update_fields=["state", "received"])
    carry_out.enqueue(new.pk)
    new.refresh_from_db()
    return new


class Hand:
    """What a function of long work has in hand: the row, a folder for what it makes, and a voice."""

    def __init__(self, work: Work, folder: Path):
        self.work, self.folder = work, folder
        self._step: str | None = None
        self._told_at = 0.0

    @property
    def by(self) -> Person:
        """Who asked for it. What the workshop does by itself stores nothing in anybody's name."""
        if self.work.by is None:
            raise ValueError(f"nobody asked for '{self.work}'")
        return self.work.by

    def tell(self, step: str = "", share: float | None = None) -> None:
        """Write down how far it has come: at each new step, otherwise not more often than people look."""
        now = time.monotonic()
        if step == self._step and now - self._told_at < TOLD_EVERY_S:
            return
        self._step, self._told_at = step, now
        if is_stopping() or not _ours(self.work).update(step=step, share=share):
            raise PutBack


def _ours(work: Work) -> WorkQuerySet:
    """The row as long as nobody else was given the work: one that was taken for lost and wakes up changes nothing."""
    return Work.objects.filter(pk=work.pk, state="doing", tries=work.tries)


@task(takes_context=True)
def carry_out(context: TaskContext, pk: int) -> None:
    """The one task of the queue: whoever claims the row does the work."""
    worker = (context.task_result.worker_ids or [""])[-1]
    claimed = Work.objects.filter(pk=pk, state="waiting").update(
        state="doing", worker=worker, tries=F("tries") + 1, started_at=timezone.now(), step="", share=None
    )
    if not claimed:
        return
    work = Work.objects.select_related("by").get(pk=pk)
    try:
        with workshop_clock(), TemporaryDirectory(dir=settings.DATA_DIR, prefix=FOLDER) as folder:
            _end(work, "done", work.of_kind.do(Hand(work, Path(folder)), **work.given))
    except WorkRefused as refused:
        _end(work, "refused", refusal=refused.said)
    except PutBack:
        with transaction.atomic():
            if _ours(work).update(state="waiting", tries=F("tries") - 1):
                carry_out.enqueue(pk)
    except Exception as error:
        logger.exception("long work %s (%s) went wrong", pk, work.kind)
        _end(work, "failed", trouble=f"{type(error).__name__}: {error}")


def _end(work: Work, state: str, done: Done = NOTHING, trouble: str = "", refusal: Said | None = None) -> None:
    work.state, work.trouble, work.ended_at = state, trouble, timezone.now()
    work.leads_to, work.said, work.made_name = list(done.leads_to), [line.kept() for line in done.said], done.name
    if done.file:
        with done.file.open("rb") as file:
            work.made.save(done.file.name, File(file), save=False)
    work.refusal = refusal.kept() if refusal else None
    names = ["state", "trouble", "refusal", "ended_at", "leads_to", "said", "made_name", "made"]
    if not _ours(work).update(**{name: getattr(work, name) for name in names}):
        if work.made:
            work.made.delete(save=False)
    elif state == "done" and work.received:
        _forget_received(work)


def _forget_received(work: Work) -> None:
    work.received.delete(save=False)
    Work.objects.filter(pk=work.pk).update(received="")


def take_back_lost() -> int:
    """Work whose worker was not seen for a while waits for another one, or is given up; how many there were."""
    before = timezone.now() - timedelta(seconds=LOST_S)
    lost = Work.objects.filter(state="doing", started_at__lt=before)
    lost = lost.exclude(worker__in=WorkerSeen.living().values("name"))
    many = 0
    for work in lost:
        once_more = work.tries < work.of_kind.tries
        more = {} if once_more else {"trouble": "", "ended_at": timezone.now()}
        with transaction.atomic():
            if _ours(work).update(state="waiting" if once_more else "failed", **more):
                many += 1
                if once_more:
                    carry_out.enqueue(work.pk)
        logger.warning("long work %s (%s): its worker was lost", work.pk, work.kind)
    return many
