"""What a run needs beforehand: motions of our own making with closed forms, and the rows of the reference table."""

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from measurements.bench.dyno.runs import drum_energy_kj
from tests.answers import assert_not_found
from tests.builders import make_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(technician):
    return make_job(technician)


def send(client, job, what, **fields):
    return client.post(reverse("measurements:dyno_work", args=[job.pk, what]), fields)


def csv(header, *columns):
    rows = [",".join(f"{v:.6f}" for v in row) for row in zip(*columns, strict=True)]
    return SimpleUploadedFile("run.csv", "\n".join([header, *rows]).encode())


def test_a_hollow_roller_is_row_dy_09(technician_client, job):
    # DY-09: 1200 kg, radii 0.25 and 0.20 m: 61.5 kg m²
    fields = {"count": 1, "mass_kg": 1200, "outer_radius_mm": 250, "inner_radius_mm": 200, "drum_speed_rpm": 1000}
    answer = send(technician_client, job, "rollers", **fields)
    form = answer.context["form"]
    assert form.answers[0] == ("Inertia at the drum", "61.5", "kg m²")
    assert "inertia_kg_m2=61.5" in answer.context["go_on"]
    # half of 61.5 times (1000 pi / 30) squared is 337.2 kJ
    assert form.answers[-1][1] == f"{0.5 * 61.5 * (1000 * np.pi / 30) ** 2 / 1000:,.0f}"


def test_wheels_count_with_the_square_of_their_turns_as_row_dy_10(technician_client, job):
    # DY-10: 0.35 kg m² at a ratio of 4 is 5.6; two solid rollers of 1000 kg and 0.25 m are 62.5
    fields = {
        "count": 2,
        "mass_kg": 1000,
        "outer_radius_mm": 250,
        "wheels_kg_m2": "0.35",
        "wheel_ratio": 4,
        "drum_speed_rpm": 900,
    }
    assert send(technician_client, job, "rollers", **fields).context["form"].answers[0][1] == "68.1"


def test_the_plus_or_minus_of_mass_and_radius(technician_client, job):
    fields = {
        "count": 1,
        "mass_kg": 1000,
        "outer_radius_mm": 250,
        "drum_speed_rpm": 900,
        "mass_uncertainty_pct": 3,
        "radius_uncertainty_pct": 2,
    }
    # GUM 5.1: root of 3 squared and (2 x 2) squared is 5
    assert ("Plus or minus", "5", "%") in send(technician_client, job, "rollers", **fields).context["form"].answers


def test_energy_is_what_a_steady_power_puts_in():
    # 30 kW for 10 s is 300 kJ: from standstill 60 kg m² then turns at 100 rad/s (DY-07 has the same drum)
    assert drum_energy_kj(60.0, 100.0 * 30 / np.pi) == pytest.approx(300.0)


def test_an_inner_radius_above_the_outer_is_refused(technician_client, job):
    answer = send(
        technician_client,
        job,
        "rollers",
        count=1,
        mass_kg=1000,
        outer_radius_mm=250,
        inner_radius_mm=300,
        drum_speed_rpm=900,
    )
    assert answer.status_code == 422
    assert "Inner radius: 300 mm must be under the outer radius, 250 mm" in answer.content.decode()


def test_a_run_down_with_a_linear_loss_is_an_exponential(technician_client, job):
    # I dω/dt = -b ω gives ω = ω0 exp(-b t / I), with b = 0.6 Nm s and I = 60 kg m²: 1 % a second
    time = np.arange(0, 60, 0.1)
    speed = 1200 * np.exp(-0.01 * time)
    answer = send(
        technician_client, job, "run-down", inertia_kg_m2=60, record=csv("time_s,drum_speed_rpm", time, speed)
    )
    first, _, last = answer.context["form"].answers[:3]
    for label, torque, _ in (first, last):
        rpm = float(label.split("At ")[1].split(" rpm")[0].replace(",", ""))
        assert float(torque) == pytest.approx(0.6 * rpm * np.pi / 30, rel=0.01)
    gave, takes = [
        float(word)
        for word in answer.context["form"].notes[0].replace(",", " ").split()
        if word.replace(".", "").isdigit()
    ]
    assert gave == pytest.approx(0.5 * 60 * ((1200 * np.pi / 30) ** 2 - (speed[-1] * np.pi / 30) ** 2) / 1000, rel=1e-3)
    assert takes == pytest.approx(gave, rel=0.01)


def test_a_run_down_that_does_not_slow_is_refused_in_words(technician_client, job):
    time = np.arange(0, 60, 0.1)
    answer = send(
        technician_client,
        job,
        "run-down",
        inertia_kg_m2=60,
        record=csv("time_s,drum_speed_rpm", time, np.full_like(time, 900.0)),
    )
    assert answer.status_code == 422
    assert "hardly slows down" in answer.content.decode()


def coast(slope: float) -> tuple[np.ndarray, np.ndarray]:
    """Euler steps of 1 ms of m(1+s) dv/dt = -(m g (r cos a + sin a) + half rho A v²); 1500 kg, r 0.012, A 0.8, rho 0.9."""
    angle, speed, speeds = np.arctan(slope), 25.0, []
    for _ in range(40_000):
        speeds.append(speed)
        force = 1500 * 9.80665 * (0.012 * np.cos(angle) + np.sin(angle)) + 0.5 * 0.9 * 0.8 * speed**2
        speed -= force / (1500 * 1.04) * 0.001
    return np.arange(40_000)[::100] * 0.001, np.array(speeds)[::100] * 3.6


def test_rolling_both_ways_takes_an_unknown_slope_out(technician_client, job):
    # the road rises by 0.2 % there and falls by it back, and nobody typed it; air of 0.9 kg/m³ by the ideal gas law
    there, back = coast(0.002), coast(-0.002)
    air = {"air_temperature_c": 20.0, "air_pressure_kpa": 0.9 * 287.05 * 293.15 / 1000}
    header = "time_s,road_speed_km_h"
    answer = send(
        technician_client,
        job,
        "coast-down",
        mass_kg=1500,
        record=csv(header, *there),
        record_back=csv(header, *back),
        **air,
    )
    drag, rolling, *_, half = answer.context["form"].answers
    assert float(drag[1]) == pytest.approx(0.8, rel=0.02)
    assert float(rolling[1]) == pytest.approx(0.012, rel=0.02)
    assert float(half[1]) == pytest.approx(0.002, rel=0.1)
    page = technician_client.get(answer.context["go_on"]).content.decode()
    assert 'value="1500"' in page


def test_one_way_only_is_said(technician_client, job):
    answer = send(
        technician_client,
        job,
        "coast-down",
        mass_kg=1500,
        record=csv("time_s,road_speed_km_h", *coast(0.0)),
        air_temperature_c=20,
        air_pressure_kpa=75,
    )
    assert "wind and slope are still in it" in answer.content.decode()


def test_an_unknown_page_is_not_found(technician_client, job):
    assert_not_found(technician_client.get(reverse("measurements:dyno_work", args=[job.pk, "other"])))
