from django.db import models


class FormPost(models.Model):
    """A form that was sent, by the id it carried, so that sending it twice stores it once."""

    key = models.CharField(max_length=100, unique=True)
    result_pk = models.BigIntegerField(null=True)
    at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return self.key
