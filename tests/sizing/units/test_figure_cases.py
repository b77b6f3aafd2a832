"""How numbers are read and figures written, by the table of cases that the phone's script is held to as well."""

import json
from pathlib import Path

import pytest
from django.core.exceptions import ValidationError

from sizing.units.display import shown_in
from sizing.units.fields import QuantityField
from sizing.units.figures import plain, read_number

CASES = json.loads((Path(__file__).parents[2] / "cases" / "figures.json").read_text())
FIELDS = CASES["fields"]["rows"]


@pytest.mark.parametrize(("typed", "value"), CASES["read"])
def test_what_is_typed_is_read(typed, value):
    assert read_number(typed) == value


@pytest.mark.parametrize(("why", "typed"), [(why, typed) for why, texts in CASES["refuse"].items() for typed in texts])
def test_what_is_no_plain_number_is_refused(why, typed):
    with pytest.raises(ValueError, match=why):
        read_number(typed)


@pytest.mark.parametrize(("value", "decimals", "text"), CASES["write"]["rows"])
def test_figures_are_written(value, decimals, text):
    assert plain(value, decimals) == text


@pytest.mark.parametrize(("field", "typed", "value"), [(f, *case) for f in FIELDS for case in f["stored"]])
def test_what_is_typed_in_the_shops_unit_is_stored_in_ours(field, typed, value):
    with shown_in(field["choices"]):
        assert QuantityField(field["slug"]).clean(typed) == pytest.approx(value, rel=1e-6)


@pytest.mark.parametrize(("field", "typed", "why"), [(f, *case) for f in FIELDS for case in f["refused"]])
def test_what_cannot_be_is_refused_with_field_value_and_what_is_allowed(field, typed, why):
    with shown_in(field["choices"]), pytest.raises(ValidationError) as told:
        QuantityField(field["slug"]).clean(typed)
    assert told.value.messages == [why]
