"""How a full-load curve was measured: the record as received, what was set, the air, and the correction or its refusal."""

import uuid

from django.db import models

from measurements.bench.curves.models import PowerCurve


class DynoTest(models.Model):
    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    curve = models.OneToOneField(PowerCurve, on_delete=models.PROTECT, related_name="dyno")
    place = models.CharField("where it holds", max_length=20)
    setup = models.JSONField("what was set, as shown: label, value, unit", default=list)
    record = models.FileField(upload_to="dyno/")
    record_sha256 = models.CharField(max_length=64)
    run_down = models.FileField(upload_to="dyno/", blank=True)
    run_down_sha256 = models.CharField(max_length=64, blank=True)
    air_temperature_c = models.FloatField(null=True, blank=True)
    air_pressure_kpa = models.FloatField(null=True, blank=True)
    relative_humidity_pct = models.FloatField(null=True, blank=True)
    standard = models.CharField(max_length=12, blank=True)
    engine_class = models.CharField(max_length=16, blank=True)
    ratio_place = models.CharField(max_length=12, blank=True)
    correction_factor = models.FloatField(null=True, blank=True)
    highest_kw = models.FloatField("highest power as measured")
    highest_at_rpm = models.FloatField()
    highest_uncertainty_kw = models.FloatField(null=True, blank=True)
    corrected_kw = models.FloatField(null=True, blank=True)
    corrected_uncertainty_kw = models.FloatField(null=True, blank=True)
    refusal = models.TextField("why it is not corrected", blank=True)
    notes = models.TextField(blank=True)

    def __str__(self) -> str:
        return f"{self.curve}, {self.place}"
