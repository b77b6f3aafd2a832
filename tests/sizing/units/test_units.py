"""Conversion factors against NIST Special Publication 811 (2008), appendix B.8 (from memory, apart from exact definitions)."""

import pytest

from sizing.physics.limits.values import WORST_FIRST
from sizing.templatetags.quantities import figure_html, verdict
from sizing.units.conversion import UnknownUnit, convert, convert_difference
from sizing.units.display import shown_in
from sizing.units.figures import difference, number, spread, to_shown, to_stored, unit
from sizing.units.quantities import QUANTITIES, UNIT_CHOICES

NIST = [
    (1, "psi", "kPa", 6.894757),
    (1, "bar", "kPa", 100),
    (1, "inHg", "kPa", 3.386389),
    (1, "hp metric", "kW", 0.7354988),
    (1, "hp imperial", "kW", 0.7456999),
    (1, "lbf·ft", "Nm", 1.355818),
    (1, "lb/s", "kg/s", 0.4535924),
    (1, "lb/min", "kg/s", 0.007559873),
    (1, "mph", "km/h", 1.609344),
    (1, "in", "mm", 25.4),
    (1, "ft³/min", "m³/h", 1.699011),
    (212, "°F", "°C", 100),
    (-40, "°F", "°C", -40),
    (0, "°C", "K", 273.15),
    (518.67, "°R", "K", 288.15),
    (1, "cm³/1000 strokes", "mm³/stroke", 1),  # checks.csv IP-01: 80 cm³ per 1000 strokes is 80 mm³ a stroke
    (3000, "rpm", "rad/s", 314.15927),
]


@pytest.mark.parametrize(("value", "given", "wanted", "expected"), NIST)
def test_factors_agree_with_the_published_table(value, given, wanted, expected):
    assert convert(value, given, wanted) == pytest.approx(expected, rel=1e-6)
    assert convert(expected, wanted, given) == pytest.approx(value, rel=1e-6)


def test_a_difference_of_temperatures_has_no_zero_point():
    assert convert_difference(10, "°C", "°F") == pytest.approx(18)  # 9/5, by definition


@pytest.mark.parametrize(("given", "wanted"), [("furlong", "mm"), ("kPa", "°C"), ("kW", "")])
def test_unknown_or_mixed_units_are_refused_by_name(given, wanted):
    with pytest.raises(UnknownUnit, match=given if given == "furlong" else "kPa|known"):
        convert(1, given, wanted)


@pytest.mark.parametrize("quantity", QUANTITIES.values(), ids=QUANTITIES)
def test_every_quantity_comes_back_from_every_unit_it_is_shown_in(quantity):
    units = UNIT_CHOICES.get(quantity.choice, [quantity.unit])
    assert quantity.unit in units
    for shown in units:
        with shown_in({quantity.choice: shown}):
            for value in (quantity.low, quantity.high, (quantity.low + quantity.high) / 3):
                assert to_stored(to_shown(value, quantity), quantity) == pytest.approx(value, abs=1e-9)


def test_figures_stand_in_the_units_of_the_shop_with_gauge_said():
    assert (number(140, "boost_kpa"), unit("boost_kpa")) == ("140", "kPa gauge")
    with shown_in({"pressure": "bar", "temperature": "°F", "power": "hp metric"}):
        assert (number(140, "boost_kpa"), unit("boost_kpa")) == ("1.40", "bar gauge")
        assert number(100, "exhaust_temperature_c") == "212"
        assert difference(10, "exhaust_temperature_c") == "+18"
        assert "<small" in figure_html(73.549875, "power_kw")
        assert number(73.549875, "power_kw") == "100.0"
    assert number(None, "boost_kpa") == "not known"
    assert spread((5.5, 6.0), "delivery_mm3") == "5.5 to 6.0"
    assert number(-0.2, "exhaust_temperature_c") == "0"


def test_a_verdict_is_a_word_and_a_shape():
    words = {"on_plan": "on plan", "near_edge": "near the edge", "off_plan": "off plan", "stop": "stop"}
    assert set(words) == set(WORST_FIRST)
    for code, word in words.items():
        assert verdict(code).endswith(f"</svg>{word}</span>")
        assert "<svg" in verdict(code)
    assert "no verdict yet" in verdict("")
