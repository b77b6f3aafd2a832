"""People who may log in, and the second step of the log-in: a code from a phone's authenticator (RFC 6238) or from paper."""

from django.contrib.auth.models import Group
from django.db import transaction
from django_otp import match_token
from django_otp.plugins.otp_static.models import StaticDevice, StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from shop.access.models import Person


@transaction.atomic
def add_person(username: str, full_name: str, password: str, role: str) -> Person:
    person = Person.objects.create_user(username=username, password=password, full_name=full_name)
    person.groups.set([Group.objects.get(name=role)])
    return person


PAPER_CODES = 10


def has_second_factor(person: Person) -> bool:
    return bool(TOTPDevice.objects.filter(user=person, confirmed=True).exists())


def begin_second_factor(person: Person) -> TOTPDevice:
    """The secret to be read into the phone; it counts only once a code from it was typed."""
    waiting = TOTPDevice.objects.filter(user=person, confirmed=False).first()
    return waiting or TOTPDevice.objects.create(user=person, name="authenticator", confirmed=False)


@transaction.atomic
def confirm_second_factor(person: Person, code: str) -> list[str] | None:
    """Start asking for codes; returns the paper codes, each good for once, or nothing when the code is wrong."""
    device = begin_second_factor(person)
    if not device.verify_token(code):
        return None
    TOTPDevice.objects.filter(user=person, confirmed=True).delete()
    device.confirmed = True
    device.save(update_fields=["confirmed"])
    StaticDevice.objects.filter(user=person).delete()
    paper = StaticDevice.objects.create(user=person, name="paper")
    codes = [StaticToken.random_token() for _ in range(PAPER_CODES)]
    StaticToken.objects.bulk_create(StaticToken(device=paper, token=code) for code in codes)
    return codes


def accepts_code(person: Person, code: str) -> bool:
    """Is this a code of the phone, or a paper code not used before? Wrong ones make the next try wait longer."""
    return match_token(person, code.replace(" ", "").lower()) is not None


@transaction.atomic
def forget_second_factor(person: Person) -> None:
    TOTPDevice.objects.filter(user=person).delete()
    StaticDevice.objects.filter(user=person).delete()
