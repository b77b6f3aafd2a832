"""Setting up the workshop on the first visit."""

from typing import Any

from django.db import transaction

from shop.access.actions import add_person
from shop.workshop.models import Workshop


@transaction.atomic
def set_up_workshop(owner: dict[str, str], workshop: dict[str, Any]) -> Workshop:
    """The first visit: the workshop and its owner in one go, or neither."""
    made = Workshop.objects.create(**workshop)
    add_person(role="owner", **owner)
    return made
