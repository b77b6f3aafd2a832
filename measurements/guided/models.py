"""What was found on a guided sheet. Rows are only added: the newest of an item counts, an empty one takes it back."""

import uuid
from typing import Self

from django.conf import settings
from django.db import models

from shop.jobs.models import JobCard, JobPhoto


class SheetEntryQuerySet(models.QuerySet["SheetEntry"]):
    def of(self, job: JobCard, sheet: str) -> Self:
        return self.filter(job=job, sheet=sheet).select_related("by")

    def oldest_first(self) -> Self:
        return self.order_by("received_at", "id")


class SheetEntry(models.Model):
    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    job = models.ForeignKey(JobCard, on_delete=models.PROTECT, related_name="+")
    sheet = models.SlugField(max_length=24)
    item = models.SlugField(max_length=32)
    place = models.PositiveSmallIntegerField(default=0)  # which cylinder, injector or pull; 0 where there is one
    value = models.FloatField(null=True, blank=True)
    choice = models.CharField(max_length=16, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    taken_at = models.DateTimeField()
    device_at = models.DateTimeField(null=True, blank=True)
    received_at = models.DateTimeField()

    objects = SheetEntryQuerySet.as_manager()

    class Meta:
        ordering = ["received_at", "id"]
        indexes = [models.Index(fields=["job", "sheet"])]

    def __str__(self) -> str:
        return f"{self.sheet} {self.item} {self.place}"

    @property
    def is_taken_back(self) -> bool:
        return self.value is None and not self.choice


class SheetPhoto(models.Model):
    """Says of a photo of the job which sheet it belongs to; the id is the sender's, so that it is stored once."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    photo = models.OneToOneField(JobPhoto, on_delete=models.PROTECT, related_name="+")
    sheet = models.SlugField(max_length=24)
    sha256 = models.CharField(max_length=64)
    device_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["photo__at", "id"]

    def __str__(self) -> str:
        return f"photo on the sheet {self.sheet}"
