"""Dyno runs and smoke tests of some demo jobs: what brake, rollers and opacimeter record of the engine as it truly is."""

import io

import numpy as np

from measurements.bench.dyno.actions import record_dyno
from measurements.bench.dyno.correction_basis import Air, CorrectionBasis
from measurements.bench.dyno.models import DynoTest
from measurements.bench.dyno.run_csv import read_run
from measurements.bench.dyno.runs import RAD_S_PER_RPM, brake_curve, coast_down_loss, drum_curve
from measurements.bench.smoke.actions import add_snap, start_smoke_test
from measurements.bench.smoke.models import SmokeLimit, SmokeTest
from measurements.bench.smoke.standard import evaluate
from measurements.readings.instruments import Instrument
from shop.access.models import Person
from shop.jobs.models import JobCard

from .fleet import Visit
from .truth import air_pressure_kpa, smoke_per_m

# Rollers of the demo: inertia with wheels and driveline, and what slows them when they run free.
INERTIA_KG_M2, INERTIA_PCT, DRAG_NM, DRAG_NM_S = 60.0, 2.0, 18.0, 0.10
ENGINE_INERTIA_KG_M2, TOP_DRUM_RPM, STEP_S = 0.35, 1450.0, 0.1
TAKE_OFF_RPM, GEAR_SHARE, BRAKE_PCT, BRAKE_NM = (
    540.0,
    0.96,
    2.0,
    14.0,
)  # 540 rpm is the standard speed of a tractor's take-off
LIMIT_NAME = "In use, naturally aspirated, no plate value"
LIMIT_REASON = "registration says naturally aspirated; the turbo fitted here does not change the class"


def _csv(header: str, *columns: np.ndarray, decimals: tuple[int, ...]) -> bytes:
    out = io.StringIO()
    np.savetxt(
        out, np.column_stack(columns), delimiter=",", fmt=[f"%.{d}f" for d in decimals], header=header, comments=""
    )
    return out.getvalue().encode()


def _over_time(omega: np.ndarray, acceleration: np.ndarray, rng: np.random.Generator) -> bytes:
    """Speeds that a drum passes, as its logger samples them: dt = dω / acceleration, trapezoid rule."""
    slowness = 1.0 / acceleration
    times = np.concatenate([[0.0], np.cumsum(np.diff(omega) * (slowness[1:] + slowness[:-1]) / 2)])
    clock = np.arange(0.0, times[-1], STEP_S)
    rpm = np.interp(clock, times, omega) / RAD_S_PER_RPM + rng.normal(0, 0.25, clock.size)
    return _csv("time_s,drum_speed_rpm", clock, rpm, decimals=(2, 2))


def _pull_and_run_down(
    case: Visit, figures: dict[str, np.ndarray], rng: np.random.Generator
) -> tuple[bytes, bytes, float]:
    ratio = float(case.speeds_rpm[-1]) / TOP_DRUM_RPM
    omega = np.linspace(case.speeds_rpm[0], case.speeds_rpm[-1], 400) / ratio * RAD_S_PER_RPM
    torque = np.interp(omega / RAD_S_PER_RPM * ratio, case.speeds_rpm, figures["torque_nm"])
    drag = DRAG_NM + DRAG_NM_S * omega
    pull = (torque * ratio - drag) / (INERTIA_KG_M2 + ENGINE_INERTIA_KG_M2 * ratio**2)
    down, slowing = omega[::-1], -drag[::-1] / INERTIA_KG_M2
    return _over_time(omega, pull, rng), _over_time(down, slowing, rng), ratio


def record_run(
    case: Visit,
    job: JobCard,
    phase: str,
    day: int,
    figures: dict[str, np.ndarray],
    by: Person,
    cell: Instrument,
    hour: int = 15,
) -> DynoTest:
    """A run on the brake at the take-off for field machines, on rollers with run-down for the others."""
    rng = np.random.default_rng([case.number, 29, phase == "after"])
    air = Air(float(round(case.air_temperature_c(day))), air_pressure_kpa(case, day), float(rng.integers(35, 75)))
    delivery = case.delivery_before_mm3 if phase == "before" else case.delivery_plan_mm3
    basis = CorrectionBasis(
        "r85", "natural" if phase == "before" else "turbo", round(float(delivery), 1), case.engine.cylinders, 0.835, case.engine.displacement_l,
        float(round(figures["boost_kpa"][-1])) if phase == "after" else None, "compressor",
    )  # fmt: skip
    shared = {"at": case.at(day, hour), "air": air, "basis": basis}
    if case.model.use == "field":
        ratio = float(case.speeds_rpm[-1]) / TAKE_OFF_RPM
        torque = np.asarray(figures["torque_nm"]) * ratio * GEAR_SHARE * (1 + rng.normal(0, BRAKE_PCT / 300))
        record = _csv("engine_speed_rpm,torque_Nm", case.speeds_rpm / ratio, torque, decimals=(1, 1))
        curve = brake_curve(case.speeds_rpm / ratio, np.round(torque, 1), None, ratio)
        setup = [("brake.speed_ratio", round(ratio, 3), "")]
        return record_dyno(
            job, phase, curve, record, by, setup=setup, instrument=cell, instrument_ratio=ratio, **shared
        )
    record, down, ratio = _pull_and_run_down(case, figures, rng)
    loss = coast_down_loss(*read_run(down, "drum"), INERTIA_KG_M2)
    curve = drum_curve(
        *read_run(record, "drum"), INERTIA_KG_M2, ratio, ENGINE_INERTIA_KG_M2, loss, INERTIA_PCT, 0.5, 1.5
    )
    setup = [
        ("drum.inertia_kg_m2", INERTIA_KG_M2, "kg m²"), ("drum.inertia_uncertainty_pct", INERTIA_PCT, "%"), ("drum.speed_ratio", round(ratio, 3), ""),
        ("drum.engine_inertia_kg_m2", ENGINE_INERTIA_KG_M2, "kg m²"), ("drum.speed_uncertainty_pct", 0.5, "%"), ("drum.window_s", 1.5, "s"),
    ]  # fmt: skip
    return record_dyno(job, phase, curve, record, by, setup=setup, run_down=down, **shared)


def record_smoke(
    case: Visit, job: JobCard, phase: str, day: int, figures: dict[str, np.ndarray], by: Person, meter: Instrument
) -> SmokeTest:
    """Free acceleration: darker than at held speeds, since boost comes later than the fuel."""
    rng = np.random.default_rng([case.number, 31, phase == "after"])
    limit = SmokeLimit.objects.get(name=LIMIT_NAME)
    at = case.at(day, 16)
    test = start_smoke_test(
        job, phase, "free", float(rng.integers(81, 92)), by, limit=limit, limit_reason=LIMIT_REASON, meter=meter,
        rated_power_kw=case.engine.rated_power_kw, at=at,
    )  # fmt: skip
    true = float(np.min(smoke_per_m(figures["lambda_ratio"][1:].min()))) + 0.25 + 0.35 * case.hidden.wear
    for _ in range(3):
        add_snap(test, None, by, at=at)
    shown: list[float] = []
    while evaluate(shown, "free", test.bound, meter.uncertainty).state == "more":
        shown.append(round(min(max(true + rng.normal(0, 0.05), 0.05), 9.9), 2))
        add_snap(test, shown[-1], by, at=at)
    return test
