"""The plan page: what it shows, what a change does, who may change, and what is refused."""

import re

import pytest
from django.urls import reverse

from shop.workshop.models import Workshop
from sizing.catalogue.models import MapPoint
from sizing.plans.actions import change_plan
from sizing.plans.answer.answers import answer
from sizing.plans.cases import case_of
from sizing.plans.models import Plan
from sizing.units.display import shown_in
from tests.answers import assert_not_for_this_role, assert_not_found, assert_wrong_verb
from tests.builders import make_cooler, make_plunger, make_turbo
from tests.sizing.builders import make_a_plan

pytestmark = pytest.mark.django_db


def address(name, plan):
    return reverse(f"sizing:{name}", args=[plan.pk])


def page_of(client, plan):
    return client.get(address("plan", plan)).content.decode()


def typed(client, plan, **changes):
    """The form as the page shows it, with some fields typed anew ('__' stands for '-')."""
    form = client.get(address("plan", plan)).context["form"]
    with shown_in(Workshop.objects.get().unit_choices):
        data = {name: form[name].value() for name in form.fields if form[name].value() is not None}
    return data | {name.replace("__", "-"): value for name, value in changes.items()}


def text_of(html):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


def test_the_verdict_comes_first_with_the_worst_limit_named(owner_client):
    plan = make_a_plan({"boost_kpa": (200, 200, "told")})
    text = text_of(page_of(owner_client, plan))
    # 200 kPa against the usual ceiling without a cooler, 135 kPa: 65 kPa too much, past the stop.
    assert "Boost is 200 kPa" in text
    assert "65 kPa above the limit of 135 kPa" in text
    assert text.index("65 kPa above") < text.index("How sure that is") < text.index("Over engine speed")


def test_limits_start_with_what_is_wrong(owner_client):
    answer = owner_client.get(address("plan", make_a_plan({"boost_kpa": (200, 200, "told")}))).context["answer"]
    order = ["stop", "off_plan", "near_edge", "on_plan"]
    places = [order.index(row.verdict) for row in answer.limits]
    assert places == sorted(places)
    assert answer.limits[0].label == "Boost"
    assert answer.limits[0].margin == "65 kPa too high"
    assert all(row.source and row.why for row in answer.limits)


def test_a_known_number_stands_in_the_table(owner_client):
    """Full boost of 115 kPa; power is torque times speed: kW = Nm x rpm / 9549.3 (definition)."""
    answer = owner_client.get(address("plan", make_a_plan())).context["answer"]
    heads = [label for label, _ in answer.table_head]
    last = dict(zip(heads, answer.table[-1], strict=True))
    assert last["Speed"] == "4,000"
    assert last["Boost, gauge"] == "115"
    torque, power = float(last["Torque, planned"]), float(last["Power, planned"])
    assert power == pytest.approx(torque * 4000 / 9549.3, abs=0.3)


def test_figures_stand_in_the_units_of_the_workshop(owner_client, workshop):
    plan = make_a_plan()
    workshop.pressure_unit, workshop.temperature_unit = "bar", "°F"
    workshop.save()
    page = page_of(owner_client, plan)
    assert "1.15 bar" in page
    assert 'value="1.1"' in page  # 110 kPa, the lower end
    assert "Exhaust before turbine, °F" in page


def test_every_curve_has_a_title_that_answers_labels_and_a_band(owner_client):
    plan = make_a_plan(turbo=make_turbo())
    for speed, ratio, flow in ((90000, 1.6, 0.05), (150000, 2.8, 0.08)):
        MapPoint.objects.bulk_create(
            MapPoint(turbo=plan.turbo, speed_rpm=speed, flow_kg_s=flow * k, pressure_ratio=ratio, efficiency_ratio=0.7)
            for k in (1, 1.5, 2)
        )
    response = owner_client.get(address("plan", plan))
    charts = {chart.slug: chart for chart in response.context["answer"].charts}
    assert set(charts) == {"torque", "power", "lambda", "exhaust", "boost", "charge", "map"}
    assert charts["boost"].title == "Full boost of 115 kPa stands from 2,200 rpm"
    assert charts["torque"].bands
    page = response.content.decode()
    for chart in charts.values():
        assert f'data-plot="{chart.figure_id}"' in page
        assert f'id="{chart.figure_id}"' in page
        assert chart.svg.count('<text class="end"') >= 2


