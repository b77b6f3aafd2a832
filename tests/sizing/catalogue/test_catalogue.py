"""Catalogue pages: lists with their filters, one thing, adding, editing, retiring."""

import pytest
from django.urls import reverse

from sizing.catalogue.models import AirCleaner, Cooler, Plunger, Pump, Turbo
from sizing.units.display import shown_in
from tests.answers import assert_not_for_this_role, assert_not_found, assert_wrong_verb
from tests.builders import make_air_cleaner, make_cooler, make_plunger, make_turbo

pytestmark = pytest.mark.django_db

MAKERS = {
    "turbo": make_turbo,
    "aircleaner": make_air_cleaner,
    "cooler": make_cooler,
    "pump": lambda **f: make_plunger(**f).pump,
}


@pytest.mark.parametrize("slug", MAKERS)
def test_each_kind_is_listed_with_a_link_to_its_page(desk_client, slug):
    thing = MAKERS[slug]()
    page = desk_client.get(reverse("sizing:items", args=[slug])).content.decode()
    assert str(thing) in page
    assert thing.get_absolute_url() in page
    assert str(thing) in desk_client.get(thing.get_absolute_url()).content.decode()


def test_an_empty_list_says_what_will_stand_there(desk_client):
    assert "will stand here" in desk_client.get(reverse("sizing:catalogue")).content.decode()


def test_an_unknown_kind_is_not_found(desk_client):
    assert_not_found(desk_client.get("/catalogue/gearbox/"))


def test_filters_narrow_the_list_and_stay_in_the_address(desk_client):
    make_turbo(name="Small", stock_count=2)
    make_turbo(name="Gated", wastegate=True)
    make_turbo(name="Old", retired=True)

    def names(**query):
        response = desk_client.get(reverse("sizing:items", args=["turbo"]), query)
        return [row["item"].name for row in response.context["rows"]]

    assert names() == ["Gated", "Small"]
    assert names(retired="yes") == ["Old"]
    assert names(retired="all") == ["Gated", "Old", "Small"]
    assert names(wastegate="yes") == ["Gated"]
    assert names(wastegate="no") == ["Small"]
    assert names(stock="yes") == ["Small"]
    assert names(q="ostrel sma") == ["Small"]
    assert (
        'value="ostrel sma"'
        in desk_client.get(reverse("sizing:items", args=["turbo"]), {"q": "ostrel sma"}).content.decode()
    )


def test_sorting_puts_what_is_unknown_last_both_ways(desk_client):
    make_turbo(name="Dear", price=900)
    make_turbo(name="Cheap", price=300)
    make_turbo(name="Unknown")

    def names(sort):
        response = desk_client.get(reverse("sizing:items", args=["turbo"]), {"sort": sort})
        return [row["item"].name for row in response.context["rows"]]

    assert names("price") == ["Cheap", "Dear", "Unknown"]
    assert names("-price") == ["Dear", "Cheap", "Unknown"]


def test_a_filter_that_is_not_understood_says_so(desk_client):
    response = desk_client.get(reverse("sizing:items", args=["turbo"]), {"sort": "colour"})
    assert response.status_code == 422
    assert "colour is not one of the available choices" in response.content.decode()


@pytest.mark.parametrize("slug", MAKERS)
def test_a_list_needs_no_more_queries_for_200_rows_than_for_2(desk_client, slug, django_assert_max_num_queries):
    def count():
        with django_assert_max_num_queries(30) as captured:
            desk_client.get(reverse("sizing:items", args=[slug]))
        return len(captured)

    for _ in range(2):
        MAKERS[slug]()
    count()  # the first request of a process asks whether there is a workshop
    with_two = count()
    for _ in range(198):
        MAKERS[slug]()
    assert count() == with_two


def test_fifty_rows_stand_on_a_page_and_the_filters_go_with_the_next(desk_client):
    for _ in range(51):
        make_turbo(stock_count=1)
    response = desk_client.get(reverse("sizing:items", args=["turbo"]), {"stock": "yes"})
    assert len(response.context["rows"]) == 50
    assert "?stock=yes&amp;page=2" in response.content.decode()
    assert (
        len(desk_client.get(reverse("sizing:items", args=["turbo"]), {"stock": "yes", "page": "2"}).context["rows"])
        == 1
    )


