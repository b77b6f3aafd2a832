from django.db import models

from sizing.quantities import QUANTITIES


class Instrument(models.Model):
    name = models.CharField(max_length=80, unique=True)
    quantity = models.CharField(max_length=32, choices=[(q.slug, q.label) for q in QUANTITIES.values()])
    low = models.FloatField("lowest it reads, stored unit", null=True, blank=True)
    high = models.FloatField("highest it reads, stored unit", null=True, blank=True)
    uncertainty = models.FloatField("plus or minus, stored unit", help_text="from its plate or its last check")
    check_due_on = models.DateField(null=True, blank=True)
    retired = models.BooleanField(default=False)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