def test_the_phone_gets_curves_drawn_by_the_server_and_no_plot_library(owner_client):
    page = page_of(owner_client, make_a_plan())
    assert page.count('<svg class="curve"') == 6
    assert not re.search(r'<script[^>]+src="[^"]*plotly', page)


def test_a_plan_without_an_answer_says_why_and_keeps_its_form(owner_client):
    plan = make_a_plan()
    plan.inputs.filter(name="rated_power_kw").delete()
    response = owner_client.get(address("plan", plan))
    page = response.content.decode()
    assert response.status_code == 200
    assert "No figures yet" in page
    assert "Not known yet: Rated power as built" in page
    assert 'name="rated_power_kw-low"' in page


def test_a_change_is_kept_and_the_plan_moves(owner_client):
    plan = make_a_plan()
    cooler, plunger = make_cooler(), make_plunger(7)
    data = typed(
        owner_client,
        plan,
        boost_kpa__low="90,5",
        boost_kpa__high="",
        boost_kpa__origin="told",
        cooler=cooler.pk,
        plunger=plunger.pk,
        boost_max_kpa__value="120",
        boost_max_kpa__source="own engines",
        note="later more",
    )
    response = owner_client.post(address("keep_plan", plan), data)
    assert response.status_code == 302
    changed = Plan.objects.get(pk=plan.pk)
    row = changed.inputs.get(name="boost_kpa")
    assert (row.low, row.high, row.origin) == (90.5, 90.5, "told")
    assert (changed.cooler, changed.plunger, changed.note) == (cooler, plunger, "later more")
    assert changed.own_limits.get().source == "own engines"
    assert changed.changed_at > plan.changed_at
    assert "own limit: own engines" in page_of(owner_client, plan)


def test_keeping_without_a_change_keeps_every_digit(owner_client, workshop):
    plan = make_a_plan({"boost_kpa": (110.123456, 120.654321, "measured")})
    workshop.pressure_unit = "psi"
    workshop.save()
    assert owner_client.post(address("keep_plan", plan), typed(owner_client, plan)).status_code == 302
    row = plan.inputs.get(name="boost_kpa")
    assert (row.low, row.high) == (110.123456, 120.654321)


def test_an_input_emptied_is_unknown_again(owner_client):
    plan = make_a_plan()
    owner_client.post(address("keep_plan", plan), typed(owner_client, plan, boost_kpa__low="", boost_kpa__high=""))
    assert not plan.inputs.filter(name="boost_kpa").exists()


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"displacement_l__low": "-2.5"}, "Displacement: -2.5 is outside what is possible. Allowed: 0.3 to 30 L"),
        ({"boost_kpa__low": "30000"}, "30000 is outside what is possible. Allowed: 0 to 300 kPa"),
        ({"boost_kpa__low": "much"}, "&#x27;much&#x27; is not a number"),
        ({"boost_kpa__low": "120", "boost_kpa__high": "110"}, "the range starts at 120 kPa and ends at 110 kPa"),
        ({"boost_kpa__low": "", "boost_kpa__high": "110"}, "type where the range begins"),
        ({"boost_kpa__origin": "dreamt"}, "dreamt is not one of the available choices"),
        ({"title": ""}, "This field is required"),
        ({"injection": "steam"}, "steam is not one of the available choices"),
        ({"turbo": "999"}, "That choice is not one of the available choices"),
        ({"boost_max_kpa__value": "120"}, "Say where your limit of 120 kPa comes from"),
        (
            {"boost_max_kpa__value": "9999", "boost_max_kpa__source": "x"},
            "9999 is outside what is possible. Allowed: 10 to 400 kPa",
        ),
        ({"altitude_m__low": "6000"}, "6000 is outside what is possible. Allowed: -430 to 5200 m"),
    ],
)
def test_what_cannot_be_is_named_and_everything_typed_stays(owner_client, changes, message):
    plan = make_a_plan()
    data = typed(owner_client, plan, **({"note": "typed before"} | changes))
    response = owner_client.post(address("keep_plan", plan), data)
    page = response.content.decode()
    assert response.status_code == 422
    assert message in page
    assert "typed before" in page
    plan.refresh_from_db()
    assert plan.note == ""
    live = owner_client.post(address("plan_panel", plan), data)
    assert live.status_code == 422
    assert message in live.content.decode()


