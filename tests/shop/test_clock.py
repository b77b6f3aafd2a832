"""The workshop's clock, not the server's (UTC here), says which day it is: at the desk, in refusals, in commands."""

from datetime import UTC, datetime, timedelta

import pytest
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone

from shop.clock import workshop_clock
from shop.follow_up.models import FollowUp
from shop.jobs.models import JobCard
from shop.people.forms import VehicleForm
from tests.builders import make_job, make_workshop

pytestmark = pytest.mark.django_db
ZONES = ["Etc/GMT-12", "America/Bogota", "Etc/GMT+10"]  # UTC+12, -5 and -10: POSIX writes them the other way round


def day_there(zone: str):
    hours = {"Etc/GMT-12": 12, "America/Bogota": -5, "Etc/GMT+10": -10}[zone]
    return (timezone.now() + timedelta(hours=hours)).date()


@pytest.mark.any_hour
@pytest.mark.parametrize("zone", ZONES)
def test_the_clock_of_the_workshop_holds_outside_a_request_as_well(zone):
    make_workshop(time_zone=zone)
    with workshop_clock():
        assert timezone.localdate() == day_there(zone)
    assert timezone.get_current_timezone_name() == "UTC"


def test_without_a_workshop_the_clock_is_the_servers(db):
    with workshop_clock():
        assert timezone.get_current_timezone_name() == "UTC"


@pytest.mark.any_hour
@pytest.mark.parametrize("zone", ZONES)
def test_the_desk_writes_today_and_not_tomorrow(workshop, desk_client, zone):
    workshop.time_zone = zone
    workshop.save()
    job, today = make_job(stage="handed_over"), day_there(zone)
    follow_ups = reverse("shop:follow_up_new", args=[job.pk])
    for on, answer in ((today + timedelta(days=1), 422), (today, 302)):
        response = desk_client.post(follow_ups, {"on": on.isoformat(), "way": "phone", "text": "pulls well"})
        assert response.status_code == answer, (on, response.content.decode())
    assert FollowUp.objects.get().on == today


@pytest.mark.any_hour
@pytest.mark.parametrize("zone", ZONES)
def test_a_job_is_numbered_by_the_year_of_the_workshop_and_late_after_its_day(workshop, desk_client, zone):
    workshop.time_zone = zone
    workshop.save()
    today = day_there(zone)
    card = {
        "customer-name": "Mirel Tovak", "customer-phone": "555 0171", "vehicle-registration": "HL 4471", "vehicle-use": "road",
        "vehicle-make_and_model": "Korvenne Hallow", "vehicle-meter": "km", "job-wish": "More pull", "job-due_on": today.isoformat(),
    }  # fmt: skip
    assert desk_client.post(reverse("shop:job_new"), card).status_code == 302
    job = JobCard.objects.get()
    assert job.number.startswith(str(today.year))
    assert ">late<" not in desk_client.get(reverse("shop:home")).content.decode()
    job.due_on = today - timedelta(days=1)
    job.save()
    assert ">late<" in desk_client.get(reverse("shop:home")).content.decode()


@pytest.mark.any_hour
@pytest.mark.parametrize("zone", ZONES)
def test_a_vehicle_may_be_of_next_year_and_no_later(workshop, zone):
    workshop.time_zone = zone
    workshop.save()
    about = {"make_and_model": "Korvenne Hallow", "use": "road", "meter": "km"}
    next_year = day_there(zone).year + 1
    with workshop_clock():
        assert "year" not in VehicleForm(about | {"year": next_year}).errors
        assert "in the future" in str(VehicleForm(about | {"year": next_year + 1}).errors["year"])


@pytest.mark.django_db(transaction=True)  # PostgreSQL makes no database to try it in within a transaction
def test_a_backup_says_when_it_was_made_by_the_clock_of_the_workshop(workshop, tmp_path, clock, capsys):
    clock.move_to(datetime(2027, 1, 1, 3, 0, tzinfo=UTC))
    call_command("backup", str(tmp_path / "shop.zip"))
    call_command("verify_backup", str(tmp_path / "shop.zip"))
    assert "made 2026-12-31T22:00:00-05:00" in capsys.readouterr().out
