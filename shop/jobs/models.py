"""The job card and its history."""

from typing import Self

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse

from shop.jobs.stages import STAGES
from shop.people.models import Vehicle
from sizing.plans.models import Plan
from sizing.said import say, shown


class JobCardQuerySet(models.QuerySet["JobCard"]):
    def open(self) -> Self:
        return self.exclude(stage__in=["handed_over", "called_off"])

    def in_state(self, state: str) -> Self:
        """'open', 'all', or one stage."""
        if state == "open":
            return self.open()
        return self.filter(stage=state) if state in dict(STAGES) else self.all()

    def with_people(self) -> Self:
        return self.select_related("vehicle__customer", "opened_by")

    def matching(self, words: str) -> Self:
        found = self
        for word in words.split():
            found = found.filter(
                models.Q(number__icontains=word)
                | models.Q(vehicle__registration__icontains=word)
                | models.Q(vehicle__make_and_model__icontains=word)
                | models.Q(vehicle__customer__name__icontains=word)
                | models.Q(vehicle__customer__phone__icontains=word)
            )
        return found


class JobCard(models.Model):
    number = models.CharField(max_length=12, unique=True)
    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="jobs")
    stage = models.CharField(max_length=12, choices=STAGES, default="booked")
    wish = models.TextField("what the customer wants")
    budget = models.DecimalField(
        max_digits=10, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    due_on = models.DateField("due day", null=True, blank=True)
    meter_reading = models.FloatField(
        "meter reading on arrival", null=True, blank=True, validators=[MinValueValidator(0)]
    )
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    opened_at = models.DateTimeField()
    # Counts edits, so that two people who edit at once are shown both, and neither is overwritten.
    version = models.PositiveIntegerField(default=1)

    objects = JobCardQuerySet.as_manager()

    class Meta:
        ordering = ["-opened_at", "-pk"]
        indexes = [models.Index(fields=["stage", "due_on"])]
        permissions = [
            ("move_jobcard", "Can move a job to its next stage"),
            ("override_jobcard", "Can move a job past something missing"),
            ("fit_jobcard", "Can record what was fitted and sign off safety"),
            ("hand_over_jobcard", "Can hand a job over"),
        ]

    def __str__(self) -> str:
        return self.number

    def get_absolute_url(self) -> str:
        return reverse("shop:job", args=[self.pk])

    @property
    def is_open(self) -> bool:
        return self.stage not in {"handed_over", "called_off"}

    @property
    def stage_label(self) -> str:
        return self.get_stage_display()


class JobEvent(models.Model):
    """One row for each thing that happened to a job, written in the same transaction as the thing itself."""

    job = models.ForeignKey(JobCard, on_delete=models.PROTECT, related_name="events")
    kind = models.CharField(max_length=24)
    code = models.CharField("what happened", max_length=48)
    values = models.JSONField("with which values, in stored units", default=dict)
    from_stage = models.CharField(max_length=12, blank=True)
    to_stage = models.CharField(max_length=12, blank=True)
    override_reason = models.TextField(blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]
        indexes = [models.Index(fields=["job", "at"])]

    def __str__(self) -> str:
        return self.text

    @property
    def text(self) -> str:
        """The sentence, in the reader's language and in the units that the workshop reads today."""
        return say(self.code, self.values)


class JobPlan(models.Model):
    """The plans of a job in their order; one of them is the current one."""

    job = models.ForeignKey(JobCard, on_delete=models.PROTECT, related_name="job_plans")
    plan = models.OneToOneField(Plan, on_delete=models.PROTECT, related_name="+")
    position = models.PositiveSmallIntegerField()
    is_current = models.BooleanField(default=False)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["job", "position"], name="job_plan_position_once"),
            models.UniqueConstraint(fields=["job"], condition=models.Q(is_current=True), name="job_one_current_plan"),
        ]

    def __str__(self) -> str:
        return f"{self.job} plan {self.position}"


class JobPhoto(models.Model):
    job = models.ForeignKey(JobCard, on_delete=models.PROTECT, related_name="photos")
    image = models.FileField(upload_to="photos/%Y/%m")
    caption = models.CharField(max_length=120, blank=True)
    about = models.JSONField("what it shows as a value, where no person wrote it", default=dict, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return self.words or f"photo {self.pk}"

    @property
    def words(self) -> str:
        return self.caption or (str(shown(self.about)) if self.about else "")
