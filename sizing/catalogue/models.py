"""Things a workshop can fit. Nothing here knows a vehicle or a job."""

from typing import Self, TypeVar

from django.core.validators import BaseValidator, MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse


def between(low: float, high: float) -> list[BaseValidator]:
    return [MinValueValidator(low), MaxValueValidator(high)]


Thing = TypeVar("Thing", bound="Item", covariant=True)


class ItemQuerySet(models.QuerySet[Thing]):
    def current(self) -> Self:
        return self.filter(retired=False)

    def matching(self, words: str) -> Self:
        found = self
        for word in words.split():
            found = found.filter(models.Q(make__icontains=word) | models.Q(name__icontains=word))
        return found

    def for_list(self) -> Self:
        """With what the list of this kind shows beside the row itself."""
        return self

    def to_choose(self, chosen: int | None = None) -> Self:
        """What is offered now, and what is chosen already."""
        return self.filter(models.Q(retired=False) | models.Q(pk=chosen))

    def narrowed(self, retired: str = "", stock: str = "", wastegate: str = "") -> Self:
        found = self if retired == "all" else self.filter(retired=retired == "yes")
        if stock:
            found = found.filter(stock_count__gt=0) if stock == "yes" else found.filter(stock_count=0)
        return found.filter(wastegate=wastegate == "yes") if wastegate else found

    def sorted_by(self, key: str) -> Self:
        """Things without the figure come last, whichever way it is sorted."""
        by_name = ("make", "name", "pk")
        if not key or key == "name":
            return self.order_by(*by_name)
        field = models.F(key.lstrip("-"))
        return self.order_by(field.desc(nulls_last=True) if key[0] == "-" else field.asc(nulls_last=True), *by_name)


class TurboQuerySet(ItemQuerySet["Turbo"]):
    def for_list(self) -> Self:
        return self.annotate(has_map=models.Exists(MapPoint.objects.filter(turbo=models.OuterRef("pk"))))


class PumpQuerySet(ItemQuerySet["Pump"]):
    def for_list(self) -> Self:
        return self.prefetch_related("plungers")


class PlungerQuerySet(models.QuerySet["Plunger"]):
    def to_choose(self, chosen: int | None = None) -> Self:
        offered = models.Q(retired=False, pump__retired=False)
        return (
            self.filter(offered | models.Q(pk=chosen))
            .select_related("pump")
            .order_by("pump__make", "pump__name", "diameter_mm")
        )

    def of(self, pumps: PumpQuerySet) -> Self:
        return (
            self.filter(pump__in=pumps.order_by())
            .select_related("pump")
            .order_by("pump__make", "pump__name", "diameter_mm")
        )


class Item(models.Model):
    make = models.CharField(max_length=60)
    name = models.CharField(max_length=60)
    price = models.DecimalField(
        max_digits=10, decimal_places=2, null=True, blank=True, validators=between(0, 10_000_000)
    )
    stock_count = models.PositiveIntegerField(default=0)
    weight_kg = models.FloatField(null=True, blank=True, validators=between(0.05, 500))
    length_mm = models.FloatField("envelope, length mm", null=True, blank=True, validators=between(10, 2000))
    width_mm = models.FloatField("envelope, width mm", null=True, blank=True, validators=between(10, 2000))
    height_mm = models.FloatField("envelope, height mm", null=True, blank=True, validators=between(10, 2000))
    source = models.CharField("where the figures come from", max_length=120, blank=True)
    note = models.TextField(blank=True)
    retired = models.BooleanField(default=False, help_text="kept for old jobs, not offered for new ones")

    objects = ItemQuerySet.as_manager()

    class Meta:
        abstract = True
        ordering = ["make", "name"]
        constraints = [models.UniqueConstraint(fields=["make", "name"], name="%(class)s_make_and_name_once")]

    def __str__(self) -> str:
        return f"{self.make} {self.name}"

    def get_absolute_url(self) -> str:
        return reverse("sizing:item", args=[self._meta.model_name, self.pk])

    @property
    def envelope_mm(self) -> tuple[float, float, float] | None:
        """Length, width and height, where all three are known."""
        if self.length_mm is None or self.width_mm is None or self.height_mm is None:
            return None
        return self.length_mm, self.width_mm, self.height_mm


