"""What is known of an engine and its pump, by whom and from where, and the survey sheet. Rows are added, never changed."""

from typing import Self

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from shop.jobs.models import JobCard
from shop.people.models import Vehicle
from sizing.plans.facts import FACTS, ORIGINS, Fact


class EngineFactQuerySet(models.QuerySet["EngineFact"]):
    def newest_first(self) -> Self:
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
    def fact(self) -> Fact:
        return FACTS[self.name]

    @property
    def ends(self) -> tuple[float, float]:
        """Lowest and highest of a number; a fact that is told in words has none."""
        if self.low is None or self.high is None:
            raise ValueError(f"{self.name} is told in words")
        return self.low, self.high

    @property
    def shown(self) -> str:
        if self.low is None:
            return dict(self.fact.choices).get(self.text, self.text)
        value = f"{self.low:g}" if self.low == self.high else f"{self.low:g} to {self.high:g}"
        return f"{value} {self.fact.unit}".strip()

    @property
    def is_range(self) -> bool:
        return self.low != self.high


STATES = [("unchecked", "not checked"), ("good", "good"), ("repair", "needs repair"), ("bad", "not fit")]


def _state(label: str) -> "models.CharField[str, str]":
    return models.CharField(label, max_length=10, choices=STATES, default="unchecked")


def _number(label: str, low: float, high: float) -> "models.FloatField[float | None, float | None]":
    return models.FloatField(label, null=True, blank=True, validators=[MinValueValidator(low), MaxValueValidator(high)])


class Survey(models.Model):
    VERDICTS = [("fit", _("fit")), ("repairs", _("fit after these repairs")), ("unfit", _("not fit"))]
    STATE_FIELDS = (
        "oil_state",
        "coolant_state",
        "filter_state",
        "leak_state",
        "injector_state",
        "mount_state",
        "clutch_state",
        "cooling_state",
    )

    job = models.ForeignKey(JobCard, on_delete=models.PROTECT, related_name="surveys")
    compression_low_bar = _number("compression, lowest cylinder, bar gauge", 5, 60)
    compression_high_bar = _number("compression, highest cylinder, bar gauge", 5, 60)
    blow_by_l_min = _number("blow-by, L/min", 0, 500)
    oil_pressure_idle_kpa = _number("oil pressure hot, at idle, kPa gauge", 0, 1500)
    oil_pressure_rated_kpa = _number("oil pressure hot, at rated speed, kPa gauge", 0, 1500)
    oil_state = _state("oil")
    coolant_state = _state("coolant")
    filter_state = _state("air, oil and fuel filters")
    leak_state = _state("leaks of oil, coolant, fuel and exhaust")
    injector_state = _state("injectors: opening pressure, spray, leak-back")
    mount_state = _state("engine and gearbox mounts")
    clutch_state = _state("clutch or coupling reserve")
    cooling_state = _state("cooling reserve: radiator, fan, thermostat")
    oil_changed_on = models.DateField("oil and oil filter changed on", null=True, blank=True)
    air_filter_changed_on = models.DateField("air filter changed on", null=True, blank=True)
    fuel_filter_changed_on = models.DateField("fuel filter changed on", null=True, blank=True)
    coolant_changed_on = models.DateField("coolant changed on", null=True, blank=True)
    space_length_mm = _number("space for the turbo, length mm", 20, 3000)
    space_width_mm = _number("space for the turbo, width mm", 20, 3000)
    space_height_mm = _number("space for the turbo, height mm", 20, 3000)
    boost_tap = models.CharField(
        "where boost can be tapped", max_length=160, blank=True, help_text="some turbos and manifolds have no port"
    )
    exhaust_temperature_tap = models.CharField("where exhaust temperature can be tapped", max_length=160, blank=True)
    emission_equipment = models.CharField("emission equipment as found", max_length=400, blank=True)
    note = models.TextField(blank=True)
    verdict = models.CharField(max_length=10, choices=VERDICTS)
    repairs = models.TextField("repairs needed first, or why it is not fit", blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"survey of {self.job}: {self.get_verdict_display()}"
