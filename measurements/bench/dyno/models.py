"""How a full-load curve was measured: the record as received, what was set, the air, and the correction or its refusal."""

import uuid

from django.db import models

from measurements.bench.curves.models import PowerCurve
from sizing.said import Said, shown
from sizing.ways import word, word_of


class DynoTest(models.Model):
    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    curve = models.OneToOneField(PowerCurve, on_delete=models.PROTECT, related_name="dyno")
    place = models.CharField("where it holds", max_length=20)
    setup = models.JSONField("what was set: code of the field, value, unit", default=list)
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
    refusals = models.JSONField("why it is not corrected, as codes with values", default=list, blank=True)
    remarks = models.JSONField("what has to be said of it, as codes with values", default=list, blank=True)

    def __str__(self) -> str:
        return f"{self.curve}, {word_of('curve_place', self.place)}"

    @property
    def settings(self) -> list[tuple[str, float, str]]:
        """What was set, with the names of the fields."""
        return [(shown(word("dyno_setup", name)), value, unit) for name, value, unit in self.setup]

    @property
    def refusal(self) -> str:
        """Why it is not corrected, in words."""
        return " ".join(str(Said.of(kept)) for kept in self.refusals)

    @property
    def notes(self) -> list[Said]:
        return [Said.of(kept) for kept in self.remarks]
