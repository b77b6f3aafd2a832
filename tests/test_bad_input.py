"""Every form of every page, filled with what nobody should type: an answer in words each time, never a server error."""

import random
from html.parser import HTMLParser

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from tests.builders import make_person
from tests.test_all_pages import OWNER_ROLE, PAGES

NASTY = [
    "", " ", "-1", "0", "1e308", "-1e308", "nan", "inf", "300 bar", "1,2,3", "1.234.567,89", "٣٤", "½", "0x10", "1" * 400, "x" * 20_000,
    "\x00", "a\x00b", "<script>alert(1)</script>", "'; DROP TABLE shop_jobcard; --", "=1+1", "\U0001f525" * 50, "\u202e", "9" * 19, "2026-02-30",
    "0000-00-00", "9999-12-31", "25:61", "null", "None", "[]", "{}", "-", "+", ".", ",", "e", "1e", "..", "true", "99999999999999999999",
]  # fmt: skip
FILES = [
    b"",
    b"\x00\xff" * 500,
    b"a,b\n1,2\n",
    b"\x89PNG\r\n\x1a\n broken",
    b"GIF89a",
    "rpm;Nm\n1000;nan\n".encode("utf-16"),
]


class Forms(HTMLParser):
    """The forms of a page: where each is sent, and its fields with the values that the page gave them."""

    def __init__(self, html: str):
        super().__init__()
        self.forms, self._select = [], None
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        a = dict(attrs)
        if tag == "form":
            self.forms.append(
                {
                    "action": a.get("action") or "",
                    "method": (a.get("method") or "get").lower(),
                    "fields": {},
                    "files": [],
                    "fixed": set(),
                }
            )
        if not self.forms or not a.get("name"):
            if tag == "option" and self._select and self.forms and "value" in a:
                self.forms[-1]["fields"].setdefault(self._select, a["value"])
            return
        form = self.forms[-1]
        if tag == "select":
            self._select = a["name"]
        elif tag == "input" and a.get("type") == "file":
            form["files"].append(a["name"])
        elif tag == "input" and a.get("type") in {"checkbox", "radio"}:
            if "checked" in a or a["name"] not in form["fields"]:
                form["fields"][a["name"]] = a.get("value", "on")
        elif tag in {"input", "textarea"}:
            form["fields"][a["name"]] = a.get("value", "")
            if a.get("type") == "hidden":
                form["fixed"].add(a["name"])

    def handle_endtag(self, tag):
        if tag == "select":
            self._select = None


def _fill(form: dict, chance: random.Random) -> dict:
    data = dict(form["fields"])
    names = list(data)
    for name in chance.sample(names, min(len(names), chance.choice([1, 1, 2, 5, len(names)]))):
        if name in form["fixed"] and chance.random() < 0.7:
            continue
        data[name] = chance.choice(NASTY)
        if chance.random() < 0.05:
            del data[name]
    for name in form["files"]:
        if chance.random() < 0.9:
            data[name] = SimpleUploadedFile(
                chance.choice(["a.csv", "b.png", "../c", "d\u202egpj.exe"]), chance.choice(FILES)
            )
    return data


@pytest.mark.parametrize("seed", [100, 101])
def test_no_form_breaks(client, things, seed):
    client.raise_request_exception = False
    client.force_login(make_person(OWNER_ROLE), backend="django.contrib.auth.backends.ModelBackend")
    chance, broken, sent = random.Random(seed), [], 0
    for name, (what, _) in PAGES.items():
        address = reverse(name, args=things[what])
        page = client.get(address)
        if page.status_code != 200 or "html" not in page.get("Content-Type", ""):
            continue
        for form in Forms(page.content.decode()).forms:
            if form["action"] == reverse("shop:log_out"):
                continue
            for _ in range(3):
                data = _fill(form, chance)
                to = form["action"] or address
                answer = getattr(client, form["method"])(to, data)
                sent += 1
                if answer.status_code >= 500:
                    broken.append(
                        (form["method"], to, {k: str(v)[:40] for k, v in data.items() if form["fields"].get(k) != v})
                    )
    assert sent > 150
    assert broken == []
