"""Brake, drum and road run against closed forms of motion, textbook figures and scipy."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.signal import savgol_filter

from measurements.bench.dyno import runs as d
from measurements.bench.dyno.run_errors import MeasurementRefused
from measurements.bench.dyno.speed_record import smoothed, speed_record
from sizing.physics.errors import OutOfRange

RAD = np.pi / 30


def test_brake():
    # Kates ch. 7 ex. 1: 129 lb at 4 ft, 1150 rpm is 113.0 bhp with the rounded constant, 112.98 with the exact one
    torque = float(d.brake_torque_nm(129 * 4.4482216, 4 * 0.3048))
    curve = d.brake_curve([1150.0, 1200.0], [torque, torque], 2.0)
    assert curve.power_kw[0] / 0.745699872 == pytest.approx(112.98, abs=0.01)
    assert (curve.kind, curve.place, curve.uncertainty_pct) == ("brake", "flywheel", pytest.approx(2.0))
    assert d.brake_curve([1000.0, 2000.0], [100.0, 90.0]).uncertainty_nm is None  # unknown stays unknown


def test_brake_behind_gears_keeps_the_power_and_says_so():
    direct = d.brake_curve([540.0, 400.0], [800.0, 900.0], speed_ratio=3.7)
    assert direct.power_kw[1] == pytest.approx(540 * 800 / 9549.297, rel=1e-6)  # P = T n / 9549.297
    assert direct.speed_rpm.tolist() == pytest.approx([1480.0, 1998.0])
    assert direct.place == "take_off"
    assert "loss in its gears" in str(direct.notes[0])


def test_constant_torque_on_a_drum():
    # I 60 kg m² with 300 Nm speeds up by 5 rad/s²; at 100 rad/s that is 30 kW
    time = np.arange(0, 30, 0.05)
    curve = d.drum_curve(time, 5.0 * (time + 2) / RAD, 60.0, speed_ratio=3.0)
    assert curve.torque_nm == pytest.approx(np.full(curve.torque_nm.size, 100.0), rel=1e-6)
    at = np.interp(100 / RAD * 3.0, curve.speed_rpm, curve.power_kw)
    assert at == pytest.approx(30.0, rel=1e-3)
    assert (curve.kind, curve.place, curve.uncertainty_nm) == ("drum", "wheels", None)
    assert any("10 to 18 %" in str(note) for note in curve.notes)


def test_energy_of_a_pull_is_the_energy_in_the_drum():
    # constant power: half I w² grows by P t, closed form
    inertia, power, start = 45.0, 50e3, 30.0
    time = np.arange(0, 12, 0.02)
    omega = np.sqrt(start**2 + 2 * power * time / inertia)
    curve = d.drum_curve(time, omega / RAD, inertia, speed_ratio=1.0, window_s=0.3)
    assert curve.power_kw == pytest.approx(
        np.full(curve.power_kw.size, 50.0), rel=0.02
    )  # bins of 50 rpm are wide at the start
    # and summed over the pull by the trapezoid on the smoothed record itself
    record = speed_record(time, omega / RAD, 0.3, "drum speed", 0.0, 20_000.0, "rpm")
    work = np.trapezoid(inertia * record.slope * RAD * record.speed * RAD, record.time_s)
    stored = 0.5 * inertia * (omega[-1] ** 2 - omega[0] ** 2)
    assert work == pytest.approx(stored, rel=2e-3)
    assert stored == pytest.approx(power * time[-1], rel=1e-9)


def test_run_down_losses_of_a_known_drag():
    # viscous drag alone: w = w0 exp(-b t / I), closed form
    time = np.arange(0, 60, 0.1)
    loss = d.coast_down_loss(time, 1200 * np.exp(-0.9 * time / 60.0), 60.0)
    omega = np.array([40.0, 80.0, 120.0])
    assert loss.at(omega) == pytest.approx(0.9 * omega, rel=2e-3)
    # dry friction alone: the drum slows by T / I every second
    loss = d.coast_down_loss(time, (120 - 50 / 60 * time) / RAD, 60.0)
    assert loss.at(omega) == pytest.approx([50.0, 50.0, 50.0], rel=1e-6)


def test_pull_with_losses_and_own_inertia_gives_the_engine_back():
    # The motion of a drum under a made-up engine torque, solved by scipy; the tool has to find that torque again.
    inertia, own, ratio = 55.0, 0.35, 4.0
    drag = lambda w: 12 + 0.25 * w + 0.004 * w * w  # noqa: E731
    engine = lambda n: 180 - 2e-5 * (n - 2400) ** 2  # noqa: E731
    total = inertia + own * ratio**2
    time = np.arange(0, 14, 0.02)
    pull = solve_ivp(
        lambda _, w: (engine(w * ratio / RAD) * ratio - drag(w)) / total, (0, 14), [40.0], t_eval=time, rtol=1e-9
    ).y[0]
    down = solve_ivp(lambda _, w: -drag(w) / inertia, (0, 80), [pull[-1]], t_eval=np.arange(0, 80, 0.05), rtol=1e-9).y[
        0
    ]
    loss = d.coast_down_loss(np.arange(0, 80, 0.05), down / RAD, inertia)
    curve = d.drum_curve(time, pull / RAD, inertia, ratio, own, loss, inertia_uncertainty_pct=2.0)
    assert curve.place == "flywheel"
    assert curve.torque_nm[1:-1] == pytest.approx(engine(curve.speed_rpm[1:-1]), rel=3e-3)
    # half width by hand: 2 % inertia and twice 0.5 % speed, root of squares, and nothing else without noise
    assert curve.uncertainty_pct == pytest.approx(np.hypot(2.0, 1.0), rel=0.02)


def test_scatter_of_the_sensor_widens_the_result_by_as_much_as_it_moves_it():
    random = np.random.default_rng(11)
    time = np.arange(0, 20, 0.02)
    clean = 5.0 * (time + 4) / RAD
    off = []
    for _ in range(40):
        noisy = clean + random.normal(0, 0.5, time.size)
        _, slope, scatter = smoothed(noisy, 0.02, 0.5)
        off.append((slope[500] - 5.0 / RAD, scatter))
    seen, said = np.std([o for o, _ in off]), np.mean([s for _, s in off])
    assert said == pytest.approx(seen, rel=0.35)  # 40 draws know a standard deviation to about 11 %, three of them


def test_smoothing_is_savitzky_golay():
    values = np.cumsum(np.random.default_rng(3).normal(size=400))
    calm, slope, _ = smoothed(values, 0.1, 1.1)
    assert calm == pytest.approx(savgol_filter(values, 11, 2))
    # and a parabola fitted by NumPy to the same eleven samples
    fit = np.polyfit(np.arange(-5, 6) * 0.1, values[195:206], 2)
    assert (calm[200], slope[200]) == (pytest.approx(fit[2]), pytest.approx(fit[1]))
    # a parabola goes through unchanged, ends included
    t = np.arange(60) * 0.1
    calm, slope, scatter = smoothed(3 + 2 * t - 0.5 * t**2, 0.1, 1.0)
    assert (calm, slope) == (pytest.approx(3 + 2 * t - 0.5 * t**2), pytest.approx(2 - t))
    assert scatter == pytest.approx(0.0, abs=1e-9)


def _road(vehicle, density, force, start=8.0, length=18.0, step=0.1):
    time = np.arange(0, length, step)
    moving = vehicle.mass_kg * (1 + vehicle.rotating_share)
    run = solve_ivp(
        lambda _, v: (force - d.road_resistance_n(vehicle, v, density)) / moving,
        (0, length),
        [start],
        t_eval=time,
        rtol=1e-9,
    )
    return time, run.y[0] * 3.6


def test_road_resistance():
    # by hand: 0.6 kg/m³ x 0.8 m² x 400 m²/s² = 192 N; 1500 x 9.80665 x 0.012 = 176.5 N
    assert d.road_resistance_n(d.RolledVehicle(1500.0, 0.8, 0.012), 20.0, 1.2) == pytest.approx(192 + 176.52, abs=0.01)
    # a 10 % slope adds the weight times sin(arctan 0.1) and takes a little off the rolling
    uphill = d.road_resistance_n(d.RolledVehicle(1500.0, 0.8, 0.012, slope_pct=10.0), 0.0, 1.2)
    assert uphill == pytest.approx(14709.975 * (0.0995037 + 0.012 * 0.9950372), rel=1e-5)


def test_road_run_gives_the_force_at_the_wheels_back():
    vehicle = d.RolledVehicle(1900.0, 1.1, 0.015, slope_pct=2.0)
    time, speed = _road(vehicle, 0.95, 3500.0)
    curve = d.road_curve(time, speed, 45.0, vehicle, 0.95)
    # power at the wheels is force times speed, whatever the gears
    assert curve.power_kw[1:-1] == pytest.approx(3.5 * curve.speed_rpm[1:-1] / 45.0 / 3.6, rel=3e-3)
    assert (curve.kind, curve.place) == ("road", "wheels")
    assert "not added" in str(curve.notes[0])


def test_half_width_of_a_road_run_follows_each_input():
    base = d.RolledVehicle(1900.0, 1.1, 0.015, slope_pct=0.0)
    time, speed = _road(base, 1.0, 3500.0)
    plain = d.road_curve(time, speed, 45.0, base, 1.0, 0.0)
    for name, change in (("mass_kg", 60.0), ("drag_area_m2", 0.1), ("rolling_resistance", 0.003), ("slope_pct", 1.0)):
        word = {
            "mass_kg": "mass_uncertainty_kg",
            "drag_area_m2": "drag_area_uncertainty_m2",
            "slope_pct": "slope_uncertainty_pct",
        }
        doubtful = d.RolledVehicle(1900.0, 1.1, 0.015, **{word.get(name, "rolling_resistance_uncertainty"): change})
        moved = d.RolledVehicle(
            **{"mass_kg": 1900.0, "drag_area_m2": 1.1, "rolling_resistance": 0.015, name: getattr(base, name) + change}
        )
        told = d.road_curve(time, speed, 45.0, doubtful, 1.0, 0.0).uncertainty_nm
        found = d.road_curve(time, speed, 45.0, moved, 1.0, 0.0).torque_nm - plain.torque_nm
        assert told == pytest.approx(np.abs(found), rel=0.01), name


def test_speed_error_counts_in_slope_drag_and_power():
    # the same drive with a speedometer 1 % high, engine speed read apart from it: power over true engine speed
    vehicle = d.RolledVehicle(1900.0, 1.1, 0.015)
    time, speed = _road(vehicle, 1.0, 3500.0)
    told = d.road_curve(time, speed, 45.0, vehicle, 1.0, 1.0)
    high = d.road_curve(time, speed * 1.01, 45.0 / 1.01, vehicle, 1.0, 0.0)
    assert told.uncertainty_nm == pytest.approx(high.torque_nm - told.torque_nm, rel=0.03)


def test_drag_and_rolling_from_a_run_down():
    # closed form of dv/dt = -(a + c v²): v = sqrt(a/c) tan(atan(v0 sqrt(c/a)) - t sqrt(a c))
    mass, drag, rolling, density = 1900.0, 1.1, 0.015, 1.0
    moving = mass * 1.04
    a, c = rolling * mass * 9.80665 / moving, 0.5 * density * drag / moving
    time = np.arange(0, 60, 0.2)
    speed = np.sqrt(a / c) * np.tan(np.arctan(28.0 * np.sqrt(c / a)) - time * np.sqrt(a * c))
    found = d.road_coast_down(time, speed * 3.6, d.RolledVehicle(mass, 1.0, 0.01), density)
    assert found == (pytest.approx(drag, rel=5e-3), pytest.approx(rolling, rel=5e-3))


def test_air_density():
    # ISO 2533 standard atmosphere at sea level 1.225 kg/m³
    assert d.dry_air_density_kg_m3(101.325, 15.0) == pytest.approx(1.225, abs=1e-3)


TIME = np.arange(0, 10, 0.05)


@pytest.mark.parametrize(
    ("call", "error", "said"),
    [
        (lambda: d.drum_curve(TIME[:5], TIME[:5], 60.0, 3.0), MeasurementRefused, "5 samples; a record needs at least 12"),
        (lambda: d.drum_curve(TIME[::-1], TIME, 60.0, 3.0), MeasurementRefused, "Times have to rise"),
        (lambda: d.drum_curve(np.where(TIME > 5, TIME + 3, TIME), 500 + 50 * TIME, 60.0, 3.0), MeasurementRefused, "nothing was logged for 3.05 s"),
        (lambda: d.drum_curve(TIME, 500 + 0 * TIME, 60.0, 3.0), MeasurementRefused, "hardly speeds up"),
        (lambda: d.coast_down_loss(TIME, 500 - TIME, 60.0), MeasurementRefused, "hardly slows down"),
        (lambda: d.drum_curve(TIME, 500 + 50 * TIME, 0.0, 3.0), OutOfRange, "inertia kg m2 is 0 kg m²; allowed is 0.01 to 10000 kg m²"),
        (lambda: d.drum_curve(TIME, 500 + np.where(TIME == 5, np.nan, TIME), 60.0, 3.0), OutOfRange, "drum speed is not a number"),
        (lambda: d.drum_curve(TIME, 500 + 400 * TIME, 60.0, 30.0), OutOfRange, "engine speed rpm"),
        (lambda: d.brake_curve([1000.0], [100.0]), MeasurementRefused, "at least two"),
        (lambda: d.RolledVehicle(50.0, 1.0, 0.01), OutOfRange, "mass kg is 50 kg; allowed is 100 to 60000 kg"),
        (lambda: d.RolledVehicle(1500.0, 1.0, 0.9), OutOfRange, "rolling resistance is 0.9; allowed is 0.003 to 0.3"),
        (lambda: d.roller_inertia_kg_m2(100.0, 0.2, 0.3), OutOfRange, "inner radius m is 0.3 m; allowed is 0 to 0.2 m"),
        (lambda: d.road_coast_down(TIME, 90 - 2 * TIME + 0.1 * TIME**2, d.RolledVehicle(1500.0, 1.0, 0.01), 1.0), MeasurementRefused, "hardly|cannot be"),
    ],
)  # fmt: skip
def test_what_cannot_carry_a_result_is_refused_by_name(call, error, said):
    with pytest.raises(error, match=said):
        call()
