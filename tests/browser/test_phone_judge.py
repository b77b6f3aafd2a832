"""In a phone's own engine the judge says the same as the server's, by the limits and bands that a sheet is really sent.

What the words must be is in `tests/cases/judging.json`; here both are asked over a grid at every quantity, place, speed, load.
"""

import itertools
import json
from datetime import timedelta
from pathlib import Path

import pytest
from django.core.serializers.json import DjangoJSONEncoder
from django.db.models import prefetch_related_objects
from django.utils import timezone

from measurements.phone.data import quantity_rows, sheet_data
from measurements.phone.sheet import reading_sheet_of
from measurements.phone.words import phone_words
from measurements.readings.actions import record_point
from measurements.readings.instruments import Instrument
from measurements.verdict.checks import Measured, judge_reading
from measurements.verdict.findings import judge_all, limits_for
from measurements.verdict.limit_table import limit_table
from measurements.verdict.phone_rules import phone_rules
from measurements.verdict.plan_side import band_table, bands_at
from measurements.verdict.telling import tell
from shop.clock import workshop_clock
from sizing.physics.limits.values import WORST_FIRST
from tests.builders import make_person, make_workshop, today
from tests.measurements.phone.builders import make_proving_job

MODULES = Path(__file__).resolve().parents[2] / "measurements" / "static" / "measurements" / "phone"
SPEEDS = [350.0, 800.0, 1014.0, 1600.0, 2333.0, 3400.0, 4000.0, 4200.0]
LOADS = [0.0, 60.0, 94.9, 95.0, 100.0]
UNCERTAINTIES = [None, 0.0, 8.0]
VALUES = {
    "boost_kpa": [0, 60, 74, 78, 79.9, 85, 91, 96, 100, 138, 139, 140, 149, 150, 151, 158, 179.9, 180, 200],
    "exhaust_temperature_c": [
        200,
        400,
        500,
        540,
        545,
        549,
        551,
        600,
        660,
        669,
        670,
        671,
        700,
        708,
        709,
        749,
        750,
        751,
        900,
    ],
    "charge_temperature_c": [20, 40, 50, 60, 70, 71, 80, 81, 90, 119, 120, 121],
    "oil_pressure_kpa": [0, 50, 69.9, 70, 71, 90, 110, 130, 180, 260, 276, 290, 296, 297, 400],
    "coolant_temperature_c": [80, 94, 95, 96, 100, 101, 109, 110, 111],
    "oil_temperature_c": [60, 119, 120, 121, 125, 126, 139, 140],
    "restriction_kpa": [1, 5.6, 5.7, 5.8, 6.2, 6.3, 9],
    "smoke_k_per_m": [0.2, 1, 1.2, 1.5, 1.9, 2.125, 2.3, 3],
    "smoke_opacity_pct": [5, 30, 40, 45, 50, 55, 60, 70],
    "lambda_ratio": [1.0, 1.1, 1.19, 1.2, 1.27, 1.28, 1.29, 1.4, 1.7, 2.2],
    "torque_nm": [40, 90, 118, 130, 140, 160, 220, 278, 300],
    "power_kw": [20, 40, 48, 50, 54, 58, 60, 70],
}
PLACES = {"exhaust_temperature_c": ["before_turbine", "after_turbine", ""], "boost_kpa": ["intake_manifold", "wheels"]}


def _cases():
    for slug, values in VALUES.items():
        for case in itertools.product(values, PLACES.get(slug, [""]), SPEEDS, LOADS, UNCERTAINTIES):
            yield (slug, *case)


def _on_a_phone(chromium, asked: str, zone_of_phone: str | None = None, **given):
    """The modules need no page of ours: an empty one loads them, and is handed the words."""
    page = chromium.new_page(timezone_id=zone_of_phone)
    page.route(
        "http://phone.test/*.js",
        lambda route: route.fulfill(path=MODULES / route.request.url.rsplit("/", 1)[1], content_type="text/javascript"),
    )
    page.route("http://phone.test/", lambda route: route.fulfill(body="<p></p>", content_type="text/html"))
    page.goto("http://phone.test/")
    given["words"] = phone_words()
    page.clock.set_fixed_time(timezone.now())
    said = page.evaluate(
        f"""async ({{ {", ".join(given)} }}) => {{
          const {{ dayIn, judgePoint, judgeReading }} = await import("/judge.js"), {{ sentence }} = await import("/figures.js");
          (await import("/words.js")).takeWords(words);
          return {asked};
        }}""",
        given,
    )
    page.close()
    return said


