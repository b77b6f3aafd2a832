"""People who log in. What each may do follows from the groups in shop/access/roles.py."""

from django.contrib.auth.models import AbstractUser
from django.db import models


class Person(AbstractUser):
    # One name field: not every name has a first and a last part.
    first_name = None  # type: ignore[assignment]  # how Django takes a field of a parent away
    last_name = None  # type: ignore[assignment]
    full_name = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["username"]
        verbose_name_plural = "people"

    def __str__(self) -> str:
        return self.get_full_name()

    def get_full_name(self) -> str:
        return self.full_name or self.username

    def get_short_name(self) -> str:
        return self.get_full_name()
