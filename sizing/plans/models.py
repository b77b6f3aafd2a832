"""A plan: one turbo, one pump setting, the facts it stands on, what the pump bench measured. It does not know its job."""

from typing import Self

from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from sizing.catalogue.models import AirCleaner, Cooler, Plunger, Turbo, between
from sizing.plans.facts import INJECTION, ORIGINS


class PlanQuerySet(models.QuerySet["Plan"]):
    def with_parts(self) -> Self:
        return self.select_related("turbo", "cooler", "air_cleaner", "plunger__pump").prefetch_related(
            "inputs", "own_limits", "turbo__map_points", "bench_lines__plunger__pump"
        )


class Plan(models.Model):
    title = models.CharField(max_length=120)
    injection = models.CharField(max_length=10, choices=INJECTION)
    turbo = models.ForeignKey(Turbo, null=True, blank=True, on_delete=models.PROTECT, related_name="plans")
    cooler = models.ForeignKey(Cooler, null=True, blank=True, on_delete=models.PROTECT, related_name="plans")
    air_cleaner = models.ForeignKey(AirCleaner, null=True, blank=True, on_delete=models.PROTECT, related_name="plans")
    plunger = models.ForeignKey(Plunger, null=True, blank=True, on_delete=models.PROTECT, related_name="plans")
    note = models.TextField(blank=True)
    # Comes with the form that makes a plan, so that a form sent twice makes one.
    request_id = models.UUIDField(null=True, blank=True, unique=True, editable=False)
    made_at = models.DateTimeField()
    changed_at = models.DateTimeField()

    objects = PlanQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at"]

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        return reverse("sizing:plan", args=[self.pk])


class PlanInput(models.Model):
    """A number the plan stands on, as a range with where it comes from. The name is a field of PlanInputs."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="inputs")
    name = models.CharField(max_length=40)
    low = models.FloatField()
    high = models.FloatField()
    origin = models.CharField(max_length=10, choices=ORIGINS)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "name"], name="plan_input_once"),
            models.CheckConstraint(condition=Q(low__lte=F("high")), name="plan_input_low_below_high"),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.low:g} to {self.high:g}"

    @property
    def is_range(self) -> bool:
        return self.low != self.high


class PlanLimit(models.Model):
    """A limit the owner set for this plan in place of the usual one, with where it comes from."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="own_limits")
    name = models.CharField(max_length=40)
    value = models.FloatField()
    source = models.CharField(max_length=160)

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["plan", "name"], name="plan_limit_once")]

    def __str__(self) -> str:
        return f"{self.name} {self.value:g}"


MOST_LINES = 12


LEAST_MM3, MOST_MM3 = 0.5, 400.0


SPEEDS = {"rated": "at rated speed", "torque": "at the speed of greatest torque"}


class BenchLine(models.Model):
    """Full-load delivery of one line, with the plunger that was in the pump: it tells nothing of another one."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="bench_lines")
    at = models.CharField(max_length=8, choices=list(SPEEDS.items()))
    line = models.PositiveSmallIntegerField(validators=between(1, MOST_LINES))
    delivery_mm3 = models.FloatField(validators=between(LEAST_MM3, MOST_MM3))
    plunger = models.ForeignKey(Plunger, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "line"]
        constraints = [models.UniqueConstraint(fields=["plan", "at", "line"], name="bench_line_once")]

    def __str__(self) -> str:
        return f"line {self.line} {self.get_at_display()}: {self.delivery_mm3:g} mm³"