def test_a_turbo_is_added_with_a_comma_in_a_number(owner_client):
    response = owner_client.post(
        reverse("sizing:add", args=["turbo"]),
        {"make": "Ostrel", "name": "Osk-40", "compressor_exducer_mm": "49,5", "price": "1 250,00", "stock_count": "2"},
    )
    turbo = Turbo.objects.get()
    assert response.status_code == 302
    assert response["Location"] == turbo.get_absolute_url()
    assert turbo.compressor_exducer_mm == 49.5
    assert str(turbo.price) == "1250.00"
    assert turbo.map_temperature_k == 298.0  # left empty: the usual one


def test_the_same_form_sent_twice_stores_one(owner_client):
    given = {"make": "Ostrel", "name": "Osk-40"}
    owner_client.post(reverse("sizing:add", args=["turbo"]), given)
    response = owner_client.post(reverse("sizing:add", args=["turbo"]), given)
    assert response.status_code == 422
    assert Turbo.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("compressor_exducer_mm", "5", "5 is outside what is possible. Allowed: 20 to 250 mm"),
        ("compressor_exducer_mm", "about 50", "&#x27;about 50&#x27; is not a number"),
        ("compressor_blade_count", "11.5", "11.5 is not a whole number"),
        ("price", "-3", "-3 is outside what is possible"),
        ("make", "", "This field is required"),
    ],
)
def test_a_bad_value_is_named_and_what_was_typed_stays(owner_client, field, value, message):
    given = {"make": "Ostrel", "name": "Typed name", "compressor_exducer_mm": "50"} | {field: value}
    response = owner_client.post(reverse("sizing:add", args=["turbo"]), given)
    page = response.content.decode()
    assert response.status_code == 422
    assert message in page
    assert "Typed name" in page
    assert not Turbo.objects.exists()


def test_saving_an_edit_form_unchanged_keeps_every_digit(owner_client):
    turbo = make_turbo(turbine_flow_kg_s=0.0512345, max_speed_rpm=187654.3)
    form = owner_client.get(reverse("sizing:edit", args=["turbo", turbo.pk])).context["form"]
    data = {name: form[name].value() for name in form.fields if form[name].value() not in (None, False)}
    assert owner_client.post(reverse("sizing:edit", args=["turbo", turbo.pk]), data).status_code == 302
    turbo.refresh_from_db()
    assert turbo.turbine_flow_kg_s == 0.0512345
    assert turbo.max_speed_rpm == 187654.3


def test_a_number_emptied_on_the_form_is_unknown_again_and_stock_is_none(owner_client):
    turbo = make_turbo(stock_count=4, weight_kg=6)
    data = {"make": turbo.make, "name": turbo.name, "weight_kg": "", "stock_count": ""}
    assert owner_client.post(reverse("sizing:edit", args=["turbo", turbo.pk]), data).status_code == 302
    turbo.refresh_from_db()
    assert turbo.weight_kg is None
    assert turbo.stock_count == 0


def test_retiring_and_bringing_back(owner_client):
    cooler = make_cooler()
    address = reverse("sizing:retire", args=["cooler", cooler.pk])
    owner_client.post(address, {"retired": "yes"})
    owner_client.post(address, {"retired": "yes"})
    assert Cooler.objects.get().retired
    assert "Offer again" in owner_client.get(cooler.get_absolute_url()).content.decode()
    owner_client.post(address, {"retired": "no"})
    assert not Cooler.objects.get().retired


def test_plungers_of_a_pump_are_added_changed_and_retired(owner_client):
    pump = make_plunger(6).pump
    given = {"diameter_mm": "7,5", "effective_stroke_max_mm": "3.2"}
    address = reverse("sizing:add_plunger", args=[pump.pk])
    assert owner_client.post(address, given).status_code == 302
    twice = owner_client.post(address, given)
    assert twice.status_code == 422
    assert "7,5" in twice.content.decode()
    assert [p.diameter_mm for p in pump.plungers.all()] == [6, 7.5]
    plunger = Plunger.objects.get(diameter_mm=7.5)
    edit = reverse("sizing:edit_plunger", args=[plunger.pk])
    assert "7.5" in owner_client.get(edit).content.decode()
    assert owner_client.post(edit, given | {"diameter_mm": "30"}).status_code == 422
    assert owner_client.post(edit, given | {"effective_stroke_max_mm": "3,4"}).status_code == 302
    owner_client.post(reverse("sizing:retire_plunger", args=[plunger.pk]), {"retired": "yes"})
    plunger.refresh_from_db()
    assert plunger.retired
    assert plunger.effective_stroke_max_mm == 3.4


