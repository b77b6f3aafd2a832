"""A full-load curve from a brake, a drum or a book: torque over speed."""

from typing import Self

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from measurements.proving.models import ProvingRun
from measurements.readings.instruments import Instrument
from shop.jobs.models import JobCard


class PowerCurveQuerySet(models.QuerySet["PowerCurve"]):
    def of(self, job: JobCard) -> Self:
        return self.filter(job=job)

    def with_points(self) -> Self:
        return self.select_related("by", "run", "dyno", "instrument").prefetch_related("points")


class PowerCurve(models.Model):
    KINDS = [
        ("brake", _("engine or power take-off brake")),
        ("drum", _("rollers")),
        ("road", _("road run")),
        ("book", _("book, not measured here")),
    ]

    job = models.ForeignKey(JobCard, on_delete=models.PROTECT, related_name="+")
    run = models.ForeignKey(ProvingRun, null=True, blank=True, on_delete=models.PROTECT, related_name="curves")
    phase = models.CharField(max_length=8, choices=[("before", "before the fit"), ("after", "after the fit")])
    kind = models.CharField("how it was found", max_length=8, choices=KINDS)
    uncertainty_pct = models.FloatField("plus or minus, %", null=True, blank=True)
    instrument = models.ForeignKey(Instrument, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    instrument_ratio = models.FloatField("engine speed over the speed that the instrument sees", default=1.0)
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    objects = PowerCurveQuerySet.as_manager()

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.get_phase_display()}, {self.get_kind_display()}"


class PowerPoint(models.Model):
    curve = models.ForeignKey(PowerCurve, on_delete=models.CASCADE, related_name="points")
    speed_rpm = models.FloatField()
    torque_nm = models.FloatField()
    uncertainty_nm = models.FloatField("plus or minus, Nm", null=True, blank=True)

    class Meta:
        ordering = ["speed_rpm"]
        constraints = [models.UniqueConstraint(fields=["curve", "speed_rpm"], name="power_point_speed_once")]

    def __str__(self) -> str:
        return f"{self.speed_rpm:.0f} rpm {self.torque_nm:.0f} Nm"
