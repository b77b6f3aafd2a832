"""What must hold once the worked examples of DEVELOPERS.md stand in the code; run on a copy by tests/test_guide.py."""

from io import StringIO
from pathlib import Path

import polib
import pytest
from django.core.management import call_command
from django.urls import reverse
from django.utils import translation

from measurements.guided.sheets import SHEET
from measurements.logs.parsing.names import guess
from measurements.phone.data import sheet_data
from measurements.phone.sheet import reading_sheet_of
from measurements.readings.actions import record_point
from measurements.verdict.findings import judge_all
from shop.jobs.moves import MoveRefused, move_job
from sizing.calculators.table import calculate
from sizing.units.conversion import convert
from tests.builders import NOW, make_job
from tests.measurements.builders import job_in_run

ROOT = Path(__file__).resolve().parents[2]


def test_the_limit_is_judged_on_the_server_and_sent_to_the_phone(technician):
    job, run = job_in_run(technician)
    point = record_point(
        job, "after", 3000, 100, {"exhaust_back_pressure_kpa": 40.0}, technician, run=run, taken_at=NOW
    )
    [told] = judge_all([point], run.plan)[0].told
    assert told.word == "off_plan"
    assert "25" in told.sentence
    rows = sheet_data(reading_sheet_of(job, "after"), technician)["limits"]
    assert "exhaust_back_pressure_kpa" in {row["quantity"] for row in rows}


def test_the_calculator_answers(owner_client):
    """2.4 L at 3,000 rpm: a four-stroke fills 1,500 times a minute, 60 L/s."""
    assert calculate("swept-air", {"displacement_l": 2.4, "speed_rpm": 3000})["swept_l_s"] == pytest.approx(60.0)
    page = owner_client.get(
        reverse("sizing:calculator", args=["swept-air"]), {"displacement_l": "2.4", "speed_rpm": "3000"}
    )
    assert "60.0" in page.content.decode()
    said = StringIO()
    call_command("calculate", "swept-air", "displacement_l=2.4", "speed_rpm=3000", stdout=said)
    assert "60" in said.getvalue()


def test_the_unit_and_the_word_are_understood():
    """1 mmHg is 133.322 Pa (NIST SP 811, appendix B.8)."""
    assert guess("Ladedruck [mmHg]") == ("boost_kpa", "mmHg")
    assert convert(750.0, "mmHg", "kPa") == pytest.approx(99.9915, rel=1e-5)


def test_the_guided_sheet_is_asked(technician, technician_client):
    job = make_job(technician)
    page = technician_client.get(reverse("measurements:guided_sheet", args=[job.pk, "cooling_fan"])).content.decode()
    assert "Fan speed" in page
    assert SHEET["cooling_fan"].caution in page.replace("&#x27;", "'")


def test_the_language_is_spoken(owner, settings):
    source = ROOT / "shop" / "locale" / "qav" / "LC_MESSAGES" / "django.po"
    polib.pofile(str(source)).save_as_mofile(str(source.with_suffix(".mo")))
    assert "qav" in dict(settings.LANGUAGES)
    with translation.override("qav"), pytest.raises(MoveRefused) as refused:
        move_job(make_job(owner), "surveyed", owner)
    with translation.override("qav"):
        assert str(refused.value) == "Foli nai plenu."


def test_the_page_is_there_for_those_who_may_see_it(technician_client, client):
    page = technician_client.get(reverse("measurements:causes"))
    assert page.status_code == 200
    assert "Restricted air cleaner" in page.content.decode()
    assert client.get(reverse("measurements:causes")).status_code == 302