GUARDED = [
    ("sizing:add", ["turbo"]),
    ("sizing:edit", ["turbo", 1]),
    ("sizing:import", ["turbo"]),
    ("sizing:import_map", [1]),
    ("sizing:edit_plunger", [1]),
]
POSTED = [
    ("sizing:retire", ["turbo", 1]),
    ("sizing:confirm_import", ["turbo"]),
    ("sizing:confirm_map", [1]),
    ("sizing:add_plunger", [1]),
    ("sizing:retire_plunger", [1]),
]


@pytest.mark.parametrize(("name", "args"), GUARDED + POSTED)
def test_only_the_owner_changes_the_catalogue(desk_client, technician_client, name, args):
    for client in (desk_client, technician_client):
        assert_not_for_this_role(client.post(reverse(name, args=args)))


@pytest.mark.parametrize(("name", "args"), POSTED)
def test_what_changes_something_is_not_done_by_a_look(owner_client, name, args):
    assert_wrong_verb(owner_client.get(reverse(name, args=args)))


@pytest.mark.parametrize(
    ("name", "args"),
    [
        ("sizing:catalogue", []),
        ("sizing:items", ["pump"]),
        ("sizing:item", ["turbo", 1]),
        ("sizing:export", ["turbo"]),
        ("sizing:map_csv", [1]),
    ],
)
def test_what_only_shows_takes_no_post(owner_client, name, args):
    assert_wrong_verb(owner_client.post(reverse(name, args=args)))


@pytest.mark.parametrize(
    ("name", "args"),
    [
        ("sizing:item", ["turbo", 99]),
        ("sizing:edit", ["turbo", 99]),
        ("sizing:import_map", [99]),
        ("sizing:map_csv", [99]),
        ("sizing:edit_plunger", [99]),
        ("sizing:export", ["gearbox"]),
        ("sizing:import", ["gearbox"]),
        ("sizing:add", ["gearbox"]),
    ],
)
def test_what_is_not_there_is_not_found(owner_client, name, args):
    assert_not_found(owner_client.get(reverse(name, args=args)))


def test_models_hold_one_make_and_name():
    for model in (Turbo, Pump, Cooler, AirCleaner):
        assert any("once" in c.name for c in model._meta.constraints)


def test_pressures_stand_and_are_typed_in_the_unit_of_the_workshop(owner_client, workshop):
    """1 psi is 6.894757 kPa (NIST SP 811): 2 kPa is 0.290 psi, 6.2 kPa is 0.899 psi, 0.5 psi is 3.447 kPa."""
    cleaner = make_air_cleaner(loss_clean_kpa=2.0, loss_service_kpa=6.2)
    workshop.pressure_unit = "psi"
    workshop.save()
    page = owner_client.get(cleaner.get_absolute_url()).content.decode()
    assert "0.2901</span>" in page
    assert "0.8992</span>" in page
    assert "kPa" not in page
    assert "0.290" in owner_client.get(reverse("sizing:items", args=["aircleaner"])).content.decode()
    edit = reverse("sizing:edit", args=["aircleaner", cleaner.pk])
    form = owner_client.get(edit).context["form"]
    with shown_in(workshop.unit_choices):
        typed = {name: form[name].value() for name in form.fields if form[name].value() is not None}
    owner_client.post(edit, typed | {"loss_clean_kpa": "0.5"})
    cleaner.refresh_from_db()
    assert cleaner.loss_clean_kpa == pytest.approx(3.447, abs=0.001)
    assert cleaner.loss_service_kpa == 6.2  # nobody touched it
    refused = owner_client.post(edit, typed | {"loss_clean_kpa": "2"})
    assert refused.status_code == 422
    assert "2 is outside what is possible. Allowed: 0.0073 to 1.4504 psi" in refused.content.decode()  # 0.05 to 10 kPa


def test_files_keep_their_own_units_whatever_the_workshop_reads(owner_client, workshop):
    make_air_cleaner(loss_clean_kpa=2.0)
    workshop.pressure_unit = "bar"
    workshop.save()
    text = owner_client.get(reverse("sizing:export", args=["aircleaner"])).content.decode()
    header, row = text.splitlines()[:2]
    assert row.split(",")[header.split(",").index("loss_clean_kpa")] == "2"
