"""A form that is sent twice is stored once: it carries an id made when it was shown, kept with what it led to."""

from contextlib import contextmanager
from dataclasses import dataclass
from uuid import UUID, uuid4

from django.db import transaction

from shop.web.models import FormPost


@dataclass
class Slot:
    row: FormPost
    is_new: bool

    @property
    def stored(self) -> int | None:
        return self.row.result_pk

    def store(self, pk: int) -> None:
        self.row.result_pk = pk
        self.row.save(update_fields=["result_pk"])


def post_id(request) -> UUID:
    """The id that the form carries; a new one when it is shown for the first time, or when what came back is no id."""
    try:
        return UUID(request.POST.get("post_id", ""))
    except ValueError:
        return uuid4()


@contextmanager
def once(request, kind: str):
    """Everything inside happens in one transaction, and `slot.is_new` is true only the first time for this form."""
    with transaction.atomic():
        row, is_new = FormPost.objects.get_or_create(key=f"{kind}:{request.user.pk}:{post_id(request)}")
        yield Slot(row, is_new)
