"""The catalogue as CSV: out, in, what is refused, and what a spreadsheet must not run."""

import csv
import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from openpyxl import Workbook

from sizing.catalogue.models import Plunger, Pump, Turbo
from sizing.tables.named import MAX_BYTES
from tests.builders import make_air_cleaner, make_cooler, make_plunger, make_turbo

pytestmark = pytest.mark.django_db


def upload(client, slug, text, name="file.csv"):
    data = text.encode() if isinstance(text, str) else text
    return client.post(reverse("sizing:import", args=[slug]), {"file": SimpleUploadedFile(name, data)})


def confirm(client, slug, response):
    given = {name: response.context["form"][name].value() for name in ("text", "digest")}
    return client.post(reverse("sizing:confirm_import", args=[slug]), given)


def exported(client, slug, **query):
    response = client.get(reverse("sizing:export", args=[slug]), query)
    assert response["Content-Type"].startswith("text/csv")
    return response.content.decode()


@pytest.mark.parametrize(
    ("slug", "make"),
    [
        (
            "turbo",
            lambda: make_turbo(turbine_flow_kg_s=0.0512345, price=1250, wastegate=True, note='two\nlines, "quoted"'),
        ),
        ("turbo", lambda: make_turbo(make="=Ostrel", note="'=kept", source="-5 in stock")),
        ("pump", lambda: make_plunger().pump),
        ("plunger", lambda: make_plunger(7.5, price=80)),
        ("aircleaner", make_air_cleaner),
        ("cooler", make_cooler),
    ],
)
def test_what_goes_out_comes_in_as_no_change(owner_client, slug, make):
    make()
    response = upload(owner_client, slug, exported(owner_client, slug))
    preview = response.context["preview"]
    assert (len(preview.added), len(preview.changed), preview.refused, preview.same_count) == (0, 0, [], 1)


@pytest.mark.parametrize(
    ("slug", "make", "model"),
    [
        ("turbo", lambda: make_turbo(turbine_flow_kg_s=0.0512345, price=1250, note="=SUM(A1)"), Turbo),
        ("plunger", lambda: make_plunger(7.5, price=80), Plunger),
    ],
)
def test_what_goes_out_and_is_lost_comes_back_the_same(owner_client, slug, make, model):
    thing = make()
    before = {f.name: getattr(thing, f.name) for f in model._meta.fields if f.name != "id"}
    text = exported(owner_client, slug)
    thing.delete()
    assert confirm(owner_client, slug, upload(owner_client, slug, text)).status_code == 302
    back = model.objects.get()
    assert {name: getattr(back, name) for name in before} == before


@pytest.mark.parametrize("text", ["=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1", "＝1+1", '=HYPERLINK("x")'])
def test_no_cell_is_run_by_a_spreadsheet(desk_client, text):
    make_turbo(note=text)
    row = next(csv.DictReader(io.StringIO(exported(desk_client, "turbo"))))
    assert row["note"] == f"'{text}"


def test_the_export_holds_what_the_list_shows(desk_client):
    make_turbo(name="Here", stock_count=1)
    make_turbo(name="Away")
    make_turbo(name="Gone", stock_count=1, retired=True)
    rows = list(csv.DictReader(io.StringIO(exported(desk_client, "turbo", stock="yes"))))
    assert [row["name"] for row in rows] == ["Here"]


def test_the_preview_shows_and_stores_nothing_until_it_is_confirmed(owner_client):
    make_turbo(make="Ostrel", name="T1", stock_count=3, weight_kg=6.2)
    response = upload(owner_client, "turbo", "make;name;stock_count;weight_kg\nOstrel;T1;5;6,2\nOstrel;T2;1;7,5\n")
    page = response.content.decode()
    assert response.status_code == 200
    assert "1 to add, 1 to change" in page
    assert Turbo.objects.count() == 1
    assert confirm(owner_client, "turbo", response).status_code == 302
    assert Turbo.objects.get(name="T1").stock_count == 5
    assert Turbo.objects.get(name="T1").compressor_exducer_mm == 49  # a column that is not in the file stays
    assert Turbo.objects.get(name="T2").weight_kg == 7.5


def test_confirming_twice_stores_once(owner_client):
    response = upload(owner_client, "turbo", "make,name\nOstrel,T1\n")
    assert confirm(owner_client, "turbo", response).status_code == 302
    assert confirm(owner_client, "turbo", response).status_code == 302
    assert Turbo.objects.count() == 1


def test_a_catalogue_changed_in_between_is_shown_again_instead_of_overwritten(owner_client):
    turbo = make_turbo(make="Ostrel", name="T1", stock_count=3)
    response = upload(owner_client, "turbo", "make,name,stock_count\nOstrel,T1,5\n")
    Turbo.objects.filter(pk=turbo.pk).update(stock_count=2)
    again = confirm(owner_client, "turbo", response)
    assert again.status_code == 409
    assert "has changed since you looked" in again.content.decode()
    assert Turbo.objects.get().stock_count == 2
    assert confirm(owner_client, "turbo", again).status_code == 302
    assert Turbo.objects.get().stock_count == 5


