"""Readings: facts that are added and never changed. A correction adds a row that replaces the old one."""

import uuid
from typing import Self

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from measurements.intake.models import IntakeToken
from measurements.proving.models import ProvingRun
from measurements.readings.instruments import Instrument
from shop.jobs.models import JobCard
from sizing.units.quantities import QUANTITIES

PLACES = [
    ("intake_manifold", "intake manifold"),
    ("after_compressor", "after compressor"),
    ("after_cooler", "after cooler"),
    ("before_turbine", "before turbine"),
    ("after_turbine", "after turbine"),
    ("exhaust_port", "exhaust port"),
    ("tail_pipe", "tail pipe"),
    ("main_gallery", "main oil gallery"),
    ("turbo_feed", "turbo oil feed"),
    ("sump", "sump"),
    ("outside", "outside air"),
    ("flywheel", "flywheel or power take-off"),
    ("wheels", "wheels"),
    ("", "not said"),
]


class PointQuerySet(models.QuerySet["Point"]):
    def of(self, job: JobCard) -> Self:
        return self.filter(job=job)

    def before(self) -> Self:
        return self.filter(phase="before")

    def after(self) -> Self:
        return self.filter(phase="after")

    def with_readings(self) -> Self:
        """Everything a page needs to show points with their corrections, in a fixed number of queries."""
        readings = Reading.objects.select_related("instrument", "by").order_by("at", "quantity")
        return self.select_related("by", "run").prefetch_related(models.Prefetch("readings", readings))

    def withdrawn(self) -> Self:
        """Those that were taken back, with who did and when, the last first."""
        readings = Reading.objects.select_related("by").order_by("at", "quantity")
        found = (
            self.filter(withdrawal__isnull=False)
            .select_related("by", "run", "withdrawal__by")
            .order_by("-withdrawal__at")
        )
        return found.prefetch_related(models.Prefetch("readings", readings))

    def with_values(self) -> Self:
        """What a verdict needs, without the people who read."""
        return self.prefetch_related(
            models.Prefetch("readings", Reading.objects.select_related("instrument").order_by())
        )


_PointManager = models.Manager.from_queryset(PointQuerySet)


class StandingManager(_PointManager["Point"]):
    """Without the points that were taken back, so that none of them counts anywhere by accident."""

    def get_queryset(self) -> models.QuerySet["Point"]:
        return super().get_queryset().filter(withdrawal__isnull=True)


class Point(models.Model):
    """One stop on the sheet: the engine held at a speed and a load, and what was read there."""

    PHASES = [("before", _("before the fit")), ("after", _("after the fit"))]

    # Made by the phone that typed it, so that sending it twice stores it once.
    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    job = models.ForeignKey(JobCard, on_delete=models.PROTECT, related_name="+")
    phase = models.CharField(max_length=8, choices=PHASES)
    run = models.ForeignKey(ProvingRun, null=True, blank=True, on_delete=models.PROTECT, related_name="points")
    speed_rpm = models.FloatField()
    load_pct = models.FloatField()
    gear = models.CharField(max_length=12, blank=True)
    air_temperature_c = models.FloatField(null=True, blank=True)
    air_pressure_kpa = models.FloatField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    box = models.ForeignKey(IntakeToken, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    taken_at = models.DateTimeField()
    device_at = models.DateTimeField(null=True, blank=True)  # what the sender's clock said, right or wrong
    received_at = models.DateTimeField()

    objects = StandingManager()
    everything = PointQuerySet.as_manager()

    class Meta:
        ordering = ["taken_at", "received_at"]
        indexes = [models.Index(fields=["job", "phase", "speed_rpm"])]

    def __str__(self) -> str:
        return f"{self.speed_rpm:.0f} rpm, {self.load_pct:.0f} % load"

    def standing(self) -> list["Reading"]:
        """The readings that no correction has replaced, without a query of its own when readings were fetched."""
        readings = list(self.readings.all())
        replaced = {r.replaces_id for r in readings}
        return [r for r in readings if r.id not in replaced]

    def with_old(self) -> list[tuple["Reading", list["Reading"]]]:
        """Each standing reading with those that it replaced, the first typed one first."""
        by_id = {r.id: r for r in self.readings.all()}
        rows = []
        for reading in self.standing():
            old: list[Reading] = []
            before = reading
            while before.replaces_id in by_id:
                before = by_id[before.replaces_id]
                old.insert(0, before)
            rows.append((reading, old))
        return rows


class ReadingQuerySet(models.QuerySet["Reading"]):
    def standing(self) -> Self:
        """Those that no correction has replaced, at points that were not taken back."""
        return self.filter(replaced_by__isnull=True, point__withdrawal__isnull=True)

    def of(self, job: JobCard) -> Self:
        return self.filter(point__job=job)


class Reading(models.Model):
    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    point = models.ForeignKey(Point, on_delete=models.PROTECT, related_name="readings")
    quantity = models.CharField(max_length=32, choices=[(q.slug, q.label) for q in QUANTITIES.values()])
    value = models.FloatField()
    place = models.CharField(max_length=20, choices=PLACES, blank=True)
    instrument = models.ForeignKey(Instrument, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    replaces = models.OneToOneField("self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by")
    reason = models.CharField("why it was corrected", max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    objects = ReadingQuerySet.as_manager()

    class Meta:
        ordering = ["at", "quantity"]
        constraints = [
            models.UniqueConstraint(
                fields=["point", "quantity", "place"],
                condition=models.Q(replaces__isnull=True),
                name="reading_once_a_point",
            )
        ]

    def __str__(self) -> str:
        return f"{self.quantity} {self.value:g}"


class Withdrawal(models.Model):
    """A point that was typed by mistake is taken back, not taken away."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    point = models.OneToOneField(Point, on_delete=models.PROTECT, related_name="withdrawal")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    device_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"taken back: {self.point_id}"
