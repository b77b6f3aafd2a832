"""Uploaded logs: kept byte for byte with their hash; columns are matched by a person and read beside the file."""

from typing import Any, Self

from django.conf import settings
from django.db import models

from measurements.proving.models import ProvingRun
from measurements.readings.instruments import Instrument
from shop.jobs.models import JobCard
from sizing.said import Said


class LogFileQuerySet(models.QuerySet["LogFile"]):
    def of(self, job: JobCard) -> Self:
        return self.filter(job=job)

    def read(self) -> Self:
        return self.filter(state="read")

    def not_undone(self) -> Self:
        return self.exclude(state="undone")

    def standing(self) -> Self:
        """What still counts: not taken back, and not refused."""
        return self.exclude(state__in=["undone", "refused"])


class LogFile(models.Model):
    STATES = [
        ("received", "received, to be matched"),
        ("read", "read"),
        ("refused", "cannot be read"),
        ("undone", "taken back"),
    ]

    job = models.ForeignKey(JobCard, on_delete=models.PROTECT, related_name="+")
    run = models.ForeignKey(ProvingRun, null=True, blank=True, on_delete=models.PROTECT, related_name="logs")
    phase = models.CharField(max_length=8, choices=[("before", "before the fit"), ("after", "after the fit")])
    name = models.CharField(max_length=160)
    file = models.FileField(upload_to="logs/%Y/%m")
    sha256 = models.CharField(max_length=64)
    size_bytes = models.BigIntegerField()
    # A file may hold several recordings: one row each, all of the same stored file.
    recording = models.PositiveSmallIntegerField(default=1)  # which text in the file
    stretch = models.PositiveSmallIntegerField(default=1)  # which stretch between restarts of its clock
    place = models.JSONField("where it stands in the file, as codes with values", default=list, blank=True)
    header_mark = models.CharField(
        max_length=64, blank=True
    )  # of the header as found, whatever a person said of the layout
    layout = models.JSONField(
        "what a person said of delimiter, decimal mark and line of names", default=dict, blank=True
    )
    state = models.CharField(max_length=10, choices=STATES, default="received")
    row_count = models.PositiveIntegerField(null=True, blank=True)
    table = models.FileField(upload_to="logs/%Y/%m", blank=True)  # the columns as Parquet
    findings = models.JSONField("what the log can and cannot show, as codes with values", default=list, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    objects = LogFileQuerySet.as_manager()

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["job", "sha256", "recording", "stretch"],
                condition=~models.Q(state__in=["undone", "refused"]),
                name="log_recording_once_a_job",
            )
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.part_label}" if self.place else self.name

    @property
    def part_label(self) -> str:
        """Where the recording stands in the file, in words; empty when it is all of it."""
        return ", ".join(str(Said.of(kept)) for kept in self.place)

    @property
    def named(self) -> list[Any] | str:
        """Name and place as a value of a sentence."""
        return [self.name, *self.place] if self.place else self.name

    @property
    def told(self) -> list[Said]:
        """What the log can and cannot show, or why it cannot be read."""
        return [Said.of(kept) for kept in self.findings]

    @property
    def finding(self) -> str:
        """The same in words, a line each."""
        return "\n".join(map(str, self.told))

    def siblings(self) -> LogFileQuerySet:
        """The other recordings of the same stored file, as far as they count."""
        return (
            LogFile.objects.standing()
            .filter(job_id=self.job_id, sha256=self.sha256)
            .exclude(pk=self.pk)
            .order_by("recording", "stretch")
        )


class LogColumn(models.Model):
    log = models.ForeignKey(LogFile, on_delete=models.CASCADE, related_name="columns")
    position = models.PositiveSmallIntegerField()
    header = models.CharField(max_length=160)
    instrument = models.ForeignKey(Instrument, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    quantity = models.CharField(max_length=32, blank=True)  # empty: not used; "time_s": the clock
    unit = models.CharField(max_length=20, blank=True)
    value_count = models.PositiveIntegerField(default=0)
    left_out_count = models.PositiveIntegerField(default=0)
    lowest = models.FloatField(null=True, blank=True)
    highest = models.FloatField(null=True, blank=True)
    highest_at_s = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["position"]
        constraints = [models.UniqueConstraint(fields=["log", "position"], name="log_column_position_once")]

    def __str__(self) -> str:
        return self.header


class LogPull(models.Model):
    """A stretch of full load found in a log."""

    log = models.ForeignKey(LogFile, on_delete=models.CASCADE, related_name="pulls")
    start_s = models.FloatField()
    end_s = models.FloatField()
    speed_from_rpm = models.FloatField()
    speed_to_rpm = models.FloatField()
    boost_highest_kpa = models.FloatField(null=True, blank=True)
    boost_highest_at_rpm = models.FloatField(null=True, blank=True)
    exhaust_temperature_highest_c = models.FloatField(null=True, blank=True)
    exhaust_temperature_highest_at_rpm = models.FloatField(null=True, blank=True)
    heat_rise_c_s = models.FloatField(null=True, blank=True)
    boost_settled_kpa = models.FloatField(null=True, blank=True)
    boost_settled_at_rpm = models.FloatField(null=True, blank=True)
    boost_rise_s = models.FloatField("from the start to 90 % of settled boost", null=True, blank=True)
    boost_rise_at_rpm = models.FloatField(null=True, blank=True)
    boost_overshoot_pct = models.FloatField(null=True, blank=True)
    boost_fall_off_kpa = models.FloatField(null=True, blank=True)
    lambda_lowest = models.FloatField(null=True, blank=True)
    swing_hz = models.FloatField(null=True, blank=True)
    swing_kpa = models.FloatField(null=True, blank=True)
    swing_dies_away = models.BooleanField(default=False)
    swing_visible_hz = models.FloatField("faster swings this log could not show", null=True, blank=True)
    boost_curve = models.JSONField("engine speed and boost, for the drawing", default=list)

    class Meta:
        ordering = ["start_s"]

    def __str__(self) -> str:
        return f"{self.speed_from_rpm:.0f} to {self.speed_to_rpm:.0f} rpm"


class LogMatch(models.Model):
    """How the columns of a header were matched last by a person: taken for the next file with the same header."""

    header_mark = models.CharField(max_length=64, unique=True)
    pairs = models.JSONField()  # quantity and unit of each column, in order
    layout = models.JSONField(
        "what the person said of delimiter, decimal mark and line of names", default=dict, blank=True
    )
    found_as = models.JSONField("how that file was found to be laid out", default=dict, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    def __str__(self) -> str:
        return self.header_mark[:12]