@pytest.mark.browser
@pytest.mark.django_db
@pytest.mark.parametrize("phase", ["before", "after"])
def test_the_phone_says_the_same_word_and_sentence_as_the_server(chromium, phase):
    make_workshop()
    _, run = make_proving_job(make_person("technician"))
    plan = run.plan
    prefetch_related_objects([plan], "inputs", "own_limits")
    speeds, table = band_table(plan) if phase == "after" else ([], {})
    sheet = {
        "phase": phase, "limits": [row.sent() for row in limit_table(plan, phase)], "rules": phone_rules(), "gauges": {}, "quantities": quantity_rows(),
        "bands": {"speeds_rpm": speeds, "by_quantity": {s: {"low": low, "high": high} for s, (low, high) in table.items()}},
    }  # fmt: skip
    cases = list(_cases())
    at_speed = bands_at(plan, SPEEDS) if phase == "after" else {}
    limits = {(speed, load): limits_for(plan, phase, speed, load) for speed in SPEEDS for load in LOADS}
    found = [
        judge_reading(Measured(slug, value, place, known), at_speed.get(speed, {}).get(slug), limits[speed, load], load)
        for slug, value, place, speed, load, known in cases
    ]
    expected = [(f.word, str(tell(f))) for f in found]
    said = _on_a_phone(
        chromium,
        "cases.map(([slug, value, place, speed, load, known]) => { const f = judgeReading(sheet, slug, value, place, known, speed, load); return [f.word, sentence(sheet, f)]; })",
        sheet=json.loads(json.dumps(sheet)),
        cases=cases,
    )
    wrong = [(case, e, s) for case, e, s in zip(cases, expected, map(tuple, said), strict=True) if e != s]
    assert not wrong, f"{len(wrong)} of {len(cases)}: {wrong[:8]}"
    assert {word for word, _ in expected} >= set(WORST_FIRST)


@pytest.mark.any_hour
@pytest.mark.browser
@pytest.mark.django_db
@pytest.mark.parametrize(
    ("value", "due", "words", "zone_of_phone"),
    [
        (84.0, -1, "past its check day", "America/Bogota"),
        (84.0, 0, "", "Pacific/Auckland"),
        (84.0, None, "", "America/Bogota"),
        (128.0, 30, "Beyond the range", "America/Bogota"),
        (128.0, -1, "past its check day", "Pacific/Auckland"),
    ],
)
def test_the_phone_says_the_same_of_the_gauge(chromium, value, due, words, zone_of_phone):
    workshop = make_workshop()
    person = make_person("technician")
    job, run = make_proving_job(person)
    day = due if due is None else today() + timedelta(days=due)
    gauge = Instrument.objects.create(
        name="Bay gauge", quantity="boost_kpa", uncertainty=2, low=0, high=120, check_due_on=day
    )
    data = json.loads(json.dumps(sheet_data(reading_sheet_of(job, "after"), person), cls=DjangoJSONEncoder))
    point = record_point(
        job, "after", 2800, 100, {"boost_kpa": value}, person, run=run, instruments={"boost_kpa": gauge}
    )
    with workshop_clock():
        expected = [told.sentence for told in judge_all([point], run.plan)[0].told]
    sent = {"speed_rpm": 2800, "load_pct": 100, "values": {"boost_kpa": value}, "gauges": {"boost_kpa": gauge.pk}}
    said = _on_a_phone(
        chromium,
        "judgePoint(sheet, point, dayIn(zone)).findings.map((f) => sentence(sheet, f))",
        zone_of_phone,
        sheet=data,
        point=sent,
        zone=workshop.time_zone,
    )
    assert said == expected
    assert words in said[0]
