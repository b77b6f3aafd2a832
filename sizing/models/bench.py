"""What the pump bench measured for a plan."""

from django.db import models

from .catalogue import Plunger, between
from .plans import Plan

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
