"""That the right values of a plan reach the physics; what the physics makes of them is tested beside it."""

import pytest

from sizing.physics.limits.parts import PART_DEFAULTS, PART_RANGES
from sizing.physics.limits.pump_lines import BENCH_DEFAULTS
from sizing.physics.limits.values import DEFAULTS, TURBO_DEFAULTS
from sizing.physics.plan.data import ALLOWED, PlanInputs
from sizing.plans.actions import change_plan
from sizing.plans.answer.answers import answer
from sizing.plans.cases import case_of
from sizing.plans.inputs import (
    HANGS_ON,
    MEASURE,
    NEEDED,
    PART_FACTS,
    PLAN_INPUTS,
    PLAN_LIMITS,
    USUAL,
    USUAL_COMPRESSION,
)
from sizing.plans.solve import (
    Incomplete,
    chances_of,
    checked,
    expected_at,
    inputs_of,
    known_inputs,
    limits_of,
    solved,
    speeds_of,
)
from tests.builders import make_air_cleaner, make_cooler, make_plunger
from tests.sizing.builders import INPUTS, make_a_plan

pytestmark = pytest.mark.django_db


def test_a_range_is_worked_out_at_its_middle():
    inputs = inputs_of(make_a_plan())
    assert inputs.boost_kpa == 115
    assert inputs.rated_power_kw == 56.5
    assert inputs.injection == "indirect"


def test_what_nobody_knows_is_the_usual_range_and_counts_as_guessed():
    known = known_inputs(case_of(make_a_plan({}, injection="indirect")))
    assert known["fuel_temperature_c"].origin == "guessed"
    assert known["boost_kpa"].origin == "guessed"
    assert known["displacement_l"].origin == "book"


def test_the_middle_of_each_usual_range_is_the_default_of_the_physics():
    defaults = PlanInputs(2.5, 4, 21, "direct", 50, 4000)
    assert len(USUAL) > 5
    for name, (low, high) in USUAL.items():
        assert (low + high) / 2 == pytest.approx(getattr(defaults, name)), name
        assert ALLOWED[name].low <= low < high <= ALLOWED[name].high


def test_every_input_of_the_physics_has_words_and_every_limit_too():
    assert set(PLAN_INPUTS) == set(ALLOWED) | set(PART_RANGES)
    assert set(PLAN_LIMITS) == set(DEFAULTS) | set(TURBO_DEFAULTS) | set(PART_DEFAULTS) | set(BENCH_DEFAULTS)
    # What a limit of a part hangs on is a fact with words for how to measure it.
    assert set(HANGS_ON) == set(PART_DEFAULTS) - {"intake_restriction_max_kpa"}
    assert set(HANGS_ON.values()) == set(MEASURE) == set(PART_FACTS)
    assert set(USUAL_COMPRESSION) == {"direct", "indirect"}
    assert set(limits_of(make_a_plan()).__dataclass_fields__) == set(DEFAULTS)


@pytest.mark.parametrize("name", NEEDED)
def test_without_what_is_needed_there_is_no_answer_but_the_name_of_what_is_missing(name):
    plan = make_a_plan()
    plan.inputs.filter(name=name).delete()
    with pytest.raises(Incomplete, match=PLAN_INPUTS[name].label):
        inputs_of(plan)


def test_a_chosen_plunger_is_the_plans_and_the_stated_one_the_one_as_built():
    plan = make_a_plan({"plunger_diameter_mm": (6, 6, "told")}, plunger=make_plunger(7))
    inputs = inputs_of(plan)
    assert inputs.plunger_diameter_mm == 7
    assert inputs.plunger_diameter_as_built_mm == 6


def test_delivery_at_equal_rack_goes_with_the_square_of_the_plunger():
    """Geometry: 7 mm over 6 mm is 49/36 of the delivery."""
    as_built = make_a_plan(
        {"plunger_diameter_as_built_mm": (6, 6, "told"), "delivery_as_built_mm3": (36, 36, "measured")}
    )
    assert solved(as_built, [3000]).delivery_mm3[0] == pytest.approx(36, rel=1e-6)
    larger = change_plan(as_built, plunger=make_plunger(7))
    assert solved(larger, [3000]).delivery_mm3[0] == pytest.approx(49, rel=1e-6)


def test_a_chosen_cooler_brings_its_figures_at_the_flow_of_the_engine():
    """Square law: at the flow it was rated for the loss is the rated one, at half the flow a quarter."""
    plan = make_a_plan(cooler=make_cooler(effectiveness_ratio=0.7, loss_kpa=6, rated_flow_kg_s=1))
    flow = solved(plan, [4000]).air_flow_kg_s[0]
    for share, loss in ((1, 6), (2, 1.5)):
        plan.cooler.rated_flow_kg_s = flow * share
        plan.cooler.save()
        inputs = inputs_of(type(plan).objects.get(pk=plan.pk))
        assert inputs.cooler_effectiveness_ratio == 0.7
        assert inputs.cooler_pressure_loss_kpa == pytest.approx(loss, rel=0.03)


