"""The phone's one script and its styles: complete, packed, named after their content, allowed by the policy by their hash."""

import gzip
import hashlib
import re
from base64 import b64encode
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders

from measurements.phone.bundle import phone_bundle
from tests.builders import make_job


def test_the_packed_script_is_the_same_and_says_what_it_was_made_of():
    made = phone_bundle("js")
    assert gzip.decompress(made.packed) == made.content
    first = made.content.decode().splitlines()[0]
    assert "npm run build" in first
    assert "Jake Archibald" in Path(finders.find("measurements/vendor/idb-LICENSE.txt")).read_text()


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
