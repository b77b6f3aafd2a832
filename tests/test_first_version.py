"""A database of the first version, in which everything happened once that a history can tell, still migrates.

`data/first_version.sqlite3.gz` was filled by the code of the first version itself, with invented people and things; what
its history said stands in it.
"""

import gzip
import json
import os
import re
import sqlite3
import subprocess
import sys
import uuid
from contextlib import closing
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
KEPT = ROOT / "tests" / "data" / "first_version.sqlite3.gz"
# Sentences that are better now: one row is no "1 rows", and a file that is no table is no table for a catalogue either.
BETTER = {
    "1 rows with another number of cells than the header left out.": "1 row with another number of cells than the header left out.",
    "1 rows without a time or a channel left out.": "1 row without a time or a channel left out.",
    "1 readings held no figure and were left out.": "1 reading held no figure and was left out.",
    "The file is empty. Save the log again on the logger and send that file.": "The file is empty. Save it again and send that.",
    ", not a log. Export the log as CSV (text with one row a reading)": ", not a table. Export the table as CSV (text)",
    "so it is no CSV log. Export the log": "so it is no CSV. Export the table",
    "or send the log itself.": "or send it as it is.",
    "which no log does. Send the log itself, not": "which no log or table does. Send it as it is, not",
    "This is an office document that is no": "This is a packed file or an office document, and no",
    "Save the log as CSV": "Save the table as CSV",
    "The spreadsheet holds nothing. Save the log": "The spreadsheet holds nothing. Save the table",
}
# What can be read in two ways is kept as it was said.
AMBIGUOUS = [
    "what the customer wants: Tow a boat: 2 t to Tow a boat to the lake: 2 t",
    "failed: injection pump at 172000 km; cause: water in the fuel; said by the station to be clean; said by the customer",
]


def better(text: str) -> str:
    for before, now in BETTER.items():
        text = re.sub(rf"(?<!\d){re.escape(before)}", now, text)
    return text


SAY = """
import json, django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from measurements.bench.dyno.models import DynoTest
from measurements.logs.models import LogFile
from measurements.proving.models import ProvingRun
from shop.jobs.models import JobEvent, JobPhoto
from shop.workshop.models import Workshop
from sizing.units.display import shown_in
with shown_in(Workshop.objects.get().unit_choices):
    print(json.dumps({
        "events": {e.pk: [e.kind, e.text, e.code, e.values] for e in JobEvent.objects.all()},
        "tests": {str(t.pk): [t.refusal, list(map(str, t.notes)), t.settings, t.curve.note, t.refusals + t.remarks] for t in DynoTest.objects.all()},
        "photos": [[p.caption, p.words] for p in JobPhoto.objects.order_by("pk")],
        "runs": {run.pk: run.verdict for run in ProvingRun.objects.all()},
        "logs": {log.pk: [log.finding, log.findings, log.part_label, log.place] for log in LogFile.objects.all()},
    }))
"""
# Kept by Django itself; a migration may add to them.
OF_DJANGO = ("django_", "auth_", "sqlite_")


def rows_of(database: Path) -> dict[str, int]:
    with closing(sqlite3.connect(database)) as connection:
        names = [name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        return {
            name: connection.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0]
            for name in names
            if not name.startswith(OF_DJANGO)
        }


def asked(database: Path, query: str) -> list[tuple]:
    with closing(sqlite3.connect(database)) as connection:
        return connection.execute(query).fetchall()


