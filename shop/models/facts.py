"""What is known of an engine and its pump, by whom and from where. Rows are added, never changed."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from sizing.facts import FACTS, ORIGINS

from .vehicles import Vehicle


class EngineFactQuerySet(models.QuerySet):
    def newest_first(self):
        return self.order_by("-at", "-pk")


class EngineFact(models.Model):
    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="facts")
    name = models.CharField(max_length=40, choices=[(f.name, f.label) for f in FACTS.values()])
    low = models.FloatField(null=True, blank=True)
    high = models.FloatField(null=True, blank=True)
    text = models.CharField(max_length=400, blank=True)
    origin = models.CharField(max_length=10, choices=ORIGINS)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    objects = EngineFactQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["vehicle", "name", "-at"])]
        constraints = [
            models.CheckConstraint(
                condition=Q(low__isnull=True, high__isnull=True) | Q(low__lte=F("high")),
                name="engine_fact_low_below_high",
            )
        ]

    def __str__(self) -> str:
        return f"{self.name}: {self.shown}"

    @property
    def fact(self):
        return FACTS[self.name]

    @property
    def shown(self) -> str:
        if self.low is None:
            return dict(self.fact.choices).get(self.text, self.text)
        value = f"{self.low:g}" if self.low == self.high else f"{self.low:g} to {self.high:g}"
        return f"{value} {self.fact.unit}".strip()

    @property
    def is_range(self) -> bool:
        return self.low != self.high
