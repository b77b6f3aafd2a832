"""Calculator pages and command: that the right numbers reach the right formula and come back in the workshop's units."""

import io
import json

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.urls import reverse

from sizing.calculators.table import CALCULATORS
from tests.answers import assert_not_found, assert_wrong_verb

pytestmark = pytest.mark.django_db


def page(client, slug, status=200, panel=False, **values):
    name = "sizing:calculator_panel" if panel else "sizing:calculator"
    response = client.get(reverse(name, args=[slug]), values)
    assert response.status_code == status
    return response.content.decode()


def test_the_list_leads_to_every_calculator(technician_client):
    html = technician_client.get(reverse("sizing:calculators")).content.decode()
    for slug in CALCULATORS:
        assert reverse("sizing:calculator", args=[slug]) in html
    assert reverse("sizing:units") in html


@pytest.mark.parametrize("slug", CALCULATORS)
def test_each_page_shows_formula_symbols_source_and_an_answer_at_once(technician_client, slug):
    row = CALCULATORS[slug]
    response = technician_client.get(reverse("sizing:calculator", args=[slug]))
    assert response.status_code == 200
    html = response.content.decode().replace("&#x27;", "'").replace("&amp;", "&")
    assert row.formula in html
    assert row.source in html
    assert len(response.context["answers"]) == len(row.outputs)
    for one in row.inputs:
        assert f'name="{one.name}"' in html


POWER = {"torque_nm": "250", "speed_rpm": "2400", "displacement_l": "2,5"}


@pytest.mark.parametrize("panel", [False, True])
def test_a_known_number_stands_on_the_page(technician_client, panel):
    """250 Nm at 2,400 rpm: P = 2 pi n T = 2 pi x 40 x 250 = 62.83 kW (definition of power)."""
    assert "62.8<" in page(technician_client, "power", panel=panel, **POWER)


def test_units_of_the_workshop_are_typed_and_answered(technician_client, workshop):
    """184.4 lbf·ft is 250 Nm (1 lbf·ft = 1.355818 Nm, NIST SP 811); 62.83 kW is 85.43 hp metric (0.73549875 kW)."""
    workshop.power_unit, workshop.torque_unit = "hp metric", "lbf·ft"
    workshop.save()
    html = page(technician_client, "power", **POWER | {"torque_nm": "184.39"})
    assert "85.4<" in html


def test_an_address_kept_in_other_units_is_not_read_wrongly(technician_client, workshop):
    kept = technician_client.get(reverse("sizing:calculator", args=["power"])).context["form"]["units"].value()
    assert "62.8<" in page(technician_client, "power", units=kept, **POWER)
    workshop.torque_unit = "lbf·ft"
    workshop.save()
    html = page(technician_client, "power", status=422, units=kept, **POWER)
    assert "while the workshop read other units" in html
    assert "62.8<" not in html


@pytest.mark.parametrize(
    ("slug", "values", "message"),
    [
        ("power", POWER | {"torque_nm": "-5"}, "-5 is outside what is possible. Allowed: 0 to 10000 Nm"),
        ("power", POWER | {"torque_nm": "strong"}, "&#x27;strong&#x27; is not a number"),
        ("power", POWER | {"torque_nm": ""}, "This field is required"),
        (
            "delivery",
            {
                "delivery_mm3": "45",
                "cylinder_count": "3.5",
                "speed_rpm": "2400",
                "fuel_density_15c_kg_m3": "835",
                "fuel_temperature_c": "40",
            },
            "in whole numbers",
        ),
        (
            "cooler",
            {
                "inlet_temperature_c": "120",
                "coolant_temperature_c": "25",
                "effectiveness_ratio": "0.7",
                "pressure_kpa": "60",
                "pressure_loss_kpa": "40",
            },
            "ressure behind cooler",
        ),
    ],
)
def test_what_cannot_be_is_named_and_what_was_typed_stays(technician_client, slug, values, message):
    assert message in page(technician_client, slug, status=422, panel=True, **values)
    html = page(technician_client, slug, status=422, **values)
    assert message in html
    for value in values.values():
        assert f'value="{value}"' in html or value == ""


