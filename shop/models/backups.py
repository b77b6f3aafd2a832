from django.conf import settings
from django.db import models
from django.utils import timezone


class Backup(models.Model):
    """That a backup was made; the file itself is kept elsewhere."""

    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    size_bytes = models.BigIntegerField()

    class Meta:
        ordering = ["-at"]

    def __str__(self) -> str:
        return f"{timezone.localtime(self.at):%Y-%m-%d %H:%M}, {self.size_bytes} bytes"
