from datetime import date
from typing import Self

from django.db import models

from sizing.units.quantities import QUANTITIES


class InstrumentQuerySet(models.QuerySet["Instrument"]):
    def in_use(self) -> Self:
        return self.filter(retired=False)


class Instrument(models.Model):
    name = models.CharField(max_length=80, unique=True)
    quantity = models.CharField(max_length=32, choices=[(q.slug, q.label) for q in QUANTITIES.values()])
    low = models.FloatField("lowest it reads, stored unit", null=True, blank=True)
    high = models.FloatField("highest it reads, stored unit", null=True, blank=True)
    uncertainty = models.FloatField("plus or minus, stored unit", help_text="from its plate or its last check")
    check_due_on = models.DateField(null=True, blank=True)
    retired = models.BooleanField(default=False)

    objects = InstrumentQuerySet.as_manager()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def is_overdue(self, on: date) -> bool:
        return self.check_due_on is not None and self.check_due_on < on

    def covers(self, value: float) -> bool:
        return (self.low is None or value >= self.low) and (self.high is None or value <= self.high)
