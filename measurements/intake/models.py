"""Keys for boxes that send readings by themselves. Only a hash is kept; the key is shown once."""

from typing import Self

from django.conf import settings
from django.db import models


class IntakeTokenQuerySet(models.QuerySet["IntakeToken"]):
    def in_use(self) -> Self:
        return self.filter(revoked_at__isnull=True, by__is_active=True)


class IntakeToken(models.Model):
    name = models.CharField("which box", max_length=80, unique=True)
    key_hash = models.CharField(max_length=64, unique=True)  # SHA-256 of a random key, which needs no salt
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    last_used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    objects = IntakeTokenQuerySet.as_manager()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
