"""Dyno pages: a known motion in, the known power out; bad records answered in words with everything typed kept."""

import uuid

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from measurements.bench.curves.models import PowerCurve
from measurements.bench.dyno.models import DynoTest
from measurements.bench.dyno.run_csv import read_run
from sizing.tables.refused import FileRefused
from tests.builders import FACTS, make_job

pytestmark = pytest.mark.django_db
RAD = np.pi / 30


@pytest.fixture
def job(technician):
    return make_job(technician, facts=FACTS)


def csv_of(header: str, *columns) -> bytes:
    rows = [",".join(f"{v:.6f}" for v in row) for row in zip(*columns, strict=True)]
    return "\n".join([header, *rows]).encode()


def drum_csv() -> bytes:
    # 300 Nm on 60 kg m² is 5 rad/s every second
    time = np.arange(0, 16, 0.05)
    return csv_of("time_s,drum_speed_rpm", time, 5.0 * (time + 6) / RAD)


def send(client, job, kind, record: bytes, **fields):
    data = {"test_id": str(uuid.uuid4()), "phase": "before", "file": SimpleUploadedFile("run.csv", record)} | fields
    return client.post(reverse("measurements:dyno_new", args=[job.pk, kind]), data)


DRUM = {"inertia_kg_m2": "60", "speed_ratio": "3", "inertia_uncertainty_pct": "2"}
AIR = {"air_temperature_c": "25", "air_pressure_kpa": "99", "relative_humidity_pct": "30"}
ENGINE = {
    "engine_class": "r85:natural",
    "delivery_mm3": "45",
    "fuel_density_kg_l": "0.835",
    "cylinder_count": "4",
    "displacement_l": "2.5",
}


def test_drum_run_from_file_to_page(technician_client, job):
    answer = send(technician_client, job, "drum", drum_csv(), **DRUM)
    assert answer.status_code == 302
    test = DynoTest.objects.get()
    # constant drum torque: engine torque 300 / 3 Nm; power I w a at the fastest step, 60 x 5 x w
    assert [p.torque_nm for p in test.curve.points.all()] == pytest.approx(
        [100.0] * test.curve.points.count(), rel=1e-4
    )
    assert test.highest_kw == pytest.approx(60 * 5 * test.highest_at_rpm / 3 * RAD / 1000, rel=1e-4)
    # 2 % inertia and twice 0.5 % speed
    assert test.highest_uncertainty_kw / test.highest_kw == pytest.approx(np.hypot(0.02, 0.01), rel=0.02)
    assert (test.place, test.curve.kind) == ("wheels", "drum")
    page = technician_client.get(answer.url).content.decode()
    assert "Driveline loss was not measured" in page
    assert "air pressure" in test.refusal
    assert "The power is as measured" in page
    with test.record.open("rb") as file:
        assert file.read() == drum_csv()
    assert technician_client.get(reverse("measurements:dyno", args=[job.pk])).status_code == 200


def test_run_down_brings_the_figure_to_the_flywheel(technician_client, job):
    time = np.arange(0, 60, 0.1)
    down = csv_of("time_s,drum_speed_rpm", time, (120 - 50 / 60 * time) / RAD)  # 50 Nm of friction
    answer = send(technician_client, job, "drum", drum_csv(), **DRUM, run_down=SimpleUploadedFile("down.csv", down))
    assert answer.status_code == 302
    test = DynoTest.objects.get()
    assert test.place == "flywheel"
    assert test.curve.points.first().torque_nm == pytest.approx(350 / 3, rel=1e-3)  # (300 + 50) / 3


