"""What the proving of a handed-over job showed, in four figures, so that the review need not read every reading."""

from django.db import models

from shop.models import JobCard


class Outcome(models.Model):
    """One row a job. It is worked out from readings, curves and plan, and can be made again at any time."""

    job = models.OneToOneField(JobCard, primary_key=True, on_delete=models.CASCADE, related_name="+")
    exhaust_highest_c = models.FloatField("highest exhaust temperature after the fit", null=True)
    exhaust_limit_c = models.FloatField("limit of the plan", null=True)
    power_before_kw = models.FloatField("highest power before the fit", null=True)
    power_after_kw = models.FloatField("highest power after the fit", null=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"outcome of {self.job_id}"
