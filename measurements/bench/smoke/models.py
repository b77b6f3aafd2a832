"""Smoke tests, snap by snap, and the limits that the owner sets. Tests and snaps are added, never changed."""

import uuid
from typing import Self

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from measurements.bench.smoke.standard import PROCEDURES, Bound
from measurements.proving.models import ProvingRun
from measurements.readings.instruments import Instrument
from shop.jobs.models import JobCard

QUANTITIES = [("k", "absorption coefficient, m⁻¹"), ("opacity", "opacity, %")]
PROCEDURE_CHOICES = [(p.slug, p.label) for p in PROCEDURES.values()]


class SmokeLimitQuerySet(models.QuerySet["SmokeLimit"]):
    def in_use(self) -> Self:
        return self.filter(retired=False)


class SmokeLimit(models.Model):
    """One row of the workshop's table of limits: the local rule, with where it comes from."""

    name = models.CharField("class it holds for", max_length=80, unique=True)
    procedure = models.CharField("how it is tested", max_length=8, choices=PROCEDURE_CHOICES, default="free")
    quantity = models.CharField("stated as", max_length=8, choices=QUANTITIES, default="k")
    value = models.FloatField("limit", validators=[MinValueValidator(0.01), MaxValueValidator(99.9)])
    path_m = models.FloatField(
        "path for which an opacity holds, m", null=True, blank=True, validators=[MinValueValidator(0.03), MaxValueValidator(1)],
        help_text="0.430 is usual; empty: the standard path by rated power",
    )  # fmt: skip
    source = models.CharField("where it comes from", max_length=160)
    note = models.CharField(max_length=200, blank=True)
    retired = models.BooleanField(default=False, help_text="kept for old tests, not offered for new ones")

    objects = SmokeLimitQuerySet.as_manager()

    class Meta:
        ordering = ["retired", "procedure", "name"]

    def __str__(self) -> str:
        return self.name

    @property
    def unit(self) -> str:
        return "m⁻¹" if self.quantity == "k" else "%"


class SmokeTestQuerySet(models.QuerySet["SmokeTest"]):
    def of(self, job: JobCard) -> Self:
        return self.filter(job=job)

    def with_snaps(self) -> Self:
        return self.select_related("by", "run", "meter").prefetch_related(
            models.Prefetch("snaps", SmokeSnap.objects.select_related("by"))
        )


class SmokeTest(models.Model):
    """One test as it was begun. The limit stands here as it was then, so that a later change of the table moves nothing."""

    PHASES = [("before", "before the fit"), ("after", "after the fit")]

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    job = models.ForeignKey(JobCard, on_delete=models.PROTECT, related_name="+")
    phase = models.CharField("taken", max_length=8, choices=PHASES)
    run = models.ForeignKey(ProvingRun, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    procedure = models.CharField(max_length=8, choices=PROCEDURE_CHOICES)
    limit_name = models.CharField(max_length=80, blank=True)
    limit_quantity = models.CharField(max_length=8, blank=True)
    limit_value = models.FloatField(null=True, blank=True)
    limit_path_m = models.FloatField(null=True, blank=True)
    limit_source = models.CharField(max_length=160, blank=True)
    limit_reason = models.CharField("why this class", max_length=200, blank=True)
    read_as = models.CharField("the meter shows", max_length=8, choices=QUANTITIES)
    meter_path_m = models.FloatField(null=True, blank=True)
    meter = models.ForeignKey(Instrument, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    oil_temperature_c = models.FloatField()
    is_usual_temperature = models.BooleanField(default=False)
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    objects = SmokeTestQuerySet.as_manager()

    class Meta:
        ordering = ["at"]

    def __str__(self) -> str:
        return f"smoke test of {self.job}, {self.get_phase_display()}"

    @property
    def bound(self) -> Bound | None:
        return Bound(self.limit_value, self.limit_quantity, self.limit_path_m) if self.limit_value is not None else None

    @property
    def unit(self) -> str:
        return "m⁻¹" if self.read_as == "k" else "%"

    @property
    def slug(self) -> str:
        """The quantity that the meter shows."""
        return "smoke_k_per_m" if self.read_as == "k" else "smoke_opacity_pct"

    def standing(self) -> list["SmokeSnap"]:
        """Snaps that no correction has replaced, in the order in which they were made."""
        snaps = list(self.snaps.all())
        replaced = {s.replaces_id for s in snaps}
        return sorted((s for s in snaps if s.id not in replaced), key=lambda s: s.number)

    def clearing(self) -> list["SmokeSnap"]:
        return [s for s in self.standing() if s.is_clearing]

    def measured(self) -> list["SmokeSnap"]:
        return [s for s in self.standing() if not s.is_clearing]

    def measured_per_m(self) -> list[float]:
        return [s.measured_per_m for s in self.measured()]


class SmokeSnap(models.Model):
    """One snap of the pedal. A clearing one may have no reading; a corrected one keeps the number of the old."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    test = models.ForeignKey(SmokeTest, on_delete=models.PROTECT, related_name="snaps")
    number = models.PositiveSmallIntegerField()
    is_clearing = models.BooleanField()
    value = models.FloatField("as the meter showed it", null=True, blank=True)
    k_per_m = models.FloatField(null=True, blank=True)
    replaces = models.OneToOneField("self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by")
    reason = models.CharField("why it was corrected", max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["number", "at"]
        constraints = [
            models.UniqueConstraint(
                fields=["test", "number"], condition=models.Q(replaces__isnull=True), name="smoke_snap_number_once"
            )
        ]

    def __str__(self) -> str:
        return f"snap {self.number}"

    @property
    def measured_per_m(self) -> float:
        """Only a clearing snap may be without a figure."""
        if self.k_per_m is None:
            raise ValueError(f"{self} has no figure")
        return self.k_per_m