def test_brake_run_corrected_by_the_standard(technician_client, job):
    record = b"engine_speed_rpm;torque_Nm\n2000;150\n3000;140\n4000;120\n"
    answer = send(
        technician_client,
        job,
        "brake",
        record,
        torque_uncertainty_pct="2",
        **AIR | {"air_pressure_kpa": "95"},
        **ENGINE,
    )
    assert answer.status_code == 302
    test = DynoTest.objects.get()
    # by hand: 120 Nm at 4000 rpm is 50.27 kW; q = 45 x 4 x 0.835 / 2.5 = 60.12, fm = 1.0243;
    # dry pressure 95 - 0.3 x 3.1698 = 94.049 kPa; fa = (99/94.049)(298.15/298)^0.7 = 1.05301
    assert test.highest_kw == pytest.approx(50.265, abs=0.01)
    assert test.correction_factor == pytest.approx((99 / 94.0491 * (298.15 / 298) ** 0.7) ** 1.02432, rel=1e-4)
    assert test.corrected_kw == pytest.approx(test.highest_kw * test.correction_factor)
    assert test.corrected_uncertainty_kw == pytest.approx(0.02 * test.corrected_kw, rel=1e-6)
    page = technician_client.get(answer.url).content.decode()
    assert "Corrected to standard air" in page
    assert "UN Regulation 85" in page


def test_highland_run_keeps_its_measured_figure(technician_client, job):
    record = b"engine_speed_rpm;torque_Nm\n2000;150\n4000;120\n"
    answer = send(
        technician_client, job, "brake", record, **AIR | {"air_pressure_kpa": "74", "air_temperature_c": "15"}, **ENGINE
    )
    test = DynoTest.objects.get()
    assert (test.corrected_kw, test.highest_kw) == (None, pytest.approx(50.265, abs=0.01))
    page = technician_client.get(answer.url).content.decode()
    # dry pressure 74 - 0.3 x 1.706 kPa of saturated vapour at 15 °C (steam tables) = 73.5 kPa
    assert "Dry air pressure 73.5 kPa is outside 80 to 110 kPa, the range of UN Regulation 85 and ISO 1585." in page
    assert "The power stays as measured" in page
    assert "nothing is claimed of what the engine would give at sea level" in page
    assert "with the same air" not in page, "no other factor is offered in its place"
    assert test.notes == [], "and no note lends weight to a correction that is not made"
    assert "At 2,600 m the air has about 74 kPa" in page


def test_road_run_at_the_wheels(technician_client, job):
    # constant 2 m/s² with 1500 kg and 4 % rotating share, next to no drag: force by Newton
    time = np.arange(0, 10, 0.1)
    record = csv_of("time_s,road_speed_km_h", time, (8 + 2.0 * time) * 3.6)
    fields = {
        "mass_kg": "1500", "mass_uncertainty_kg": "30", "drag_area_m2": "0.1", "drag_area_uncertainty_m2": "0.02", "rolling_resistance": "0.012",
        "rolling_resistance_uncertainty": "0.002", "slope_pct": "0", "slope_uncertainty_pct": "0.5", "engine_rpm_per_km_h": "40",
    }  # fmt: skip
    answer = send(technician_client, job, "road", record, **fields, **AIR)
    assert answer.status_code == 302
    test = DynoTest.objects.get()
    speed = test.highest_at_rpm / 40 / 3.6
    density = 99e3 / (287.05 * 298.15)
    force = 1500 * 1.04 * 2 + 1500 * 9.80665 * 0.012 + 0.5 * density * 0.1 * speed**2
    assert test.highest_kw == pytest.approx(force * speed / 1000, rel=2e-3)
    assert test.place == "wheels"
    assert test.highest_uncertainty_kw > 0.02 * test.highest_kw


def test_sent_twice_is_stored_once(technician_client, job):
    test_id = str(uuid.uuid4())
    for _ in range(2):
        assert send(technician_client, job, "drum", drum_csv(), **DRUM, test_id=test_id).status_code == 302
    assert DynoTest.objects.count() == PowerCurve.objects.count() == 1
    other = send(technician_client, job, "brake", b"engine_speed_rpm;torque_Nm\n2000;150\n4000;120\n", test_id=test_id)
    assert other.status_code == 422


