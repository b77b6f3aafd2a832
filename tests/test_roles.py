"""The table of roles in DEVELOPERS.md is what the groups really may do."""

import re
from pathlib import Path

import pytest

from shop.access.roles import ROLES
from tests.builders import make_person

GUIDE = (Path(__file__).resolve().parent.parent / "DEVELOPERS.md").read_text()
PERMISSIONS = {
    "see jobs, plans, catalogue, readings": [
        "shop.view_jobcard",
        "sizing.view_plan",
        "sizing.view_turbo",
        "measurements.view_reading",
    ],
    "open and change job cards, customers, vehicles": [
        "shop.add_jobcard",
        "shop.change_jobcard",
        "shop.change_customer",
        "shop.change_vehicle",
    ],
    "write quotes, record the answer": ["shop.add_quote", "shop.change_quote"],
    "record engine facts, add photos": ["shop.add_enginefact", "shop.add_jobphoto"],
    "fill in survey sheets": ["shop.add_survey"],
    "make and change plans, edit the catalogue": [
        "sizing.add_plan",
        "sizing.change_plan",
        "sizing.add_turbo",
        "sizing.change_turbo",
    ],
    "record fitments and parts, sign safety checks": ["shop.fit_jobcard", "shop.add_safetysignoff"],
    "take readings, correct them, start proving runs": ["measurements.add_reading", "measurements.add_provingrun"],
    "upload logs and power curves": ["measurements.add_logfile", "measurements.add_powercurve"],
    "decide after a proving run": ["measurements.decide_provingrun"],
    "move a job to its next stage": ["shop.move_jobcard"],
    "move it past something missing, with a reason": ["shop.override_jobcard"],
    "hand over, record follow-ups": ["shop.hand_over_jobcard", "shop.add_followup"],
    "record failures": ["shop.add_failure"],
    "instruments, limits of smoke, keys of logger boxes": [
        "measurements.add_instrument",
        "measurements.change_instrument",
        "measurements.add_smokelimit",
        "measurements.change_smokelimit",
        "measurements.add_intaketoken",
    ],
    "review, workshop page, people, backup": [
        "measurements.view_review",
        "shop.change_workshop",
        "shop.add_person",
        "shop.change_person",
        "shop.add_backup",
    ],
}


def _rows() -> dict[str, list[str]]:
    block = GUIDE.split("| what | front desk | technician | owner |")[1].split("\n\n")[0]
    return {
        m[1]: m[2].split(" | ")
        for m in re.finditer(r"^\| (.+?) \| ((?:yes|no) \| (?:yes|no) \| (?:yes|no)) \|$", block, re.MULTILINE)
    }


def test_every_row_of_the_table_is_checked():
    assert set(_rows()) - {"skip a safety check"} == set(PERMISSIONS)
    assert _rows()["skip a safety check"] == ["no", "no", "no"]


@pytest.mark.django_db
@pytest.mark.parametrize("role", ROLES)
def test_each_role_may_do_what_the_table_says_and_no_more(role):
    person = make_person(role)
    rows = _rows()
    assert all(PERMISSIONS.values())
    for what, permissions in PERMISSIONS.items():
        expected = rows[what][ROLES.index(role)] == "yes"
        for permission in permissions:
            assert person.has_perm(permission) == expected, f"{role}: {permission} ({what})"
