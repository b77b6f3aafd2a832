"""After hand-over the story goes on: what the owner's review stands on."""

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from shop.jobs.models import JobCard


class FollowUp(models.Model):
    WAYS = [("phone", _("phone call")), ("visit", _("visit")), ("message", _("message"))]

    job = models.ForeignKey(JobCard, on_delete=models.PROTECT, related_name="follow_ups")
    on = models.DateField()
    way = models.CharField(max_length=10, choices=WAYS)
    meter_reading = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0)])
    text = models.TextField("what was said or seen")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["on", "pk"]

    def __str__(self) -> str:
        return f"{self.on}: {self.text}"


class Failure(models.Model):
    PARTS = [
        ("turbo_bearing", _("turbo bearing")),
        ("turbo_wheel", _("turbo wheel")),
        ("turbo_housing", _("turbo housing")),
        ("head_gasket", _("head gasket")),
        ("piston", _("piston or rings")),
        ("crank_bearing", _("crank bearing")),
        ("injector", _("injector")),
        ("pump", _("injection pump")),
        ("cooler", _("charge air cooler")),
        ("pipework", _("pipework or hose")),
        ("clutch", _("clutch or drivetrain")),
        ("other", _("something else")),
    ]

    job = models.ForeignKey(JobCard, on_delete=models.PROTECT, related_name="failures")
    on = models.DateField()
    part = models.CharField("what failed", max_length=16, choices=PARTS)
    meter_reading = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0)])
    cause = models.TextField("cause found", blank=True, help_text="leave empty while it is not known")
    said_by = models.CharField("who says so", max_length=120)
    ends_pairing = models.BooleanField(
        "counts against the pairing of turbo and pump setting",
        default=True,
        help_text="no, when the cause lies outside: an accident, wrong oil, an old fault",
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["on", "pk"]

    def __str__(self) -> str:
        return f"{self.get_part_display()} on {self.on}"
