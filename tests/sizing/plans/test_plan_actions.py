"""Making, copying and changing plans."""

import uuid

import pytest
from django.db import IntegrityError, transaction

from sizing.plans.actions import BadInput, change_plan, copy_plan, make_plan
from sizing.plans.models import Plan, PlanInput
from tests.builders import NOW, make_cooler, make_turbo
from tests.sizing.builders import INPUTS, make_a_plan

pytestmark = pytest.mark.django_db


def inputs_of_rows(plan):
    return {row.name: (row.low, row.high, row.origin) for row in plan.inputs.all()}


def test_a_plan_keeps_what_it_stands_on():
    turbo = make_turbo()
    plan = make_a_plan(turbo=turbo)
    assert inputs_of_rows(plan) == INPUTS
    assert plan.turbo == turbo
    assert plan.made_at == plan.changed_at == NOW


@pytest.mark.parametrize(
    ("name", "given", "message"),
    [
        (
            "displacement_l",
            (-2.5, 2.5, "book"),
            "Displacement: -2.5 is outside what is possible. Allowed: 0.3 to 30 L.",
        ),
        ("boost_kpa", (0, 30000, "book"), "30000 is outside what is possible. Allowed: 0 to 300 kPa."),
        ("boost_kpa", (float("nan"), 100, "book"), "nan is outside"),
        ("boost_kpa", (120, 110, "book"), "the range starts at 120 and ends at 110. Put the smaller value first."),
        ("boost_kpa", (110, 120, "dreamt"), "'dreamt' is not an origin"),
        ("colour", (1, 2, "book"), "'colour' is not an input of a plan"),
    ],
)
def test_an_input_that_cannot_be_is_refused_and_no_plan_is_made(name, given, message):
    with pytest.raises(BadInput, match=message.replace("(", "\\(")) as refused:
        make_a_plan({name: given})
    assert refused.value.name == name
    assert not Plan.objects.exists()


def test_an_unknown_kind_of_injection_is_refused():
    with pytest.raises(BadInput, match="'steam' is not known"):
        make_a_plan(injection="steam")


def test_a_request_sent_twice_makes_one_plan():
    once = uuid.uuid4()
    first = make_plan("A", "direct", INPUTS, request_id=once)
    assert make_plan("A", "direct", INPUTS, request_id=once) == first
    assert Plan.objects.count() == 1
    assert first.inputs.count() == len(INPUTS)


def test_a_copy_carries_inputs_parts_and_own_limits_and_leaves_the_first_alone():
    plan = make_a_plan(turbo=make_turbo(), cooler=make_cooler())
    change_plan(plan, own_limits={"boost_max_kpa": (125, "own engines")}, at=NOW)
    copy = copy_plan(plan, "Second stage", at=NOW)
    assert inputs_of_rows(copy) == INPUTS
    assert (copy.turbo, copy.cooler, copy.title) == (plan.turbo, plan.cooler, "Second stage")
    assert [(row.name, row.value, row.source) for row in copy.own_limits.all()] == [
        ("boost_max_kpa", 125, "own engines")
    ]
    change_plan(copy, inputs={"boost_kpa": (90, 90, "told")})
    assert inputs_of_rows(plan)["boost_kpa"] == (110, 120, "guessed")


def test_a_change_moves_only_what_is_given_and_the_time_of_change():
    plan = make_a_plan(turbo=make_turbo())
    changed = change_plan(plan, inputs={"boost_kpa": (90, 95, "told"), "altitude_m": None}, turbo=None)
    rows = inputs_of_rows(changed)
    assert rows["boost_kpa"] == (90, 95, "told")
    assert "altitude_m" not in rows
    assert rows["displacement_l"] == INPUTS["displacement_l"]
    assert changed.turbo is None
    assert changed.made_at == NOW < changed.changed_at


def test_a_refused_change_changes_nothing():
    plan = make_a_plan()
    with pytest.raises(BadInput):
        change_plan(plan, title="New", inputs={"boost_kpa": (500, 500, "told")})
    plan.refresh_from_db()
    assert plan.title == "First stage"


@pytest.mark.parametrize(
    ("name", "value", "source", "message"),
    [
        ("boost_max_kpa", 5, "own", "Boost: 5 is outside what is possible. Allowed: 10 to 400 kPa"),
        ("boost_max_kpa", 125, " ", "say where your limit of 125 comes from"),
        ("weight", 5, "own", "'weight' is not a limit of a plan"),
    ],
)
def test_an_own_limit_needs_a_possible_value_and_a_source(name, value, source, message):
    with pytest.raises(BadInput, match=message):
        change_plan(make_a_plan(), own_limits={name: (value, source)})


def test_the_database_refuses_swapped_ends_and_a_second_row():
    plan = make_a_plan()
    with pytest.raises(IntegrityError), transaction.atomic():
        PlanInput.objects.create(plan=plan, name="fuel_temperature_c", low=50, high=20, origin="told")
    with pytest.raises(IntegrityError), transaction.atomic():
        PlanInput.objects.create(plan=plan, name="boost_kpa", low=1, high=2, origin="told")
