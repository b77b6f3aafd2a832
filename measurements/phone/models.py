"""What a person pressed on a phone besides readings: a signature, the start of a proving run, a step of it."""

import uuid
from typing import Self

from django.conf import settings
from django.db import models

from measurements.proving.models import ProvingRun
from shop.jobs.models import JobCard


class ActQuerySet(models.QuerySet["Act"]):
    def steps_of(self, run: ProvingRun) -> Self:
        return self.filter(run=run, kind="run_step").select_related("by").order_by("taken_at", "received_at")


class Act(models.Model):
    """The id is the sender's, so that each is stored once. What it did stands where it always stands."""

    KINDS = [
        ("sign_off", "safety check signed"),
        ("start", "proving run started"),
        ("run_step", "step of a proving run"),
    ]
    STEPS = {
        "oil_unreadable": "oil temperature cannot be read; warmed up by coolant, load and time",
        "cool_down": "idled before switching off",
    }

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    kind = models.CharField(max_length=12, choices=KINDS)
    job = models.ForeignKey(JobCard, on_delete=models.PROTECT, related_name="+")
    run = models.ForeignKey(ProvingRun, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    content = models.JSONField()  # as it was sent, to tell a repetition from something else under the same id
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    taken_at = models.DateTimeField()
    device_at = models.DateTimeField(null=True, blank=True)  # what the phone's clock said, right or wrong
    received_at = models.DateTimeField()

    objects = ActQuerySet.as_manager()

    class Meta:
        ordering = ["received_at", "id"]

    def __str__(self) -> str:
        return self.get_kind_display()
