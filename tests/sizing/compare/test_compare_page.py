"""The compare page: what is compared, why something falls out, what is refused, and taking a row into the plan."""

import re

import pytest
from django.urls import reverse

from sizing.catalogue.models import Plunger
from sizing.compare.comparing import Wish, compared
from sizing.physics.choice.ranking import Weights
from sizing.plans.cases import case_of
from sizing.plans.models import Plan
from tests.builders import make_cooler, make_plunger, make_turbo
from tests.sizing.builders import make_a_plan

pytestmark = pytest.mark.django_db


def known_turbo(**fields):
    return make_turbo(**{"housing_area_mm2": 380, "wastegate": True} | fields)


def address(plan, name="compare"):
    return reverse(f"sizing:{name}", args=[plan.pk])


def text_of(response):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))


def test_every_role_sees_what_is_compared_and_why_something_falls_out(desk_client, technician_client):
    plan = make_a_plan(turbo=known_turbo())
    known_turbo(name="Huge", turbine_flow_kg_s=1.5)
    make_turbo(name="Unmeasured")
    for client in (desk_client, technician_client):
        page = text_of(client.get(address(plan)))
        assert "2 combinations of 2 turbos compared" in page
        assert "the turbine is too large" in page
        assert "Ostrel Unmeasured : Ostrel Unmeasured: not known yet is the throat area" in page
        assert "Take it" not in page


def test_retired_turbos_are_not_compared(owner_client):
    plan = make_a_plan(turbo=known_turbo())
    known_turbo(name="Gone", retired=True)
    assert "Gone" not in text_of(owner_client.get(address(plan)))


def test_delivery_goes_with_the_square_of_the_plunger():
    """Common practice, geometry of a plunger: 7 to 7.5 mm at equal rack gives (7.5 / 7)² of the fuel."""
    own = make_plunger(7)
    larger = Plunger.objects.create(pump=own.pump, diameter_mm=7.5, effective_stroke_max_mm=3.5)
    turbo = known_turbo()
    plan = make_a_plan(
        {"delivery_mm3": (40, 40, "measured"), "compensator_lambda_ratio": (1.0, 1.0, "guessed")},
        turbo=turbo,
        plunger=own,
    )
    found = compared(case_of(plan), Wish(), [turbo], [], [own, larger])
    torque = {combination.plunger.diameter_mm: row.torque_nm for combination, row in found.ranked}
    # friction stays, so torque rises a little more than fuel
    assert 1.0 < torque[7.5] / torque[7.0] < 1.3
    assert "square of the diameters" in found.plunger_note


def test_a_turbo_that_does_not_go_into_the_space_falls_out(owner_client):
    plan = make_a_plan(turbo=known_turbo())  # 210 x 190 x 180 mm
    page = text_of(owner_client.get(address(plan), {"length_mm": "150", "width_mm": "150", "height_mm": "150"}))
    assert "does not go into the space measured" in page
    assert "does not go in" in page
    assert "goes in" in text_of(
        owner_client.get(address(plan), {"length_mm": "400", "width_mm": "400", "height_mm": "400"})
    )


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"length_mm": "wide"}, "wide"),
        ({"length_mm": "5", "width_mm": "100", "height_mm": "100"}, "Allowed: 10 to 3000 mm"),
        ({"length_mm": "200"}, "Not typed yet: free space, width, free space, height"),
        ({"weight_price": "11"}, "Allowed: 0 to 10"),
        ({"coolers": "none such"}, "none such"),
    ],
)
def test_bad_input_is_refused_in_words_and_kept(owner_client, typed, says):
    response = owner_client.get(address(make_a_plan(turbo=known_turbo())), typed)
    assert response.status_code == 422
    assert says in text_of(response)
    for value in typed.values():
        assert value in response.content.decode()


def test_weights_change_the_order_of_equals():
    cheap, dear = known_turbo(name="A dear one", price=900), known_turbo(name="B cheap one", price=300)
    plan = make_a_plan(turbo=cheap)
    by_price = compared(case_of(plan), Wish(weights=Weights(price=10)), [cheap, dear], [], [])
    assert by_price.ranked[0][0].turbo.name == "B cheap one"
    without = compared(case_of(plan), Wish(weights=Weights(price=0)), [cheap, dear], [], [])
    assert without.ranked[0][0].turbo.name == "A dear one"


def test_the_owner_takes_a_row_into_the_plan(owner_client):
    own = make_plunger(7)
    larger = Plunger.objects.create(pump=own.pump, diameter_mm=7.5, effective_stroke_max_mm=3.5)
    turbo, cooler = known_turbo(), make_cooler()
    plan = make_a_plan({"delivery_mm3": (40, 44, "measured")}, plunger=own)
    response = owner_client.post(
        address(plan, "take"), {"turbo": turbo.pk, "cooler": cooler.pk, "plunger": larger.pk}, follow=True
    )
    assert "as a guess: measure it on the bench" in text_of(response)
    kept = Plan.objects.get()
    assert (kept.turbo, kept.cooler, kept.plunger) == (turbo, cooler, larger)
    delivery = kept.inputs.get(name="delivery_mm3")
    assert (delivery.low, delivery.high) == pytest.approx((40 * 1.147959, 44 * 1.147959), rel=1e-5)
    assert delivery.origin == "guessed"
    # sent twice, nothing grows
    owner_client.post(address(plan, "take"), {"turbo": turbo.pk, "cooler": cooler.pk, "plunger": larger.pk})
    assert kept.inputs.get(name="delivery_mm3").low == pytest.approx(delivery.low)


def test_what_is_not_offered_cannot_be_taken(owner_client, technician_client):
    plan, gone = make_a_plan(), known_turbo(retired=True)
    assert "Not taken" in text_of(owner_client.post(address(plan, "take"), {"turbo": gone.pk}, follow=True))
    assert technician_client.post(address(plan, "take"), {"turbo": known_turbo().pk}).status_code == 403
    assert Plan.objects.get().turbo is None


def test_a_delivery_no_pump_gives_is_not_taken(owner_client):
    own = make_plunger(4)
    larger = Plunger.objects.create(pump=own.pump, diameter_mm=14, effective_stroke_max_mm=3.5)
    plan = make_a_plan({"delivery_mm3": (590, 590, "told")}, plunger=own)
    response = owner_client.post(address(plan, "take"), {"turbo": known_turbo().pk, "plunger": larger.pk}, follow=True)
    assert "outside what is possible" in text_of(response)
    assert Plan.objects.get().turbo is None


def test_a_plan_without_facts_says_so(owner_client):
    plan = make_a_plan(turbo=known_turbo())
    plan.inputs.filter(name="displacement_l").delete()
    assert "Not known yet: Displacement" in text_of(owner_client.get(address(plan)))


def test_more_turbos_cost_no_more_queries(owner_client, django_assert_max_num_queries):
    plan = make_a_plan(turbo=known_turbo())
    with django_assert_max_num_queries(20) as before:
        owner_client.get(address(plan))
    for _ in range(4):
        known_turbo()
    with django_assert_max_num_queries(20) as after:
        owner_client.get(address(plan))
    assert len(after) <= len(before)
