from django.db import models
from django.urls import reverse


class CustomerQuerySet(models.QuerySet):
    def matching(self, words: str):
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
