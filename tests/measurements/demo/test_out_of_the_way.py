"""The app does not know that a demo is being filled: locks and events are taken as on a working day."""

import re
from datetime import date
from pathlib import Path

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from measurements.demo.load import load_demo
from shop.jobs.models import JobEvent

ROOT = Path(__file__).resolve().parents[3]
DEMO = ROOT / "measurements" / "demo"


def test_only_the_demos_own_room_touches_save_points_and_nothing_else_asks_whether_it_is_being_filled():
    files = [p for floor in ("sizing", "shop", "measurements") for p in (ROOT / floor).rglob("*.py")]
    outside = [p for p in files if DEMO not in p.parents]
    assert len(outside) > 200
    for path in outside:
        found = re.findall(r"\.savepoint\b|kept_back|\bjobs\.filling\b", path.read_text())
        assert not found, f"{path.relative_to(ROOT)}: {found}"


@pytest.mark.django_db
def test_each_act_of_the_demo_writes_its_row_of_history_and_takes_its_lock():
    with CaptureQueriesContext(connection) as asked:
        load_demo(date(2026, 11, 25), lambda text: None, finished=1)
    written = [q["sql"] for q in asked.captured_queries if q["sql"].startswith('INSERT INTO "shop_jobevent"')]
    assert len(written) == JobEvent.objects.count() > 10
    if connection.features.has_select_for_update:
        assert any("FOR UPDATE" in q["sql"] for q in asked.captured_queries)
    with CaptureQueriesContext(connection) as after, transaction.atomic():
        JobEvent.objects.exists()
    assert "SAVEPOINT" in after.captured_queries[0]["sql"]  # set again as soon as the demo is in
