"""A stage without a cooler beside one with it, and two plans of a job side by side."""

from dataclasses import replace

import numpy as np
import pytest
from django.urls import reverse

from sizing.physics.choice.stages import boost_for_air_kpa
from sizing.physics.errors import NoSolution
from sizing.physics.plan.data import PlanInputs
from sizing.physics.plan.solve import solve_plan
from tests.builders import make_cooler, make_job, make_turbo
from tests.sizing.builders import make_a_plan
from tests.sizing.plans.test_plan_page import text_of

pytestmark = pytest.mark.django_db
PLAIN = PlanInputs(
    2.5,
    4,
    21.0,
    "indirect",
    55.0,
    4000.0,
    boost_kpa=120.0,
    delivery_mm3=60.0,
    air_cleaner_loss_kpa=0.0,
    relative_humidity_pct=0.0,
    compressor_efficiency_ratio=0.70,
)


def page(client, plan, **query):
    return client.get(reverse("sizing:stages", args=[plan.pk]), query)


def test_boost_for_the_same_air_by_hand():
    """Filling goes with the root of the charge temperature (Heywood, Internal Combustion Engine Fundamentals, ch. 6, from
    memory), so the same air is the same p over root T in the manifold. By hand for dry air at sea level (101.325 kPa, 25 °C),
    efficiency 0.70, 120 kPa: ratio 2.184, outlet 298.15 (1 + (2.184^0.2857 - 1)/0.70) = 404.7 K; behind a cooler of 0.7 the
    charge has 298.15 + 0.3 (outlet - 298.15)."""
    hot = 298.15 * (1 + (2.1843**0.2857 - 1) / 0.70)
    boosts = np.linspace(20, 120, 10_001)
    ratio = 1 + boosts / 101.325
    cooled = 298.15 + 0.3 * (298.15 * (ratio**0.2857 - 1) / 0.70)
    by_hand = boosts[np.argmin(np.abs(ratio / np.sqrt(cooled) - 2.1843 / np.sqrt(hot)))]
    air = float(solve_plan(PLAIN, [4000.0]).air_flow_kg_s[0])
    found = boost_for_air_kpa(replace(PLAIN, cooler_effectiveness_ratio=0.7), air, 4000.0)
    assert found == pytest.approx(by_hand, rel=0.01)
    assert found < 105  # common practice: with a cooler much less boost does the same


def test_air_that_no_boost_brings_is_said():
    with pytest.raises(NoSolution, match="brings less"):
        boost_for_air_kpa(PLAIN, 2.0, 4000.0)
    with pytest.raises(NoSolution, match="takes in more"):
        boost_for_air_kpa(PLAIN, 0.01, 4000.0)


def test_a_cooler_later_cools_the_charge_and_the_exhaust_and_says_what_boost_it_needs(owner_client):
    cooler = make_cooler()
    answer = page(owner_client, make_a_plan(), cooler=cooler.pk)
    found = answer.context["found"]
    at_rated = {row.label: row for row in found.tables[-1][1]}
    for label in ("Charge temperature", "Exhaust before turbine"):
        assert at_rated[label].change.startswith("−"), label
    for label in ("Air", "Lambda"):
        assert at_rated[label].change.startswith("+"), label
    assert "the second needs" in found.needed
    assert "without a cooler" in text_of(answer.content.decode())


def test_a_plan_with_a_cooler_opens_with_both_stages(owner_client):
    plan = make_a_plan(cooler=make_cooler(), turbo=make_turbo(turbine_flow_kg_s=0.1))
    assert page(owner_client, plan).context["found"].tables


def test_without_any_cooler_the_page_says_how_to_begin(owner_client):
    assert "Choose a cooler" in text_of(page(owner_client, make_a_plan()).content.decode())


def test_two_plans_stand_side_by_side(owner_client):
    first, second = make_a_plan(), make_a_plan({"boost_kpa": (60, 60, "told")}, title="Less boost")
    answer = page(owner_client, second, other=first.pk)
    assert answer.context["found"].titles == ("Less boost", "First stage")
    same = page(owner_client, first, other=make_a_plan(title="The same").pk).context["found"]
    assert {row.change for _, rows in same.tables for row in rows} == {"the same"}


def test_a_plan_without_an_answer_says_why(owner_client):
    plan = make_a_plan()
    plan.inputs.filter(name="rated_power_kw").delete()
    assert "Not known yet: Rated power" in text_of(page(owner_client, plan, cooler=make_cooler().pk).content.decode())


@pytest.mark.parametrize("query", [{"cooler": "999"}, {"cooler": "x"}, {"other": "999"}])
def test_what_is_not_there_is_said(owner_client, query):
    response = page(owner_client, make_a_plan(), **query)
    assert response.status_code == 422
    assert "Select a valid choice" in response.content.decode()


def test_the_job_links_its_plans(owner, owner_client):
    from shop.jobs.plans import attach_plan, plan_from_facts
    from sizing.plans.actions import copy_plan
    from tests.builders import FACTS

    job = make_job(owner, facts=FACTS)
    first = plan_from_facts(job, owner, "First", (80, 90, "told"))
    later = attach_plan(job, copy_plan(first.plan, "Later"), owner)
    type(first).objects.filter(pk=first.pk).update(is_current=False)
    type(later).objects.filter(pk=later.pk).update(is_current=True)
    assert (
        f"/plans/{later.plan_id}/stages/?other={first.plan_id}"
        in owner_client.get(job.get_absolute_url()).content.decode()
    )