class Turbo(Item):
    compressor_inducer_mm = models.FloatField(
        "compressor wheel, inlet diameter mm", null=True, blank=True, validators=between(15, 200)
    )
    compressor_exducer_mm = models.FloatField(
        "compressor wheel, outer diameter mm", null=True, blank=True, validators=between(20, 250)
    )
    compressor_exit_height_mm = models.FloatField(
        "compressor wheel, blade height at exit mm", null=True, blank=True, validators=between(1, 40)
    )
    compressor_blade_count = models.PositiveSmallIntegerField(
        "blades, splitters included", null=True, blank=True, validators=between(6, 40)
    )
    backsweep_deg = models.FloatField("backsweep at exit, degrees", null=True, blank=True, validators=between(0, 60))
    turbine_inducer_mm = models.FloatField(
        "turbine wheel, outer diameter mm", null=True, blank=True, validators=between(20, 250)
    )
    turbine_exducer_mm = models.FloatField(
        "turbine wheel, outlet diameter mm", null=True, blank=True, validators=between(15, 200)
    )
    housing_area_mm2 = models.FloatField(
        "turbine housing, throat area mm²", null=True, blank=True, validators=between(50, 8000)
    )
    housing_radius_mm = models.FloatField(
        "turbine housing, radius to throat centre mm", null=True, blank=True, validators=between(10, 200)
    )
    turbine_flow_kg_s = models.FloatField(
        "turbine flow capacity kg/s",
        null=True,
        blank=True,
        validators=between(0.002, 3),
        help_text="choked flow at 288.15 K and 101.325 kPa",
    )
    wastegate = models.BooleanField(default=False)
    max_speed_rpm = models.FloatField(
        "highest wheel speed rpm", null=True, blank=True, validators=between(10_000, 400_000)
    )
    turbine_flange = models.CharField(max_length=60, blank=True)
    outlet_flange = models.CharField(max_length=60, blank=True)
    compressor_inlet_mm = models.FloatField(
        "compressor inlet, hose diameter mm", null=True, blank=True, validators=between(15, 200)
    )
    compressor_outlet_mm = models.FloatField(
        "compressor outlet, hose diameter mm", null=True, blank=True, validators=between(15, 200)
    )
    boost_port = models.BooleanField("has a port for a boost gauge", default=False)
    clocking_step_deg = models.FloatField(
        "compressor housing turns in steps of, degrees",
        null=True,
        blank=True,
        validators=between(0, 180),
        help_text="0 = any angle",
    )
    turbine_clocking_step_deg = models.FloatField(
        "turbine housing turns in steps of, degrees",
        null=True,
        blank=True,
        validators=between(0, 180),
        help_text="0 = any angle, on a band; empty where nobody has counted its bolts",
    )
    map_temperature_k = models.FloatField("map reference temperature K", default=298.0, validators=between(250, 330))
    map_pressure_kpa = models.FloatField(
        "map reference pressure kPa absolute", default=100.0, validators=between(60, 110)
    )

    objects = TurboQuerySet.as_manager()  # type: ignore[misc]  # narrower than that of any item


class MapPoint(models.Model):
    """One point of a compressor map: on a speed line, in the turbo's map reference state."""

    turbo = models.ForeignKey(Turbo, on_delete=models.CASCADE, related_name="map_points")
    speed_rpm = models.FloatField()
    flow_kg_s = models.FloatField()
    pressure_ratio = models.FloatField()
    efficiency_ratio = models.FloatField()

    class Meta:
        ordering = ["speed_rpm", "flow_kg_s"]

    def __str__(self) -> str:
        return f"{self.speed_rpm:.0f} rpm, {self.flow_kg_s:.4f} kg/s"


class Pump(Item):
    KINDS = [("inline", "inline"), ("rotary", "rotary"), ("single", "single plunger")]
    GOVERNORS = [
        ("mechanical", "mechanical"),
        ("pneumatic", "pneumatic"),
        ("hydraulic", "hydraulic"),
        ("electronic", "electronic"),
    ]

    kind = models.CharField(max_length=12, choices=KINDS)
    governor = models.CharField(max_length=12, choices=GOVERNORS)
    plunger_count = models.PositiveSmallIntegerField(default=4, validators=between(1, 12))
    boost_compensator = models.BooleanField("has a boost compensator", default=False)
    max_speed_rpm = models.FloatField("highest pump speed rpm", null=True, blank=True, validators=between(200, 4000))

    objects = PumpQuerySet.as_manager()  # type: ignore[misc]  # narrower than that of any item


class Plunger(models.Model):
    """A plunger option of a pump."""

    pump = models.ForeignKey(Pump, on_delete=models.CASCADE, related_name="plungers")
    diameter_mm = models.FloatField(validators=between(4, 14))
    effective_stroke_max_mm = models.FloatField("longest effective stroke mm", validators=between(0.3, 15))
    price = models.DecimalField(
        max_digits=10, decimal_places=2, null=True, blank=True, validators=between(0, 10_000_000)
    )
    retired = models.BooleanField(default=False)

    objects = PlungerQuerySet.as_manager()

    class Meta:
        ordering = ["diameter_mm"]
        constraints = [models.UniqueConstraint(fields=["pump", "diameter_mm"], name="plunger_once_a_pump")]

    def __str__(self) -> str:
        return f"{self.pump}, {self.diameter_mm:g} mm"


class AirCleaner(Item):
    rated_flow_m3_h = models.FloatField("rated flow of one element m³/h", validators=between(20, 10_000))
    loss_clean_kpa = models.FloatField("loss at rated flow, clean, kPa", validators=between(0.05, 10))
    loss_service_kpa = models.FloatField(
        "loss at which it must be serviced, kPa", default=6.2, validators=between(0.5, 15)
    )
    element_count = models.PositiveSmallIntegerField(default=1, validators=between(1, 3))
    outlet_mm = models.FloatField("outlet, hose diameter mm", null=True, blank=True, validators=between(20, 250))


class Cooler(Item):
    KINDS = [("air", "air to air"), ("water", "air to water")]

    kind = models.CharField(max_length=8, choices=KINDS, default="air")
    effectiveness_ratio = models.FloatField("effectiveness at rated flow, 0 to 1", validators=between(0.2, 0.98))
    loss_kpa = models.FloatField("pressure loss at rated flow, kPa", validators=between(0.1, 40))
    rated_flow_kg_s = models.FloatField("rated flow kg/s", validators=between(0.01, 3))
    port_mm = models.FloatField("ports, hose diameter mm", null=True, blank=True, validators=between(20, 150))


KINDS = {model._meta.model_name: model for model in (Turbo, Pump, AirCleaner, Cooler)}