def test_the_panel_answers_what_is_typed_and_keeps_nothing(owner_client):
    plan = make_a_plan()
    response = owner_client.post(
        address("plan_panel", plan), typed(owner_client, plan, boost_kpa__low="200", boost_kpa__high="")
    )
    panel = response.content.decode()
    assert "<html" not in panel
    assert "65 kPa above the limit of 135 kPa" in panel
    assert "not kept yet" in panel
    assert 'hx-swap-oob="true"' in panel
    assert plan.inputs.get(name="boost_kpa").low == 110


def test_trying_without_script_shows_the_answer_and_keeps_nothing(owner_client):
    plan = make_a_plan()
    data = typed(owner_client, plan, boost_kpa__low="200", boost_kpa__high="") | {"try": "yes"}
    response = owner_client.post(address("keep_plan", plan), data)
    assert response.status_code == 200
    assert "65 kPa above the limit of 135 kPa" in response.content.decode()
    assert 'value="200"' in response.content.decode()
    assert plan.inputs.get(name="boost_kpa").low == 110


def test_two_people_at_once_do_not_overwrite_each_other(owner_client):
    plan = make_a_plan()
    data = typed(owner_client, plan, note="mine")
    change_plan(plan, note="theirs")
    response = owner_client.post(address("keep_plan", plan), data)
    assert response.status_code == 422
    assert "Somebody changed this plan" in response.content.decode()
    assert Plan.objects.get().note == "theirs"
    again = data | {"seen_at": response.context["form"]["seen_at"].value()}
    assert owner_client.post(address("keep_plan", plan), again).status_code == 302
    assert Plan.objects.get().note == "mine"


def test_a_retired_part_stays_with_its_plan_and_is_not_offered_to_others(owner_client):
    plan = make_a_plan(turbo=make_turbo(retired=True))
    assert str(plan.turbo) in page_of(owner_client, plan)
    assert owner_client.post(address("keep_plan", plan), typed(owner_client, plan)).status_code == 302
    other = make_a_plan()
    assert plan.turbo not in owner_client.get(address("plan", other)).context["form"].fields["turbo"].queryset


def test_chances_come_as_a_panel_or_in_the_page_without_script(owner_client, desk_client):
    plan = make_a_plan({"boost_kpa": (60, 180, "guessed")})
    panel = desk_client.get(address("plan_chances_panel", plan)).content.decode()
    assert "<html" not in panel
    assert "Measure this first" in panel
    assert "Boost wanted, gauge (60 to 180 kPa, guessed)" in panel
    assert "Measure this first" in desk_client.get(address("plan", plan), {"chances": "yes"}).content.decode()
    closed = owner_client.post(
        address("plan_chances_panel", plan), typed(owner_client, plan, boost_kpa__low="100", boost_kpa__high="100")
    )
    assert "Boost wanted" not in closed.content.decode()


def test_chances_of_a_plan_without_an_answer_say_why(owner_client):
    plan = make_a_plan({"rated_power_kw": (55, 400, "guessed")})
    panel = owner_client.get(address("plan_chances_panel", plan)).content.decode()
    assert "No chances can be given" in panel
    assert "No band is drawn" in page_of(owner_client, plan) or "No figures yet" in page_of(owner_client, plan)


def test_a_copy_is_made_once_and_opened(owner_client):
    plan = make_a_plan()
    form = owner_client.get(address("plan", plan)).context["copy_form"]
    data = {"title": "Second stage", "request_id": form["request_id"].value()}
    first = owner_client.post(address("copy_plan", plan), data)
    second = owner_client.post(address("copy_plan", plan), data)
    assert first["Location"] == second["Location"]
    assert Plan.objects.count() == 2
    assert "Second stage" in owner_client.get(first["Location"]).content.decode()


