"""What became of each job that was handed over, in one row, so that the review need not read every reading and call."""

from django.db import models

from shop.jobs.models import JobCard
from sizing.catalogue.models import Turbo


class Outcome(models.Model):
    """Worked out from what else is stored, forgotten when anything happens to the job, and then made again."""

    job = models.OneToOneField(JobCard, primary_key=True, on_delete=models.CASCADE, related_name="+")
    # The pairing: what the last fitment says. Empty for a job that was handed over with no turbo fitted.
    turbo = models.ForeignKey(Turbo, null=True, on_delete=models.CASCADE, related_name="+")
    plunger_mm = models.FloatField("plunger, middle of its class", null=True)
    has_cooler = models.BooleanField(default=False)
    # In service: until the failure that ended the pairing, or else until it was last heard of.
    days = models.PositiveIntegerField(null=True)
    failed = models.BooleanField(default=False)
    hours = models.FloatField(null=True)
    km = models.FloatField(null=True)
    failures = models.PositiveSmallIntegerField(default=0)
    other_failures = models.PositiveSmallIntegerField(default=0)
    # Proving: limit less the highest exhaust temperature; highest power before and after, found in the same way.
    in_hand_c = models.FloatField(null=True)
    power_before_kw = models.FloatField(null=True)
    power_after_kw = models.FloatField(null=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"outcome of {self.job_id}"
