"""What is looked at first. The pairs of signs and cause are common practice of the trade, as in any repair handbook."""

import pytest

from measurements.verdict.cause_rules import CAUSES, HEALTH, SIGN_WORDS, sign_words
from measurements.verdict.causes import health_of, signs_of, suspects
from measurements.verdict.checks import Limit, Measured, judge_point

BANDS = {
    "boost_kpa": (70.0, 85.0),
    "exhaust_temperature_c": (560.0, 630.0),
    "charge_temperature_c": (60.0, 80.0),
    "power_kw": (58.0, 62.0),
}
LIMITS = [
    Limit("exhaust_temperature_c", 700.0, "", edge=30.0, stop_beyond=50.0),
    Limit("smoke_opacity_pct", 55.0, "", edge=5.0),
    Limit("restriction_kpa", 6.2, "", edge=0.5),
    Limit("coolant_temperature_c", 100.0, "", edge=5.0, stop_beyond=10.0),
    Limit("oil_pressure_kpa", 200.0, "", "min", edge=20.0, stop_beyond=130.0),
]


def titles(**values):
    return [s.cause.title for s in suspects(judge_point([Measured(q, v) for q, v in values.items()], BANDS, LIMITS))]


def test_low_boost_with_heat_and_smoke_is_the_air_side_or_the_turbine():
    found = titles(boost_kpa=45.0, exhaust_temperature_c=690.0, smoke_opacity_pct=70.0)
    assert found[0].startswith("Leak of charge air")
    assert any(t.startswith("Turbine too large") for t in found)
    assert any(t.startswith("Restricted air cleaner") for t in found)
    assert not any("Too little fuel" in t for t in found)


def test_low_boost_without_heat_and_smoke_is_too_little_fuel():
    found = titles(boost_kpa=45.0, exhaust_temperature_c=450.0, smoke_opacity_pct=5.0)
    assert "Too little fuel" in found[0]
    assert not any("Leak" in t for t in found)


def test_a_measured_restriction_comes_before_a_leak():
    found = titles(boost_kpa=45.0, exhaust_temperature_c=690.0, smoke_opacity_pct=70.0, restriction_kpa=9.0)
    assert found[0] == "Restricted air cleaner"


def test_a_free_air_cleaner_is_not_suspected():
    assert "Restricted air cleaner" not in titles(boost_kpa=45.0, exhaust_temperature_c=690.0, restriction_kpa=2.0)


def test_heat_and_smoke_with_full_boost_is_too_much_fuel():
    assert titles(boost_kpa=80.0, exhaust_temperature_c=690.0, smoke_opacity_pct=70.0)[0] == "Too much fuel"


def test_hot_charge_air_alone_is_the_cooler():
    assert titles(boost_kpa=80.0, exhaust_temperature_c=600.0, charge_temperature_c=120.0)[0].startswith("Cooler")


def test_only_boost_off_suspects_the_gauge():
    assert "A gauge to check" in titles(
        boost_kpa=45.0, exhaust_temperature_c=600.0, smoke_opacity_pct=10.0, power_kw=60.0
    )


def test_low_oil_pressure_and_hot_coolant_have_their_own():
    assert titles(oil_pressure_kpa=50.0) == ["Oil does not reach the bearings"]
    assert titles(coolant_temperature_c=115.0) == ["Cooling is at its end"]


def test_nothing_off_suspects_nothing():
    assert titles(boost_kpa=80.0, exhaust_temperature_c=600.0) == []


def test_evidence_names_what_was_seen_and_what_would_help():
    first = suspects(
        judge_point([Measured("boost_kpa", 45.0), Measured("exhaust_temperature_c", 690.0)], BANDS, LIMITS)
    )[0]
    assert "low boost" in first.evidence
    assert "heavy smoke" in first.evidence.split("surer")[1]


def test_signs_only_just_outside_count_as_fine():
    signs = signs_of(judge_point([Measured("boost_kpa", 66.0)], BANDS, []))
    assert signs == {"boost": "fine"}


@pytest.mark.parametrize("cause", [*CAUSES, *HEALTH], ids=lambda c: c.slug)
def test_every_rule_can_be_read_and_has_a_source(cause):
    assert cause.source
    assert cause.look
    assert sign_words(cause)
    for name, states in cause.signs.items():
        assert all(state in SIGN_WORDS[name] for state in states)


def test_evidence_with_figures_their_uncertainty_and_the_plan():
    found = judge_point(
        [Measured("boost_kpa", 45.0, uncertainty=3.0), Measured("exhaust_temperature_c", 690.0)], BANDS, LIMITS
    )
    first = suspects(found, with_figures=True)[0]
    assert "low boost (45 kPa gauge ± 3 kPa, plan 70 to 85 kPa gauge)" in first.evidence


def health(**values):
    return health_of(judge_point([Measured(q, v) for q, v in values.items()], {}, LIMITS))


def test_a_smoking_hot_baseline_says_rich_pump_and_not_worn_engine():
    found = health(smoke_opacity_pct=75.0, exhaust_temperature_c=740.0)
    assert found.suspects[0].cause.title.startswith("More fuel than the thin air")


def test_a_smoking_cool_baseline_says_injectors():
    found = health(smoke_opacity_pct=75.0, exhaust_temperature_c=520.0)
    assert found.suspects[0].cause.title == "Worn or leaking injectors"
    assert not any("thin air" in s.cause.title for s in found.suspects)


def test_low_oil_pressure_in_the_baseline_is_mended_before_the_fit():
    found = health(oil_pressure_kpa=90.0)
    assert "before the fit" in found.suspects[0].cause.look


def test_a_sound_baseline_says_what_is_in_order_and_what_nobody_judged():
    found = health(oil_pressure_kpa=400.0, exhaust_temperature_c=600.0)
    assert found.suspects == []
    assert found.fine == ("oil", "heat")
    assert "In order: oil pressure, exhaust temperature." in found.sentence
    assert found.not_judged == ("coolant", "restriction", "smoke")
    assert "Not judged: coolant temperature, air cleaner, smoke." in found.sentence


def test_an_empty_baseline_tells_nothing():
    assert "nothing yet" in health_of([]).sentence
