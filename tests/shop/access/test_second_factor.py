"""The second step of the log-in. Codes by RFC 6238, worked out here with the standard library alone."""

import base64
import hashlib
import hmac
import re
import struct
import time

import pytest
from django.core.management import CommandError, call_command
from django_otp.oath import totp
from django_otp.plugins.otp_totp.models import TOTPDevice

from tests.builders import make_person, make_workshop

PASSWORD = "a password for tests"
pytestmark = pytest.mark.django_db


def code_at(key: bytes, when: float, digits: int = 6) -> str:
    """RFC 4226, section 5.3, over the count of 30 s steps (RFC 6238, section 4)."""
    digest = hmac.new(key, struct.pack(">Q", int(when) // 30), hashlib.sha1).digest()
    start = digest[-1] & 15
    return str((struct.unpack(">I", digest[start : start + 4])[0] & 0x7FFFFFFF) % 10**digits).zfill(digits)


# RFC 6238, appendix B, SHA-1, eight digits; the key is the ASCII text 12345678901234567890.
@pytest.mark.parametrize(
    ("when", "code"), [(59, "94287082"), (1111111109, "07081804"), (1234567890, "89005924"), (2000000000, "69279037")]
)
def test_codes_of_the_standard(monkeypatch, when, code):
    key = b"12345678901234567890"
    assert code_at(key, when, 8) == code
    monkeypatch.setattr("django_otp.oath.time", lambda: when)
    assert str(totp(key, digits=8)).zfill(8) == code


@pytest.fixture
def person():
    make_workshop()
    return make_person("owner", "oona")


def log_in(client, **more):
    return client.post("/log-in/", {"username": "oona", "password": PASSWORD} | more)


def key_of(person) -> bytes:
    return TOTPDevice.objects.get(user=person).bin_key


@pytest.fixture
def codes(client, person):
    """The person has a second step; these are the paper codes. The client is logged out."""
    log_in(client)
    page = client.get("/log-in/second-step/").content.decode()
    secret = re.search(r"<code>([A-Z2-7]+)</code>", page)[1]
    assert base64.b32decode(secret) == key_of(person)
    assert "<svg" in page
    answer = client.post("/log-in/second-step/", {"code": code_at(key_of(person), time.time())})
    found = re.findall(r"<li><code>(\w+)</code>", answer.content.decode())
    assert len(set(found)) == 10
    client.post("/log-out/")
    # The code that confirmed it is used up; the next minute brings another.
    TOTPDevice.objects.update(last_t=-1)
    return found


def is_in(client) -> bool:
    return client.get("/workshop/").status_code == 200


def test_without_one_the_password_lets_in_and_the_owner_is_urged(client, person):
    assert log_in(client)["Location"] == "/"
    assert "Add a second step" in client.get("/workshop/").content.decode()


def test_a_wrong_code_begins_nothing(client, person):
    log_in(client)
    client.get("/log-in/second-step/")
    assert client.post("/log-in/second-step/", {"code": "000000"}).status_code == 422
    client.post("/log-out/")
    assert log_in(client)["Location"] == "/"


def test_the_password_alone_opens_nothing(client, codes):
    assert log_in(client)["Location"] == "/log-in/code/"
    assert not is_in(client)
    assert client.post("/log-in/code/", {"code": ""}).status_code == 422
    assert not is_in(client)


def test_the_phones_code_lets_in_once_and_leads_where_one_was_going(client, person, codes):
    log_in(client, next="/customers/")
    code = code_at(key_of(person), time.time())
    assert client.post("/log-in/code/", {"code": code})["Location"] == "/customers/"
    assert is_in(client)
    client.post("/log-out/")
    log_in(client)
    assert client.post("/log-in/code/", {"code": code}).status_code == 422
    assert not is_in(client)


def test_a_paper_code_lets_in_once(client, codes):
    log_in(client)
    assert client.post("/log-in/code/", {"code": f" {codes[0].upper()} "}).status_code == 302
    assert is_in(client)
    client.post("/log-out/")
    log_in(client)
    assert client.post("/log-in/code/", {"code": codes[0]}).status_code == 422


def test_after_a_wrong_code_even_the_right_one_must_wait(client, person, codes):
    log_in(client)
    client.post("/log-in/code/", {"code": "000000"})
    assert client.post("/log-in/code/", {"code": code_at(key_of(person), time.time())}).status_code == 422
    assert not is_in(client)


def test_the_code_page_leads_back_without_a_password_or_too_late(client, codes, monkeypatch):
    assert client.get("/log-in/code/")["Location"] == "/log-in/"
    log_in(client)
    later = time.time() + 301
    monkeypatch.setattr("shop.access.views.time.time", lambda: later)
    assert client.get("/log-in/code/")["Location"] == "/log-in/"


def test_whoever_was_shut_out_meanwhile_stays_out(client, person, codes):
    log_in(client)
    person.is_active = False
    person.save()
    assert client.post("/log-in/code/", {"code": codes[0]})["Location"] == "/log-in/"


def test_it_ends_only_with_a_code(client, person, codes):
    log_in(client)
    client.post("/log-in/code/", {"code": codes[0]})
    assert client.post("/log-in/second-step/end/", {"code": "nonsense"}).status_code == 422
    assert TOTPDevice.objects.filter(user=person).exists()
    TOTPDevice.objects.update(throttling_failure_count=0, throttling_failure_timestamp=None)
    assert client.post("/log-in/second-step/end/", {"code": code_at(key_of(person), time.time())}).status_code == 302
    client.post("/log-out/")
    assert log_in(client)["Location"] == "/"


def test_the_server_can_forget_it(client, person, codes):
    call_command("forget_second_factor", "oona")
    assert log_in(client)["Location"] == "/"
    with pytest.raises(CommandError, match="no log-in name"):
        call_command("forget_second_factor", "nobody")
