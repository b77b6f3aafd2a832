"""How one reading is judged and what is said of it, by the table of cases that the phone's script is held to as well."""

import json
import re
from pathlib import Path

import pytest

from measurements.phone.data import quantity_rows
from measurements.phone.words import phone_words
from measurements.verdict.checks import Limit, Measured, judge_reading
from measurements.verdict.limit_tables import phone_rules
from measurements.verdict.telling import tell
from sizing.units.display import shown_in
from tests.sizing.units.test_figure_cases import FIELDS

CASES = Path(__file__).parents[2] / "cases"
TABLE = json.loads((CASES / "judging.json").read_text())
WORDS = [(group, *case) for group in TABLE["words"] for case in group["cases"]]


def _judge(case: dict, value: float):
    limit = TABLE["limits"].get(case.get("limit"))
    limits = []
    if limit:
        stop_beyond = None if limit["stop_at"] is None else abs(limit["stop_at"] - limit["value"])
        named = {name: limit[name] for name in ("quantity", "value", "source", "direction", "edge")}
        limits.append(Limit(**named, stop_beyond=stop_beyond))
    measured = Measured(case["quantity"], value, case.get("place", ""), case.get("uncertainty"))
    band = tuple(case["band"]) if "band" in case else None
    return judge_reading(measured, band, limits, case.get("load_pct", 100))


@pytest.mark.parametrize(("group", "value", "word"), WORDS, ids=lambda x: x["why"] if isinstance(x, dict) else str(x))
def test_a_reading_gets_its_word(group, value, word):
    finding = _judge(group, value)
    assert finding.word == word
    assert finding.note == group.get("note", "")
    assert (finding.band is not None) == group.get("compared", "band" in group)


@pytest.mark.parametrize("case", TABLE["sentences"], ids=lambda case: case["says"])
def test_the_sentence_names_all_that_the_word_stands_on(case):
    assert str(tell(_judge(case, case["value"]))) == case["says"]


def test_the_words_of_the_table_are_those_that_phones_are_sent():
    assert phone_words() == json.loads((CASES / "words.json").read_text())
    for words in phone_words().values():
        assert re.sub(r"%%|%\(\w+\)s", "", words).count("%") == 0  # all that the phone can fill in


def test_the_table_speaks_of_the_rules_and_units_that_phones_are_sent():
    sent = phone_rules()
    assert {name: sent[name] for name in TABLE["rules"]} == TABLE["rules"]
    rows = quantity_rows()
    assert {slug: {name: rows[slug][name] for name in row} for slug, row in TABLE["quantities"].items()} == TABLE[
        "quantities"
    ]


@pytest.mark.parametrize("field", FIELDS, ids=lambda field: field["row"]["unit"])
def test_the_fields_of_the_table_of_figures_are_those_that_phones_are_sent(field):
    with shown_in(field["choices"]):
        row = quantity_rows()[field["slug"]]
    assert {
        name: pytest.approx(row[name], rel=1e-6) if name in ("factor", "offset") else row[name] for name in row
    } == field["row"]
