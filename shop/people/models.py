"""Customers and their vehicles."""

from typing import Self

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse


class CustomerQuerySet(models.QuerySet["Customer"]):
    def matching(self, words: str) -> Self:
        found = self
        for word in words.split():
            found = found.filter(models.Q(name__icontains=word) | models.Q(phone__icontains=word))
        return found


class Customer(models.Model):
    name = models.CharField(max_length=120)
    phone = models.CharField(max_length=40)
    language = models.CharField(max_length=40, blank=True, help_text="the language to call and write in")
    note = models.TextField(blank=True)

    objects = CustomerQuerySet.as_manager()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("shop:customer", args=[self.pk])


class Vehicle(models.Model):
    """Anything the engine sits in: a pickup, a tractor, a boat, a pump set."""

    USES = [("road", "road"), ("field", "field"), ("boat", "boat"), ("stationary", "stationary")]
    METERS = [("km", "odometer, km"), ("h", "hour meter, h"), ("none", "no meter")]

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="vehicles")
    registration = models.CharField("registration or serial number", max_length=40)
    make_and_model = models.CharField(max_length=120)
    engine_name = models.CharField("engine, as named on its plate", max_length=80, blank=True)
    year = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1920), MaxValueValidator(2100)]
    )
    use = models.CharField(max_length=12, choices=USES)
    meter = models.CharField(max_length=6, choices=METERS)

    class Meta:
        ordering = ["registration"]

    def __str__(self) -> str:
        return f"{self.make_and_model}, {self.registration}"

    def get_absolute_url(self) -> str:
        return reverse("shop:vehicle", args=[self.pk])

    @property
    def meter_unit(self) -> str:
        return {"km": "km", "h": "h"}.get(self.meter, "")