@pytest.mark.parametrize(
    ("kind", "record", "fields", "said"),
    [
        ("drum", b"", DRUM, "The file is empty"),
        ("drum", b"\x00\x01\x02", DRUM, "not text"),
        ("drum", b"time_s,drum_speed_rpm\n0,1\n1,2\n", DRUM, "2 samples; a record needs at least 12"),
        ("drum", b"time_s,boost_kpa\n0,1\n1,2\n", DRUM, "No column named drum_speed_rpm"),
        ("drum", b"time_s,drum_speed_rpm\n0,300\n1,x\n2,320\n", DRUM, "Line 3"),
        ("drum", drum_csv(), DRUM | {"inertia_kg_m2": "-2"}, "Allowed: 0.01 to 10000 kg m²"),
        ("drum", drum_csv(), DRUM | {"speed_ratio": ""}, "required"),
        ("drum", drum_csv(), DRUM | {"speed_ratio": "60"}, "Engine speed rpm is"),
        ("drum", drum_csv(), DRUM | {"run_down": SimpleUploadedFile("d.csv", b"a;b")}, "Run-down"),
        ("brake", b"engine_speed_rpm;torque_Nm\n2000;150\n", {}, "at least two"),
        ("brake", b"engine_speed_rpm;torque_Nm\n2000;-150\n3000;100\n", {}, "Torque nm is -150 Nm"),
        ("brake", b"engine_speed_rpm;torque_Nm\n2000;150\n3000;100\n", {"engine_class": "iso1585:none"}, "valid choice"),
        ("brake", b"engine_speed_rpm;torque_Nm\n2000;150\n3000;100\n", AIR | ENGINE | {"engine_class": "r85:turbo", "boost_kpa": "-40"}, "Pressure ratio is"),
        ("road", b"time_s,road_speed_km_h\n0,10\n", {}, "required"),
    ],
)  # fmt: skip
def test_bad_run_is_answered_in_words_with_the_typed_kept(technician_client, job, kind, record, fields, said):
    fields = dict(fields)
    if isinstance(fields.get("run_down"), SimpleUploadedFile):
        fields["run_down"] = SimpleUploadedFile("d.csv", b"a;b")
    answer = send(technician_client, job, kind, record, note="typed before", **fields)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert said in text
    assert "typed before" in text
    assert not DynoTest.objects.exists()
    assert not PowerCurve.objects.exists()


ODD = b"time_s,drum_speed_rpm\n0,300\n1,310\n"


@given(
    st.one_of(
        st.binary(max_size=400),
        st.text(max_size=200).map(str.encode),
        st.binary(max_size=60).map(lambda tail: ODD + tail),
    )
)
@example(ODD + b'2,"' + b"9" * 140_000)  # a cell longer than the reader takes
@example(b"\xff\xfet\x00i")
@example(b"time_s,drum_speed_rpm\n" + b"1e308,1e308\n" * 20)
@example(b"engine_speed_rpm;torque_Nm\n2000;150\n2000;151\n")
@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_hostile_records_are_answered_in_words(technician_client, job, record):
    for kind in ("drum", "brake"):
        answer = send(technician_client, job, kind, record, **DRUM)
        assert answer.status_code in {302, 422}
    assert DynoTest.objects.filter(curve__kind="drum").count() == 0


def test_pages_before_anything_was_entered(technician_client, desk_client, job):
    for client in (technician_client, desk_client):
        assert client.get(reverse("measurements:dyno", args=[job.pk])).status_code == 200
    for kind in ("brake", "drum", "road"):
        page = technician_client.get(reverse("measurements:dyno_new", args=[job.pk, kind]))
        assert "Straps front and rear" in page.content.decode()  # the caution where the hand is about to act
    assert technician_client.get(reverse("measurements:dyno_new", args=[job.pk, "x"])).status_code == 404


def test_units_of_a_run():
    # 60 mph is 96.56064 km/h, 1000 ms is 1 s
    times, speeds = read_run(b"time [ms];road speed [mph]\n0;60\n1000;62,5\n", "road")
    assert (times.tolist(), speeds[0]) == ([0.0, 1.0], pytest.approx(96.56064))
    with pytest.raises(FileRefused, match="No column named time_s"):
        read_run(b"a;drum_speed_rpm\n1;2\n2;3\n", "drum")
    for text in ("nan", "3_00"):
        with pytest.raises(FileRefused, match=f"Line 3, drum_speed_rpm: '{text}' is not a number"):
            read_run(f"time_s;drum_speed_rpm\n0;300\n1;{text}\n".encode(), "drum")
