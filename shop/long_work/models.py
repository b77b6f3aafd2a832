"""Long work that was asked for on a page and is done by the worker, and when each worker was last seen."""

from datetime import timedelta
from typing import Self

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.long_work.kinds import KINDS, WorkKind
from sizing.said import Said

# A worker says so every BEAT_S seconds that it lives. After LOST_S without a word it is taken for dead and its work is
# given to another: four words missed, so that a busy disk alone does not do it.
BEAT_S, LOST_S = 15, 60


class WorkQuerySet(models.QuerySet["Work"]):
    def under_way(self) -> Self:
        return self.filter(state__in=["waiting", "doing"])

    def shown_with(self, about: str) -> Self:
        """What a page about this thing must still tell of: under way, or ended without success and not yet tried again."""
        return self.filter(about=about).exclude(state__in=["done", "again"])


class Work(models.Model):
    STATES = [
        ("waiting", _("waiting")),
        ("doing", _("being done")),
        ("done", _("done")),
        ("refused", _("not possible")),
        ("failed", _("gone wrong")),
        ("again", _("tried again")),
    ]

    kind = models.CharField(max_length=40)
    given = models.JSONField(default=dict)  # what it is done with, by the names that its function takes
    about = models.CharField(max_length=60, blank=True, db_index=True)  # what it belongs to, such as "job:12"
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    state = models.CharField(max_length=8, choices=STATES, default="waiting")
    tries = models.PositiveSmallIntegerField(default=0)
    worker = models.CharField(max_length=64, blank=True)
    started_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)
    step = models.CharField(max_length=40, blank=True)
    share = models.FloatField(null=True)  # of the whole, 0 to 1; unknown where it cannot be said
    received = models.FileField(upload_to="incoming/%Y/%m", blank=True)  # what was sent to be worked on
    made = models.FileField(upload_to="made/%Y/%m", blank=True)  # what came of it, to be fetched
    made_name = models.CharField(max_length=200, blank=True)
    leads_to = models.JSONField(default=list)  # name of a page and its arguments
    said = models.JSONField(default=list)  # for the page that it leads to, by code
    refusal = models.JSONField(null=True)  # why it was refused, by code
    trouble = models.TextField(blank=True)  # what went wrong, in the program's own words

    objects = WorkQuerySet.as_manager()

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        return reverse("shop:work", args=[self.pk])

    @property
    def of_kind(self) -> WorkKind:
        return KINDS[self.kind]

    @property
    def title(self) -> str:
        return str(self.of_kind.title % self.given)

    @property
    def why(self) -> str:
        return str(Said.of(self.refusal)) if self.refusal else ""

    @property
    def job_pk(self) -> str:
        return self.about.removeprefix("job:")

    @property
    def step_words(self) -> str:
        return str(self.of_kind.steps.get(self.step, ""))

    @property
    def per_cent(self) -> int | None:
        return None if self.share is None else int(100 * self.share)

    @property
    def is_under_way(self) -> bool:
        return self.state in ("waiting", "doing")

    @property
    def may_be_tried_again(self) -> bool:
        """What was cut off or refused, as long as what it works on is still here."""
        return self.state in ("failed", "refused") and (bool(self.received) or not self.of_kind.takes_file)


class WorkerSeen(models.Model):
    """One worker process: when it began and when it last said that it lives."""

    name = models.CharField(max_length=64, primary_key=True)
    since = models.DateTimeField(default=timezone.now)
    at = models.DateTimeField()

    def __str__(self) -> str:
        return self.name

    @staticmethod
    def last_seen_s() -> float | None:
        """Seconds since any worker was seen; None where none ever was."""
        last = WorkerSeen.objects.aggregate(at=models.Max("at"))["at"]
        return None if last is None else max((timezone.now() - last).total_seconds(), 0.0)

    @staticmethod
    def living() -> models.QuerySet["WorkerSeen"]:
        return WorkerSeen.objects.filter(at__gte=timezone.now() - timedelta(seconds=LOST_S))
