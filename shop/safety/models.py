from django.conf import settings
from django.db import models

from shop.jobs.models import JobCard


class SafetySignOff(models.Model):
    """One check from shop/safety/notes.py, signed for one fitment of a job. A new fitment needs new signatures."""

    job = models.ForeignKey(JobCard, on_delete=models.PROTECT, related_name="sign_offs")
    round = models.PositiveSmallIntegerField(default=1)
    check_slug = models.CharField(max_length=40)
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]
        constraints = [models.UniqueConstraint(fields=["job", "round", "check_slug"], name="sign_off_once_a_round")]

    def __str__(self) -> str:
        return f"{self.job}: {self.check_slug}"
