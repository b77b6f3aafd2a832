"""A proving run: one go at showing that the plan is met, and the decision that ends it."""

from typing import Self

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from shop.jobs.models import JobCard
from sizing.plans.models import Plan


class ProvingRunQuerySet(models.QuerySet["ProvingRun"]):
    def of(self, job: JobCard) -> Self:
        return self.filter(job=job)

    def undecided(self) -> Self:
        return self.filter(decision="")

    def with_plan(self) -> Self:
        """With the plan and its parts, which every verdict asks for."""
        return self.select_related("job", "plan__turbo", "plan__cooler", "plan__air_cleaner", "plan__plunger__pump")

    def with_people(self) -> Self:
        """For a page of many runs: runs of one plan share it, so that it is read once."""
        return self.select_related("started_by", "decided_by").prefetch_related(
            models.Prefetch("plan", Plan.objects.with_parts())
        )


class ProvingRun(models.Model):
    DECISIONS = [
        ("keep", _("keep as it is")),
        ("change", _("change something and prove again")),
        ("next", _("keep now and plan the next stage")),
    ]

    job = models.ForeignKey(JobCard, on_delete=models.PROTECT, related_name="+")
    plan = models.ForeignKey(Plan, on_delete=models.PROTECT, related_name="+")
    number = models.PositiveSmallIntegerField()
    started_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    started_at = models.DateTimeField()
    decision = models.CharField(max_length=8, choices=DECISIONS, blank=True)
    verdict = models.CharField(max_length=16, blank=True)  # the worst word of the run, as it stood when decided
    reason = models.TextField(blank=True)
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    decided_at = models.DateTimeField(null=True, blank=True)

    objects = ProvingRunQuerySet.as_manager()

    class Meta:
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["job", "number"], name="proving_run_number_once_a_job")]
        permissions = [
            ("decide_provingrun", "Can decide after a proving run"),
            ("view_review", "Can see the review of all pairings"),
        ]

    def __str__(self) -> str:
        return f"{self.job} proving run {self.number}"

    @property
    def is_decided(self) -> bool:
        return bool(self.decision)
