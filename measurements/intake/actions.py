"""Keys for boxes: made and revoked by the owner. The key itself is never stored."""

import hashlib
import secrets
from datetime import datetime, timedelta

from django.utils import timezone

from measurements.intake.models import IntakeToken
from shop.access.models import Person

PREFIX = "box-"
NOTE_USE_EVERY = timedelta(minutes=5)  # so that a busy box does not write a row for each request


def hash_of(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()


def make_token(name: str, by: Person, at: datetime | None = None) -> tuple[IntakeToken, str]:
    """The row and the key, which nobody can see again."""
    key = PREFIX + secrets.token_urlsafe(32)
    return IntakeToken.objects.create(name=name, key_hash=hash_of(key), by=by, made_at=at or timezone.now()), key


def revoke_token(token: IntakeToken, at: datetime | None = None) -> None:
    IntakeToken.objects.in_use().filter(pk=token.pk).update(revoked_at=at or timezone.now())


def token_of(key: str) -> IntakeToken | None:
    token = IntakeToken.objects.in_use().select_related("by").filter(key_hash=hash_of(key)).first()
    now = timezone.now()
    if token and (token.last_used_at is None or now - token.last_used_at > NOTE_USE_EVERY):
        IntakeToken.objects.filter(pk=token.pk).update(last_used_at=now)
    return token