@pytest.mark.parametrize(
    ("slug", "text", "line", "column", "value", "why"),
    [
        ("turbo", "make,name,weight_kg\nO,A,6\nO,B,-1\n", 3, "weight_kg", "-1", "Allowed: 0.05 to 500 kg"),
        ("turbo", "make,name,weight_kg\nO,A,six\n", 2, "weight_kg", "six", "is not a number"),
        ("turbo", "make,name,wastegate\nO,A,perhaps\n", 2, "wastegate", "perhaps", "Allowed: yes, no"),
        ("turbo", "make,name\nO,A\nO,A\n", 3, "name", "A", "Line 2 names the same thing"),
        ("turbo", "make,name\n,A\n", 2, "make", "", "must not be empty"),
        (
            "pump",
            "make,name,kind,governor\nO,A,steam,mechanical\n",
            2,
            "kind",
            "steam",
            "steam is not one of the available choices",
        ),
        ("pump", "make,name,kind\nO,A,inline\n", 2, "governor", "", "required"),
        (
            "plunger",
            "make,name,diameter_mm,effective_stroke_max_mm\nO,None,7,3\n",
            2,
            "name",
            "O None",
            "no injection pump",
        ),
        ("plunger", "make,name,diameter_mm\nO,A,thick\n", 2, "diameter_mm", "thick", "is not a number"),
        (
            "cooler",
            "make,name,effectiveness_ratio,loss_kpa,rated_flow_kg_s\nO,A,70,6,0.1\n",
            2,
            "effectiveness_ratio",
            "70",
            "Allowed: 0.2 to 0.98",
        ),
    ],
)
def test_a_refused_cell_is_named_with_line_column_value_and_reason(owner_client, slug, text, line, column, value, why):
    refused = upload(owner_client, slug, text).context["preview"].refused
    assert [(r.line, r.column, r.value) for r in refused] == [(line, column, value)]
    assert why in refused[0].why


def test_good_rows_go_in_when_others_are_refused(owner_client):
    response = upload(owner_client, "turbo", "make,name,weight_kg\nO,Good,6\nO,Bad,-1\n")
    assert "1 cell refused" in response.content.decode()
    confirm(owner_client, "turbo", response)
    assert [t.name for t in Turbo.objects.all()] == ["Good"]


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "The file is empty"),
        (b"   \n\n", "The file is empty"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\xff\xfe", "This is a picture (PNG), not a table"),
        (b"make,name\n", "no rows under it"),
        (b"make\nOstrel\n", "No column named name"),
        (b"make,name,colour\nO,A,red\n", "The column &#x27;colour&#x27; is not known"),
        (b"make,name,name\nO,A,B\n", "stands there twice"),
        (b"make,name,weight_kg\nO,A,6,5\n", "Line 2 has 4 cells, the header has 3"),
        (b'make,name\n"O,A\n', "cannot be read as CSV"),
        (b"make,name\n" + b"O" * MAX_BYTES, "Allowed: up to 2,097,152"),
    ],
)
def test_a_file_that_is_no_table_is_refused_with_its_reason(owner_client, data, why):
    response = upload(owner_client, "turbo", data)
    assert response.status_code == 422
    assert why in response.content.decode()
    assert not Turbo.objects.exists()


def test_no_file_at_all_is_said(owner_client):
    response = owner_client.post(reverse("sizing:import", args=["turbo"]))
    assert response.status_code == 422
    assert "This field is required" in response.content.decode()


def test_a_table_saved_as_utf_16_with_tabs_is_read(owner_client):
    response = upload(owner_client, "turbo", "make\tname\nOstrél\tT1\n".encode("utf-16"))
    confirm(owner_client, "turbo", response)
    assert Turbo.objects.get().make == "Ostrél"


def test_a_confirmation_without_its_file_asks_for_it_again(owner_client):
    response = owner_client.post(reverse("sizing:confirm_import", args=["turbo"]), {"digest": "x"})
    assert response.status_code == 302
    assert response["Location"] == reverse("sizing:import", args=["turbo"])


def test_plungers_come_in_for_the_pumps_that_are_there(owner_client):
    Pump.objects.create(make="Ostrel", name="P4", kind="inline", governor="mechanical")
    text = "make,name,diameter_mm,effective_stroke_max_mm\nOstrel,P4,6,3.2\nOstrel,P4,7.5,3.2\n"
    confirm(owner_client, "plunger", upload(owner_client, "plunger", text))
    assert [p.diameter_mm for p in Pump.objects.get().plungers.all()] == [6, 7.5]


def test_an_import_needs_no_more_queries_for_200_rows_than_for_2(owner_client, django_assert_max_num_queries):
    def count(rows):
        text = "make,name,weight_kg\n" + "".join(f"O,{i},6\n" for i in range(rows))
        with django_assert_max_num_queries(30) as captured:
            upload(owner_client, "turbo", text)
        return len(captured)

    count(2)
    assert count(200) == count(2)


def test_a_spreadsheet_is_shown_and_stored_as_a_csv_is(owner_client):
    book, out = Workbook(), io.BytesIO()
    for row in (("make", "name", "weight_kg", "wastegate"), ("Ostrél", "T1", 6.234, True), ("Ostrél", "T2", 7, False)):
        book.active.append(row)
    book.save(out)
    assert confirm(owner_client, "turbo", upload(owner_client, "turbo", out.getvalue(), "file.xlsx")).status_code == 302
    assert list(Turbo.objects.order_by("name").values_list("make", "weight_kg", "wastegate")) == [
        ("Ostrél", 6.234, True),
        ("Ostrél", 7, False),
    ]


def test_a_table_of_an_old_desk_with_decimal_commas_is_stored(owner_client):
    text = "make;name;weight_kg\nOstrél;T1;6,2\nOstrél;T2;1,234\n".encode("cp1252")
    assert confirm(owner_client, "turbo", upload(owner_client, "turbo", text)).status_code == 302
    assert list(Turbo.objects.order_by("name").values_list("make", "weight_kg")) == [("Ostrél", 6.2), ("Ostrél", 1.234)]
