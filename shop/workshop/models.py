"""The workshop itself: one row, made on the first visit; and the backups that were written."""

import zoneinfo

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone

from sizing.units.quantities import UNIT_CHOICES


def zone_exists(name: str) -> None:
    if name not in zoneinfo.available_timezones():
        raise ValidationError(f"'{name}' is not a time zone. Give one such as America/La_Paz or Asia/Kathmandu.")


def _choices(kind: str) -> list[tuple[str, str]]:
    return [(unit, unit) for unit in UNIT_CHOICES[kind]]


class Workshop(models.Model):
    name = models.CharField(max_length=80)
    address = models.TextField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    altitude_m = models.FloatField(
        "altitude above sea level, m", validators=[MinValueValidator(-400), MaxValueValidator(5500)]
    )
    time_zone = models.CharField(max_length=60, validators=[zone_exists])
    currency = models.CharField(max_length=8, help_text="as it stands on a quote, such as EUR")
    pressure_unit = models.CharField(max_length=12, choices=_choices("pressure"), default="kPa")
    temperature_unit = models.CharField(max_length=12, choices=_choices("temperature"), default="°C")
    power_unit = models.CharField(max_length=12, choices=_choices("power"), default="kW")
    torque_unit = models.CharField(max_length=12, choices=_choices("torque"), default="Nm")
    local_rules = models.TextField(
        "what local law asks after a change to an engine",
        blank=True,
        help_text="printed on the hand-over sheet: inspections, registration, emission rules, who must be told",
    )
    is_demo = models.BooleanField(default=False, editable=False)
    # The database itself refuses a second workshop.
    only_one = models.BooleanField(default=True, unique=True, editable=False)

    def __str__(self) -> str:
        return self.name

    @property
    def unit_choices(self) -> dict[str, str]:
        return {
            "pressure": self.pressure_unit,
            "temperature": self.temperature_unit,
            "power": self.power_unit,
            "torque": self.torque_unit,
        }


class Backup(models.Model):
    """That a backup was made; the file itself is kept elsewhere."""

    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    size_bytes = models.BigIntegerField()

    class Meta:
        ordering = ["-at"]

    def __str__(self) -> str:
        return f"{timezone.localtime(self.at):%Y-%m-%d %H:%M}, {self.size_bytes} bytes"