def test_a_chosen_air_cleaner_brings_its_loss_at_the_flow_of_the_engine():
    """A second element halves the flow through each, and the exponent of 1.8 is that of the cleaner formula."""
    one = make_a_plan(air_cleaner=make_air_cleaner(rated_flow_m3_h=400, loss_clean_kpa=2))
    two = make_a_plan(air_cleaner=make_air_cleaner(rated_flow_m3_h=400, loss_clean_kpa=2, element_count=2))
    # A little more loss means a little less air, so the ratio is held loosely.
    assert inputs_of(one).air_cleaner_loss_kpa == pytest.approx(2**1.8 * inputs_of(two).air_cleaner_loss_kpa, rel=0.05)
    # Four-stroke displacement flow at 4,000 rpm and 2.5 L is 300 m³/h; under boost more than that is drawn in.
    assert inputs_of(one).air_cleaner_loss_kpa > 2 * (300 / 400) ** 1.8


def test_a_typed_figure_beats_the_catalogue():
    plan = make_a_plan({"air_cleaner_loss_kpa": (3, 3, "measured")}, air_cleaner=make_air_cleaner())
    assert inputs_of(plan).air_cleaner_loss_kpa == 3


def test_an_own_limit_takes_the_place_of_the_usual_one_and_shows_its_source():
    plan = make_a_plan()
    assert limits_of(plan).boost_max_kpa == DEFAULTS["boost_max_kpa"].uncooled
    plan = change_plan(plan, own_limits={"boost_max_kpa": (100, "own engines")})
    check = next(check for check in checked(plan) if check.name == "boost_max_kpa")
    assert (check.limit, check.source) == (100, "own limit: own engines")
    assert check.verdict == "off_plan"


def test_a_cooler_moves_the_usual_limits():
    assert limits_of(make_a_plan(cooler=make_cooler())).boost_max_kpa == DEFAULTS["boost_max_kpa"].value


def test_speeds_are_round_and_end_at_rated_speed():
    speeds = speeds_of(inputs_of(make_a_plan({"rated_speed_rpm": (2250, 2250, "book")})))
    assert speeds[0] == 600
    assert speeds[-1] == 2250
    assert all(speed % 100 == 0 for speed in speeds[:-1])


def test_the_band_holds_the_answer_at_its_middle_and_closes_when_all_is_known():
    plan = make_a_plan()
    low, high = expected_at(plan, 2500)["torque_nm"]
    assert low < solved(plan, [2500]).torque_nm[0] < high
    known = known_inputs(case_of(plan))
    sure = make_a_plan({name: (item.middle, item.middle, "measured") for name, item in known.items()})
    low, high = expected_at(sure, 2500)["torque_nm"]
    assert low == pytest.approx(high)
    assert low == pytest.approx(solved(sure, [2500]).torque_nm[0], rel=1e-6)


def test_a_band_between_the_round_speeds_lies_between_its_neighbours():
    plan = make_a_plan()
    middle = expected_at(plan, 2550)["torque_nm"][0]
    ends = [expected_at(plan, speed)["torque_nm"][0] for speed in (2500, 2600)]
    assert min(ends) <= middle <= max(ends)


@pytest.mark.parametrize("speed", [50, 20_000])
def test_a_speed_no_engine_has_is_a_value_error(speed):
    with pytest.raises(ValueError, match="speed rpm"):
        expected_at(make_a_plan(), speed)


def test_chances_hold_every_limit_and_name_what_moves_the_answer():
    found = chances_of(make_a_plan({"boost_kpa": (60, 180, "guessed")}))
    boost = next(row for row in found.limits if row.name == "boost_max_kpa")
    # Evenly spread from 60 to 180, the limit of 135 is met by (135 - 60) / 120 of the draws.
    assert boost.chance == pytest.approx(75 / 120, abs=0.01)
    assert {row.name for row in found.limits} == {*DEFAULTS, "lambda_before_boost_ratio"}


def test_an_answer_never_raises_but_says_why_there_is_none():
    for inputs, reason in (
        ({"rated_power_kw": (400, 400, "told")}, "rated power"),
        ({"governed_speed_rpm": (600, 600, "told")}, "governed"),
    ):
        assert reason in answer(case_of(make_a_plan(inputs))).trouble.lower()


def test_inputs_name_only_what_the_physics_takes():
    assert set(INPUTS) <= set(ALLOWED)
