"""`manage.py plan`: a plan from a JSON file."""

import io
import json

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from sizing.plans.solve import solved
from tests.sizing.builders import INPUTS, make_a_plan

PLAN = {
    "injection": "indirect",
    "inputs": {
        name: low if low == high else {"low": low, "high": high, "origin": origin}
        for name, (low, high, origin) in INPUTS.items()
    },
}


def run(tmp_path, plan, *options):
    path = tmp_path / "plan.json"
    path.write_text(plan if isinstance(plan, str) else json.dumps(plan))
    out = io.StringIO()
    call_command("plan", str(path), *options, stdout=out)
    return out.getvalue()


@pytest.mark.django_db
def test_the_file_answers_what_the_page_answers(tmp_path):
    found = json.loads(run(tmp_path, PLAN, "--json"))
    stored = solved(make_a_plan())
    assert found["speed_rpm"] == list(stored.speed_rpm)
    assert found["planned"]["torque_nm"] == pytest.approx(list(stored.torque_nm), abs=1e-5)
    assert found["inputs"]["boost_kpa"] == {"low": 110, "high": 120, "origin": "guessed", "source": ""}
    assert (
        found["bands"]["torque_nm"]["low"][5]
        < found["planned"]["torque_nm"][5]
        < found["bands"]["torque_nm"]["high"][5]
    )


def test_limits_of_the_file_hold_and_the_worst_stands_first(tmp_path):
    plan = PLAN | {"limits": {"boost_max_kpa": 80}}
    found = json.loads(run(tmp_path, plan, "--json"))
    assert found["limits"][0]["name"] == "boost_max_kpa"
    assert found["limits"][0]["margin"] == pytest.approx(80 - 115)
    assert "Boost is 115 kPa" in run(tmp_path, plan)


def test_lines_of_the_bench_are_held_against_the_plan(tmp_path):
    """Richest less leanest is 5 of a mean of 50: a tenth (by hand); no more than 4 % is usual (common practice)."""
    inputs = PLAN["inputs"] | {"delivery_mm3": 50}
    found = json.loads(run(tmp_path, PLAN | {"inputs": inputs, "bench": {"rated": [48, 50, 53, 49]}}, "--json"))
    spread = next(row for row in found["limits"] if row["name"] == "line_spread_max_pct")
    assert (spread["value"], spread["verdict"]) == (pytest.approx(10), "off_plan")
    assert found["bench"]["rows"][0]["richest_line"] == 3
    assert json.loads(run(tmp_path, PLAN, "--json"))["bench"] is None


@pytest.mark.parametrize(
    ("plan", "message"),
    [
        (PLAN | {"bench": {"idle": [8, 8]}}, "bench is an object of rated and torque"),
        (PLAN | {"bench": {"rated": [50]}}, "bench, rated: [50] is no list of 2 to 12 numbers"),
        (PLAN | {"bench": {"rated": [50, "rich"]}}, 'bench, rated: "rich" is not a number'),
        (
            PLAN | {"bench": {"rated": [50, 500]}},
            "bench, rated: 500 is outside what is possible. Allowed: 0.5 to 400 mm³/stroke",
        ),
        ("{", "This is not JSON"),
        ("[]", "A plan is an object"),
        ({"inputs": {}}, "Injection: '' is not known"),
        (PLAN | {"colour": 1}, "'colour' is not known"),
        (PLAN | {"inputs": {"colour": 1}}, "'colour' is not an input"),
        (PLAN | {"inputs": PLAN["inputs"] | {"boost_kpa": [120, 110]}}, "Put the smaller value first"),
        (PLAN | {"inputs": PLAN["inputs"] | {"boost_kpa": [1, 2, 3]}}, "this one has 3 numbers"),
        (PLAN | {"inputs": PLAN["inputs"] | {"boost_kpa": "high"}}, '"high" is not a number'),
        (PLAN | {"inputs": PLAN["inputs"] | {"boost_kpa": {"high": 3}}}, "needs 'low'"),
        (PLAN | {"inputs": PLAN["inputs"] | {"altitude_m": 6000}}, "6000 is outside what is possible"),
        (PLAN | {"inputs": {"displacement_l": 2.5}}, "Not known yet: Cylinders"),
        (PLAN | {"limits": {"boost_max_kpa": 5}}, "5 is outside what is possible"),
    ],
)
def test_what_cannot_be_is_named(tmp_path, plan, message):
    with pytest.raises(CommandError, match=message.replace("[", r"\[")):
        run(tmp_path, plan)


def test_a_file_that_is_not_there_is_said():
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("plan", "no-such-file.json")