def test_a_copy_without_a_title_is_not_made(owner_client):
    plan = make_a_plan()
    response = owner_client.post(address("copy_plan", plan), {"title": "", "request_id": "no uuid"}, follow=True)
    assert "Not copied" in response.content.decode()
    assert Plan.objects.count() == 1


@pytest.mark.parametrize("name", ["keep_plan", "plan_panel", "copy_plan"])
def test_only_the_owner_changes_a_plan(desk_client, technician_client, name):
    plan = make_a_plan()
    for client in (desk_client, technician_client):
        assert_not_for_this_role(client.post(address(name, plan), {}))
    assert Plan.objects.count() == 1


def test_others_see_the_inputs_without_a_form(technician_client):
    page = page_of(technician_client, make_a_plan())
    assert "110 to 120" in page
    assert "plate or book" in page
    assert 'name="boost_kpa-low"' not in page


@pytest.mark.parametrize(
    ("name", "wrong"),
    [
        ("plan", "post"),
        ("keep_plan", "get"),
        ("plan_panel", "get"),
        ("copy_plan", "get"),
        ("plan_chances_panel", "put"),
    ],
)
def test_a_wrong_verb_is_refused(owner_client, name, wrong):
    assert_wrong_verb(getattr(owner_client, wrong)(address(name, make_a_plan())))


@pytest.mark.parametrize("name", ["plan", "plan_chances_panel"])
def test_a_plan_that_is_not_there_is_not_found(owner_client, name):
    assert_not_found(owner_client.get(reverse(f"sizing:{name}", args=[999])))


def test_the_page_needs_no_more_queries_with_a_full_catalogue(owner_client, django_assert_max_num_queries):
    plan = make_a_plan(turbo=make_turbo(), plunger=make_plunger(7))

    def count():
        with django_assert_max_num_queries(40) as captured:
            page_of(owner_client, plan)
        return len(captured)

    count()
    before = count()
    for i in range(20):
        make_turbo()
        make_cooler()
        make_plunger(6 + i / 10)
    assert count() == before


@pytest.mark.parametrize("query", ["", "?length_mm=tall&cooler=999&speed_1=1800"])
@pytest.mark.parametrize("name", ["match_panel", "compare", "stages", "turbine_capacity", "bench"])
def test_every_page_of_a_plan_leads_back_to_it_and_to_its_job(technician_client, name, query):
    plan = make_a_plan()
    page = technician_client.get(address(name, plan) + query).content.decode()
    assert page.count(f'href="{plan.get_absolute_url()}"') >= 2  # above and below what may be long
    assert f'href="{reverse("shop:job_of_plan", args=[plan.pk])}"' in page


def test_the_way_to_the_job_of_a_plan_without_one_ends_at_the_plan(technician_client):
    plan = make_a_plan()
    response = technician_client.get(reverse("shop:job_of_plan", args=[plan.pk]), follow=True)
    assert response.redirect_chain == [(plan.get_absolute_url(), 302)]
    assert "No job has the plan First stage" in text_of(response.content.decode())
    assert technician_client.get(reverse("shop:job_of_plan", args=[plan.pk + 1])).status_code == 404


def test_moist_air_takes_the_same_place_on_the_map_as_dry_air():
    """A wheel moves volume, and an engine breathes volume: vapour in the air (5.6 kPa at 35 °C, steam tables) hardly moves the line."""
    turbo = make_turbo()
    for speed, flow in (
        (80000.0, 0.03),
        (80000.0, 0.05),
        (80000.0, 0.07),
        (120000.0, 0.05),
        (120000.0, 0.08),
        (120000.0, 0.1),
    ):
        MapPoint.objects.create(
            turbo=turbo, speed_rpm=speed, flow_kg_s=flow, pressure_ratio=speed / 50000 - flow, efficiency_ratio=0.7
        )
    lines = []
    for humidity in (0, 100):
        inputs = {"relative_humidity_pct": (humidity, humidity, "measured"), "air_temperature_c": (35, 35, "measured")}
        chart = answer(case_of(make_a_plan(inputs, turbo=turbo))).charts[-1]
        assert chart.slug == "map"
        lines.append(next(line for line in chart.lines if line.label == "engine").x)
    assert lines[0] == pytest.approx(lines[1], rel=0.01)
