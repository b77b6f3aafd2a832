from django.contrib.auth.models import Group
from django.db import transaction

from shop.models import Person, Workshop


@transaction.atomic
def add_person(username: str, full_name: str, password: str, role: str) -> Person:
    person = Person.objects.create_user(username=username, password=password, full_name=full_name)
    person.groups.set([Group.objects.get(name=role)])
    return person


@transaction.atomic
def set_up_workshop(owner: dict, workshop: dict) -> Workshop:
    """The first visit: the workshop and its owner in one go, or neither."""
    made = Workshop.objects.create(**workshop)
    add_person(role="owner", **owner)
    return made
