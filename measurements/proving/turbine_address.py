"""From the boost of a proving run to the page that says what it tells of the turbine."""

from collections.abc import Iterable
from urllib.parse import urlencode

from django.urls import reverse

from measurements.proving.models import ProvingRun
from measurements.readings.models import Point
from measurements.verdict.checks import FULL_LOAD_PCT
from sizing.plans.turbine.forms import ROWS, BoostReadingsForm

LEAST_BOOST_KPA = 5.0  # below, a gauge tells nothing of the turbine


def turbine_address(run: ProvingRun, points: Iterable[Point]) -> str:
    """Empty when fewer than two speeds have boost under full load; of one speed the newest reading counts."""
    boost_at = {}
    for point in sorted(points, key=lambda p: p.taken_at):
        for reading in point.standing():
            if reading.quantity == "boost_kpa" and point.load_pct >= FULL_LOAD_PCT and reading.value >= LEAST_BOOST_KPA:
                boost_at[point.speed_rpm] = reading.value
    if len(boost_at) < 2:
        return ""
    form = BoostReadingsForm()
    typed = {}
    for row, (speed, boost) in enumerate(sorted(boost_at.items())[:ROWS], 1):
        typed[f"speed_{row}"] = form.fields[f"speed_{row}"].prepare_value(speed)
        typed[f"boost_{row}"] = form.fields[f"boost_{row}"].prepare_value(boost)
    return f"{reverse('sizing:turbine_capacity', args=[run.plan_id])}?{urlencode(typed)}"