def test_units_are_converted_into_every_unit_of_their_kind(technician_client):
    """1 bar is 100 kPa (definition) and 14.50377 psi (NIST SP 811)."""
    html = technician_client.get(reverse("sizing:units"), {"value": "1", "unit": "bar"}).content.decode()
    assert "14.50377<" in html
    assert "100<small" in html
    assert technician_client.get(reverse("sizing:units")).status_code == 200
    panel = technician_client.get(reverse("sizing:units_panel"), {"value": "212", "unit": "°F"}).content.decode()
    assert '100<small class="unit"> °C' in panel


@pytest.mark.parametrize(
    ("value", "unit", "message"), [("much", "bar", "is not a number"), ("1", "furlong", "furlong is not one of")]
)
def test_a_value_or_unit_that_is_none_is_said(technician_client, value, unit, message):
    for name in ("sizing:units", "sizing:units_panel"):
        response = technician_client.get(reverse(name), {"value": value, "unit": unit})
        assert response.status_code == 422
        assert message in response.content.decode()


@pytest.mark.parametrize(
    ("name", "args"),
    [
        ("sizing:calculators", []),
        ("sizing:calculator", ["power"]),
        ("sizing:calculator_panel", ["power"]),
        ("sizing:units", []),
        ("sizing:units_panel", []),
    ],
)
def test_a_post_is_refused(technician_client, name, args):
    assert_wrong_verb(technician_client.post(reverse(name, args=args)))


def test_an_unknown_calculator_is_not_found(technician_client):
    assert_not_found(technician_client.get(reverse("sizing:calculator", args=["wishes"])))


def run(*args):
    out = io.StringIO()
    call_command("calculate", *args, stdout=out)
    return out.getvalue()


def test_the_command_lists_and_answers():
    listed = json.loads(run("--list", "--json"))
    assert [row["name"] for row in listed] == [*CALCULATORS, "units"]
    assert "torque_nm  Torque, 0 to 10000 Nm" in run("--list")
    assert json.loads(run("power", "torque_nm=250", "speed_rpm=2400", "--json"))["power_kw"] == pytest.approx(
        62.832, abs=0.001
    )
    assert "Power: 62.8 kW" in run("power", "torque_nm=250", "speed_rpm=2400")


def test_the_command_tells_units_and_takes_a_short_bench_sheet():
    """1 bar is 14.50377 psi (NIST SP 811); lines of 58, 60, 62, 60 lie 4 of 60 mm³ apart, 6.7 %."""
    assert json.loads(run("units", "value=1", "unit=bar", "--json"))["psi"] == pytest.approx(14.50377, abs=1e-5)
    assert "14.50377 psi" in run("units", "value=1", "unit=bar")
    lines = [f"line_{k}_mm3={v}" for k, v in enumerate((58, 60, 62, 60), 1)]
    assert json.loads(run("bench-sheet", *lines, "--json"))["spread_pct"] == pytest.approx(6.667, abs=0.001)
    assert "line_8_mm3  Line 8, 1 to 600 mm³/stroke (may be left out)" in run("--list")


def test_lines_left_empty_are_not_counted(technician_client):
    """By hand: 58, 60, 62, 60 have a mean of 60.0 and a spread of 6.7 %; lambda 1.35 x 60 / 62 = 1.31."""
    lines = {f"line_{k}_mm3": str(v) for k, v in enumerate((58, 60, 62, 60, "", "", "", ""), 1)}
    html = page(technician_client, "bench-sheet", panel=True, lambda_ratio="1.35", spread_max_pct="4", **lines)
    for figure in ("60.0<", "6.7<", "−2.7<", "1.31<"):
        assert figure in html


@pytest.mark.parametrize(
    ("args", "message"),
    [
        (["units", "value=1"], "needs value=NUMBER and unit=UNIT"),
        (["units", "value=1", "unit=furlong"], "'furlong'; allowed are kPa"),
        (["units", "value=2000000000", "unit=bar"], "value is 2"),
        ([], "Name a calculator"),
        (["wishes"], "no calculator named 'wishes'"),
        (["power", "colour=1"], "no input named 'colour'"),
        (["power", "torque_nm"], "is not input=value"),
        (["power", "torque_nm=strong"], "is not a number"),
        (["power", "torque_nm=-5"], "torque nm is -5 Nm"),
    ],
)
def test_the_command_says_what_is_wrong(args, message):
    with pytest.raises(CommandError, match=message):
        call_command("calculate", *args)
