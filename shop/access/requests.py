from django.http import HttpRequest

from shop.access.models import Person


class PersonRequest(HttpRequest):
    """As a view gets it: nobody comes so far without a log-in."""

    user: Person