@pytest.fixture(scope="module")
def told(tmp_path_factory):
    """The database before, after, and what its history says after."""
    folder = tmp_path_factory.mktemp("first-version")
    before, after = folder / "before.sqlite3", folder / "after.sqlite3"
    for path in (before, after):
        path.write_bytes(gzip.decompress(KEPT.read_bytes()))
    environment = {
        **os.environ,
        "DATABASE_URL": f"sqlite:///{after}",
        "DATA_DIR": str(folder),
        "DJANGO_SETTINGS_MODULE": "shop.settings",
    }
    done = subprocess.run([sys.executable, "-c", SAY], cwd=ROOT, env=environment, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return before, after, json.loads(done.stdout)


def test_nothing_is_lost(told):
    before, after, _ = told
    there, here = rows_of(before), rows_of(after)
    assert {name: here.get(name) for name in there} == there
    readings = "SELECT id, quantity, value, place, reason FROM measurements_reading ORDER BY id"
    assert len(asked(before, readings)) > 20
    assert asked(after, readings) == asked(before, readings)


def test_the_history_says_what_it_said(told):
    before, _, said = told
    events = asked(before, "SELECT id, kind, text FROM shop_jobevent")
    kinds = {kind for _, kind, _ in events}
    assert len(events) == 300
    assert kinds == {
        "changed", "correction", "curve", "decision", "failure", "fitment", "follow_up", "hand_over", "log", "move",
        "opened", "part", "photo", "plan", "proving", "quote", "reading", "safety", "sheet", "smoke", "survey", "taken back",
    }  # fmt: skip
    assert {(int(pk), kind, text) for pk, (kind, text, *_) in said["events"].items()} == {
        (pk, kind, better(text)) for pk, kind, text in events
    }
    assert sorted(text for _, text, code, _ in said["events"].values() if code == "told") == sorted(AMBIGUOUS)
    assert not [
        values for _, _, code, values in said["events"].values() if code != "told" and '"told"' in json.dumps(values)
    ]


def test_the_findings_of_logs_say_what_they_said(told):
    before, _, said = told
    rows = asked(before, "SELECT id, finding, part_label FROM measurements_logfile")
    assert len(rows) == 88
    for pk, finding, part_label in rows:
        text, findings, part, _ = said["logs"][str(pk)]
        assert part == part_label
        assert text.splitlines() == better(finding).splitlines()
        assert '"told"' not in json.dumps(findings)
    codes = {found["code"] for _, findings, *_ in said["logs"].values() for found in findings}
    assert len(codes) > 25
    places = {part["code"] for *_, place in said["logs"].values() for part in place}
    assert places == {"place.file", "place.sheet", "place.recording", "place.stretch"}


def test_dyno_runs_say_what_they_said(told):
    before, _, said = told
    rows = asked(before, "SELECT id, refusal, notes, setup, place FROM measurements_dynotest")
    assert len(rows) == 5
    for pk, refusal, notes, setup, _place in rows:
        now = said["tests"][str(uuid.UUID(pk))]
        assert now[:4] == [refusal, notes.splitlines(), json.loads(setup), ""]
        assert '"told"' not in json.dumps(now[4])


def test_a_photo_is_named_as_it_was(told):
    before, _, said = told
    captions = [caption for (caption,) in asked(before, "SELECT caption FROM shop_jobphoto ORDER BY id")]
    assert captions == ["the pump, from above", "", "Pump bench"]
    assert said["photos"] == [["the pump, from above", "the pump, from above"], ["", ""], ["", "Pump bench"]]


def test_figures_are_kept_in_stored_units(told):
    _, _, said = told
    [values] = [v for _, text, _, v in said["events"].values() if text.startswith("read, after hand-over")]
    assert values["readings"] == [{"way": "reading", "of": "boost_kpa", "value": 79.0}]  # read as 0.79 bar


def test_verdicts_are_kept_as_codes(told):
    before, _, said = told
    codes = {"": "", "on plan": "on_plan", "near the edge": "near_edge", "off plan": "off_plan", "stop": "stop"}
    rows = asked(before, "SELECT id, verdict FROM measurements_provingrun")
    assert {word for _, word in rows} - {"", "stop"}
    assert said["runs"] == {str(pk): codes[word] for pk, word in rows}
    kept = [
        v["verdict"]["value"] for _, _, _, v in said["events"].values() if v.get("verdict", {}).get("of") == "verdict"
    ]
    assert set(kept) - {"stop"}
    assert set(kept) <= set(codes.values())
