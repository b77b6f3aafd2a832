"""Who may send: a person who is logged in, with the CSRF token, or a box with its own key."""

from ninja.errors import HttpError
from ninja.security import HttpBearer, SessionAuth

from measurements.intake.actions import token_of

NEEDED = "measurements.add_reading"


def _may_take_readings(person):
    if not person.has_perm(NEEDED):
        raise HttpError(403, "This log-in may not take readings.")
    return person


class BoxKey(HttpBearer):
    def authenticate(self, request, token):
        box = token_of(token)
        if box is None:
            raise HttpError(401, "This key is not known or was revoked.")
        request.user, request.box = box.by, box
        return _may_take_readings(box.by)


class LoggedIn(SessionAuth):
    def authenticate(self, request, key):
        person = super().authenticate(request, key)
        return _may_take_readings(person) if person else None
