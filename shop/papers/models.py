"""Quotes, and the record of a hand-over."""

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from shop.jobs.models import JobCard


class Quote(models.Model):
    STATES = [
        ("draft", _("draft")),
        ("given", _("given")),
        ("agreed", _("agreed")),
        ("declined", _("declined")),
        ("replaced", _("replaced")),
    ]

    job = models.ForeignKey(JobCard, on_delete=models.PROTECT, related_name="quotes")
    number = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=10, choices=STATES, default="draft")
    valid_until = models.DateField(null=True, blank=True)
    terms = models.TextField(blank=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.CharField("who agreed or declined for the customer", max_length=120, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["job", "number"], name="quote_number_once_a_job")]

    def __str__(self) -> str:
        return f"{self.job} quote {self.number}"

    @property
    def total(self) -> Decimal:
        return sum((line.amount for line in self.lines.all()), Decimal(0))


class QuoteLine(models.Model):
    KINDS = [("part", "part"), ("labour", "labour"), ("outside", "work outside")]

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="lines")
    kind = models.CharField(max_length=10, choices=KINDS)
    text = models.CharField(max_length=200)
    quantity = models.DecimalField(
        max_digits=8,
        decimal_places=2,
        default=1,
        validators=[MinValueValidator(Decimal("0.01")), MaxValueValidator(100_000)],
    )
    unit_price = models.DecimalField(max_digits=10, decimal_places=2, validators=[MinValueValidator(0)])

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.text

    @property
    def amount(self) -> Decimal:
        return (self.quantity * self.unit_price).quantize(Decimal("0.01"))


class HandOver(models.Model):
    job = models.OneToOneField(JobCard, on_delete=models.PROTECT, related_name="hand_over")
    on = models.DateField()
    meter_reading = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0)])
    received_by = models.CharField("who took the vehicle", max_length=120)
    note = models.TextField(blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.job} handed over on {self.on}"
