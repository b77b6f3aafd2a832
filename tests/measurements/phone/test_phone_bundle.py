"""The phone's one script and its styles: complete, packed, named after their content, allowed by the policy by their hash."""

import gzip
import hashlib
import re
from base64 import b64encode

import pytest
from django.contrib.staticfiles import finders

from measurements.phone.bundle import SCRIPTS, phone_bundle
from tests.builders import make_job


def test_every_script_is_in_it_and_the_packed_one_is_the_same():
    made = phone_bundle("js")
    for name in SCRIPTS:
        with open(finders.find(name)) as file:
            code = [line.strip() for line in file if line.strip() and not line.strip().startswith("//")]
        assert "\n".join(code) in made.content.decode(), name
    assert gzip.decompress(made.packed) == made.content


def test_an_address_of_old_content_is_not_kept(client, workshop):
    made = phone_bundle("js")
    new = client.get(f"/jobs/phone-{made.version}.js", headers={"Accept-Encoding": "gzip"})
    assert "immutable" in new["Cache-Control"]
    assert gzip.decompress(new.content) == made.content
    assert client.get("/jobs/phone-000000000000.js")["Cache-Control"] == "no-cache"


@pytest.mark.parametrize("path", ["{job}/phone/", "{job}/sheets/survey/", "{job}/smoke-test/", "outbox/"])
def test_the_styles_in_the_page_are_those_that_the_policy_allows(technician, technician_client, path):
    answer = technician_client.get("/jobs/" + path.format(job=make_job(technician).pk))
    style = re.search(r"<style>(.*?)</style>", answer.content.decode(), re.DOTALL)[1]
    told = b64encode(hashlib.sha256(style.encode()).digest()).decode()
    assert f"'sha256-{told}'" in answer["Content-Security-Policy"]
