"""What was really fitted. A change adds a row; the last one is what runs."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from shop.jobs.models import JobCard
from sizing.catalogue.models import AirCleaner, Cooler, Pump, Turbo


class Fitment(models.Model):
    job = models.ForeignKey(JobCard, on_delete=models.PROTECT, related_name="fitments")
    turbo = models.ForeignKey(Turbo, on_delete=models.PROTECT, related_name="+")
    turbo_serial = models.CharField("turbo serial number", max_length=60, blank=True)
    cooler = models.ForeignKey(Cooler, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    air_cleaner = models.ForeignKey(AirCleaner, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    pump = models.ForeignKey(Pump, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    plunger_diameter_mm = models.FloatField(validators=[MinValueValidator(4), MaxValueValidator(14)])
    delivery_mm3 = models.FloatField(
        "full-load delivery on the bench, mm³/stroke",
        null=True,
        blank=True,
        validators=[MinValueValidator(5), MaxValueValidator(400)],
    )
    note = models.TextField(blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.turbo} with a {self.plunger_diameter_mm:g} mm plunger"


class FittedPart(models.Model):
    """Any other part on the job: hoses, gaskets, gauges."""

    job = models.ForeignKey(JobCard, on_delete=models.PROTECT, related_name="fitted_parts")
    text = models.CharField("part", max_length=160)
    quantity = models.PositiveIntegerField(default=1, validators=[MinValueValidator(1), MaxValueValidator(1000)])
    serial = models.CharField("serial number", max_length=60, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return self.text
