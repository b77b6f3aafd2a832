"""Whatever is sent to the intake, the server answers as its own description says and never fails."""

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from hypothesis import HealthCheck, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from measurements.intake.actions import make_token
from measurements.intake.api import api
from shop.wsgi import application
from tests.builders import make_person, make_workshop
from tests.measurements.phone.builders import make_proving_job

CHECKS = [not_a_server_error, content_type_conformance, response_schema_conformance, status_code_conformance]


schema = schemathesis.openapi.from_dict(api.get_openapi_schema(path_prefix="/api/v1/"))
schema.app = application


@pytest.fixture
def key(db):
    make_workshop()
    owner = make_person("owner")
    make_proving_job(owner)
    # Called as a server calls it, the app closes old connections after each request; here they hold the test's transaction.
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield make_token("box under test", owner)[1]
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@schema.parametrize()
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
def test_no_request_brings_a_server_error(case, key):
    case.call_and_validate(
        base_url="http://localhost", headers={"Authorization": f"Bearer {key}"}, checks=CHECKS, excluded_checks=[]
    )
