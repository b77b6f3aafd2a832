"""Torque and power from a brake, an inertia drum and a road run, each marked for what it is and how far it can be trusted.

Half widths go in as what the gauge or the scale is trusted with, and come out the same way; parts are taken as independent
(GUM, JCGM 100:2008, 5.1). Scatter that is seen in the record itself counts twice its standard deviation.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from measurements.bench.dyno.run_errors import MeasurementRefused
from measurements.bench.dyno.speed_record import TIME_S, WINDOW_S, SpeedRecord, binned, speed_record
from sizing.physics import spans
from sizing.physics.air import ZERO_CELSIUS_K
from sizing.physics.engine.power import RPM_NM_PER_KW
from sizing.physics.errors import Floats, require
from sizing.physics.ranges import Numbers, Span, takes
from sizing.said import Said

GRAVITY_M_S2 = 9.80665
RAD_S_PER_RPM = np.pi / 30.0
DRIVELINE_GUESS = Said("dyno.driveline_not_measured")
WHEELS, FLYWHEEL, TAKE_OFF = "wheels", "flywheel", "power take-off"
SPEED_UNCERTAINTY_PCT = Span(0.0, 20.0, "%", "half width of the speed")


@dataclass(frozen=True)
class DynoCurve:
    """Torque at engine speed, with half widths; `place` says where it holds, `kind` how it was found."""

    kind: str  # brake, drum, road
    place: str  # flywheel, power take-off or wheels
    speed_rpm: Floats
    torque_nm: Floats
    uncertainty_nm: Floats | None
    notes: tuple[Said, ...] = ()

    @property
    def power_kw(self) -> Floats:
        return self.torque_nm * self.speed_rpm / RPM_NM_PER_KW

    @property
    def uncertainty_pct(self) -> float | None:
        """The largest half width over the curve, as a share of its torque there."""
        if self.uncertainty_nm is None:
            return None
        return float(np.max(100.0 * self.uncertainty_nm / np.maximum(np.abs(self.torque_nm), 1e-9)))


@dataclass(frozen=True)
class Loss:
    """What slows a free-running drum or vehicle: constant, linear and square part over speed, with the fit's scatter."""

    constant: float
    linear: float
    square: float
    scatter: float  # standard deviation about the fit, same unit
    low: float  # slowest and fastest speed it was measured at
    high: float

    def at(self, speed: ArrayLike) -> Floats:
        speeds = np.asarray(speed, dtype=np.float64)
        return self.constant + self.linear * speeds + self.square * speeds**2


# ---- inertia


@takes(
    mass_kg=Span(1.0, 20_000.0, "kg"),
    outer_radius_m=Span(0.02, 2.0, "m"),
    inner_radius_m="radius of the bore, 0 (solid) up to the outer [m]",
)
def roller_inertia_kg_m2(mass_kg: float, outer_radius_m: float, inner_radius_m: float = 0.0) -> float:
    """Inertia of a roller about its axle, solid or with a bore; the radii add for a given mass, they do not subtract.

    Returns: inertia [kg m²].
    Source: Hollow cylinder: half mass times the sum of the squared radii; a solid one has no inner radius.

    >>> roller_inertia_kg_m2(1000.0, 0.25), round(roller_inertia_kg_m2(1200.0, 0.25, 0.20), 3)
    (31.25, 61.5)
    """
    inner = float(require("inner_radius_m", inner_radius_m, 0.0, outer_radius_m, "m"))
    return 0.5 * mass_kg * (outer_radius_m**2 + inner**2)


@takes(
    inertia_kg_m2=Span(0.0, 10_000.0, "kg m²", "inertia of the part about its own axis"),
    speed_ratio=Span(0.01, 200.0, "", "its turns for one turn of the roller"),
)
def reflected_inertia_kg_m2(inertia_kg_m2: float, speed_ratio: float) -> float:
    """Inertia of a part as felt at the roller.

    Returns: inertia at the roller [kg m²].
    Source: Equal energy: the square of the speed ratio.

    >>> round(reflected_inertia_kg_m2(0.35, 4.0), 3)
    5.6
    """
    return inertia_kg_m2 * speed_ratio**2


@takes(
    inertia_kg_m2=spans.DRUM_INERTIA_KG_M2.of("inertia at the drum"),
    drum_speed_rpm=Span(0.0, 20_000.0, "rpm", "its speed"),
)
def drum_energy_kj(inertia_kg_m2: float, drum_speed_rpm: float) -> float:
    """Energy in a turning drum.

    Returns: energy [kJ].
    Source: Half inertia times angular speed squared.

    >>> round(drum_energy_kj(60.0, 1000.0), 1)
    329.0
    """
    speed = drum_speed_rpm * RAD_S_PER_RPM
    return 0.5 * inertia_kg_m2 * speed**2 / 1000.0


# ---- brake


@takes(
    force_n=Span(0.0, 100_000.0, "N", "force on the load cell"),
    arm_m=Span(0.05, 5.0, "m", "length of the arm, square to the force"),
)
def brake_torque_nm(force_n: Numbers, arm_m: Numbers) -> Floats:
    """Torque of a brake from the force on its arm.

    Returns: torque [Nm].
    Source: Force times arm.

    >>> float(brake_torque_nm(400.0, 0.5))
    200.0
    """
    return force_n * arm_m


@takes(
    speed_rpm=spans.BRAKE_RPM.of("speed of the brake"),
    torque_nm=Span(0.0, 20_000.0, "Nm", "torque at the brake"),
    torque_uncertainty_pct=Span(0.0, 50.0, "%", "half width of the torque, None when nobody knows"),
    speed_ratio=Span(0.1, 20.0, "", "engine speed over brake speed, 1 on the flywheel"),
)
def brake_curve(
    speed_rpm: Numbers, torque_nm: Numbers, torque_uncertainty_pct: float | None = None, speed_ratio: float = 1.0
) -> DynoCurve:
    """Curve of an engine or power take-off brake.

    Returns: at the flywheel for a ratio of 1; otherwise at the power take-off, referred to engine speed.
    Raises: MeasurementRefused if speed and torque are not as many, or fewer than two.
    Source: P = T n / 9549.297.

    >>> brake_curve([1000.0, 2000.0], [200.0, 210.0], 2.0).power_kw.round(2).tolist()
    [20.94, 43.98]
    """
    speed = speed_rpm * speed_ratio
    torque = torque_nm / speed_ratio
    if speed.shape != torque.shape or speed.size < 2:
        raise MeasurementRefused("run.as_many_torques", speeds=speed.size, torques=torque.size)
    require("speed_rpm", speed, 1.0, 8000.0, "rpm")
    half = None if torque_uncertainty_pct is None else torque * torque_uncertainty_pct / 100.0
    order = np.argsort(speed)
    note = () if speed_ratio == 1.0 else (Said("dyno.at_take_off"),)
    return DynoCurve(
        "brake",
        FLYWHEEL if speed_ratio == 1.0 else TAKE_OFF,
        speed[order],
        torque[order],
        None if half is None else half[order],
        note,
    )


# ---- inertia drum


@takes(
    time_s=TIME_S,
    drum_speed_rpm="drum speed, falling [rpm]",
    inertia_kg_m2=spans.DRUM_INERTIA_KG_M2.of("everything that turns with the drum, the engine not among it"),
    window_s=WINDOW_S,
)
def coast_down_loss(time_s: Numbers, drum_speed_rpm: ArrayLike, inertia_kg_m2: float, window_s: float = 1.0) -> Loss:
    """Torque that slows the drum, with the vehicle rolling along in neutral or the clutch down.

    Returns: torque in Nm over drum speed in rad/s.
    Raises: MeasurementRefused if the record is too short, irregular, or the drum does not slow down.
    Source: T = I |dω/dt|; least squares for a constant, a linear and a square part.
    """
    record = _run_down(speed_record(time_s, drum_speed_rpm, window_s, "drum speed", 0.0, 20_000.0, "rpm"), "drum")
    speed, slowing = record.speed * RAD_S_PER_RPM, -record.slope * RAD_S_PER_RPM * inertia_kg_m2
    top = speed.max()  # speeds as shares of it, so that the three parts of the fit are of one size
    basis = np.stack([np.ones_like(speed), speed / top, (speed / top) ** 2], axis=1)
    found, *_ = np.linalg.lstsq(basis, slowing, rcond=None)
    scatter = float(np.std(slowing - basis @ found))
    return Loss(
        float(found[0]), float(found[1] / top), float(found[2] / top**2), scatter, float(speed.min()), float(top)
    )


def _run_down(record: SpeedRecord, what: str) -> SpeedRecord:
    """A run-down that spans enough speed to tell its parts from each other."""
    if record.speed[0] - record.speed[-1] < 0.2 * record.speed[0]:
        raise MeasurementRefused("run.no_run_down", what=Said(f"run.of_{what}"))
    return record


@takes(
    time_s=TIME_S,
    drum_speed_rpm="drum speed [rpm]",
    inertia_kg_m2=spans.DRUM_INERTIA_KG_M2.of("drum and all that turns with it, at the drum, the engine not among it"),
    speed_ratio=Span(0.05, 100.0, "", "engine speed over drum speed"),
    engine_inertia_kg_m2=Span(0.0, 50.0, "kg m²", "flywheel, crank and clutch about their own axis"),
    loss="run-down losses, None when they were not measured",
    inertia_uncertainty_pct=Span(0.0, 50.0, "%", "half width of the whole inertia, None when nobody knows"),
    speed_uncertainty_pct=SPEED_UNCERTAINTY_PCT,
    window_s=WINDOW_S,
)
def drum_curve(
    time_s: Numbers,
    drum_speed_rpm: ArrayLike,
    inertia_kg_m2: float,
    speed_ratio: float,
    engine_inertia_kg_m2: float = 0.0,
    loss: Loss | None = None,
    inertia_uncertainty_pct: float | None = None,
    speed_uncertainty_pct: float = 0.5,
    window_s: float = 0.5,
) -> DynoCurve:
    """Curve from how fast the engine speeds up a drum.

    Returns: at the flywheel when the losses were measured; at the wheels when not.
    Raises: MeasurementRefused if the record is too short, irregular, or the drum does not speed up.
    Source: P = (I dω/dt + T_loss) ω; local parabola by Savitzky and Golay, Anal. Chem. 36 (1964) 1627.
    """
    record = speed_record(time_s, drum_speed_rpm, window_s, "drum speed", 0.0, 20_000.0, "rpm").rising("drum")
    total = inertia_kg_m2 + reflected_inertia_kg_m2(engine_inertia_kg_m2, speed_ratio)
    omega, alpha = record.speed * RAD_S_PER_RPM, record.slope * RAD_S_PER_RPM
    lost = loss.at(omega) if loss else np.zeros_like(omega)
    half = None
    if inertia_uncertainty_pct is not None:
        scatter = 2.0 * record.slope_scatter * RAD_S_PER_RPM * total
        of_loss = 2.0 * loss.scatter if loss else 0.0
        # the drum's speed counts twice, in the slope and in the power; the engine's own speed is read apart from it
        both = total * alpha + lost
        of_inertia, of_speed = inertia_uncertainty_pct / 100.0 * both, 2.0 * (speed_uncertainty_pct / 100.0) * both
        half = np.sqrt(of_inertia**2 + of_speed**2 + scatter**2 + of_loss**2)
    notes = [] if loss else [DRIVELINE_GUESS]
    if loss and (omega.min() < 0.9 * loss.low or omega.max() > 1.1 * loss.high):
        notes.append(Said("dyno.beyond_run_down"))
    if engine_inertia_kg_m2 == 0.0:
        notes.append(Said("dyno.engine_inertia_not_counted"))
    return _engine_curve(
        "drum",
        FLYWHEEL if loss else WHEELS,
        record.speed * speed_ratio,
        (total * alpha + lost) / speed_ratio,
        None if half is None else half / speed_ratio,
        notes,
    )


def _engine_curve(
    kind: str, place: str, speed_rpm: Floats, torque_nm: Floats, half: Floats | None, notes: list[Said]
) -> DynoCurve:
    require("engine_speed_rpm", speed_rpm, 0.0, 8000.0, "rpm")
    speeds, torque = binned(speed_rpm, torque_nm)
    widths = None if half is None else binned(speed_rpm, half)[1]
    if speeds.size < 2:
        raise MeasurementRefused("run.too_narrow")
    return DynoCurve(kind, place, speeds, torque, widths, tuple(notes))


# ---- road run


@dataclass(frozen=True)
class RolledVehicle:
    """What a road run needs to know of the vehicle and the road, each with its half width."""

    mass_kg: float
    drag_area_m2: float  # drag coefficient times frontal area
    rolling_resistance: float  # force over weight
    slope_pct: float = 0.0  # rise over run, uphill positive
    rotating_share: float = 0.04  # wheels and driveline as a share of the mass, common practice for a middle gear
    mass_uncertainty_kg: float = 0.0
    drag_area_uncertainty_m2: float = 0.0
    rolling_resistance_uncertainty: float = 0.0
    slope_uncertainty_pct: float = 0.0

    def __post_init__(self) -> None:
        require("mass_kg", self.mass_kg, 100.0, 60_000.0, "kg")
        require("drag_area_m2", self.drag_area_m2, 0.1, 15.0, "m²")
        require("rolling_resistance", self.rolling_resistance, 0.003, 0.3, "")
        require("slope_pct", self.slope_pct, -30.0, 30.0, "%")
        require("rotating_share", self.rotating_share, 0.0, 1.0, "")
        require("mass_uncertainty_kg", self.mass_uncertainty_kg, 0.0, 10_000.0, "kg")
        require("drag_area_uncertainty_m2", self.drag_area_uncertainty_m2, 0.0, 10.0, "m²")
        require("rolling_resistance_uncertainty", self.rolling_resistance_uncertainty, 0.0, 0.2, "")
        require("slope_uncertainty_pct", self.slope_uncertainty_pct, 0.0, 20.0, "%")

    @property
    def moving_kg(self) -> float:
        """What has to be speeded up: the mass, and what turns counted as if it moved along."""
        return self.mass_kg * (1.0 + self.rotating_share)

    @property
    def weight_n(self) -> float:
        return self.mass_kg * GRAVITY_M_S2

    @property
    def slope_rad(self) -> float:
        return float(np.arctan(self.slope_pct / 100.0))


@takes(
    vehicle="mass, drag area, rolling resistance and slope",
    speed_m_s=Span(0.0, 80.0, "m/s"),
    air_density_kg_m3=spans.AIR_DENSITY_KG_M3,
)
def road_resistance_n(vehicle: RolledVehicle, speed_m_s: Numbers, air_density_kg_m3: float) -> Floats:
    """Force that holds a vehicle back at a steady speed: air, tyres, slope.

    Returns: force [N].
    Source: Half density, drag area, speed squared; weight along the road and rolling share of the weight across it.
        Still air.

    >>> round(float(road_resistance_n(RolledVehicle(1500.0, 0.8, 0.012), 20.0, 1.2)), 1)
    368.5
    """
    angle = vehicle.slope_rad
    along = vehicle.rolling_resistance * np.cos(angle) + np.sin(angle)
    force: Floats = 0.5 * air_density_kg_m3 * vehicle.drag_area_m2 * speed_m_s**2 + vehicle.weight_n * along
    return force


@takes(
    time_s=TIME_S,
    speed_km_h="road speed, 0 to 250 [km/h]",
    engine_rpm_per_km_h=Span(3.0, 1000.0, "rpm h/km", "engine speed at 1 km/h in the gear of the run"),
    vehicle="mass, drag area, rolling resistance and slope, with half widths",
    air_density_kg_m3=spans.AIR_DENSITY_KG_M3,
    speed_uncertainty_pct=SPEED_UNCERTAINTY_PCT,
    window_s=WINDOW_S,
)
def road_curve(
    time_s: Numbers,
    speed_km_h: ArrayLike,
    engine_rpm_per_km_h: float,
    vehicle: RolledVehicle,
    air_density_kg_m3: float,
    speed_uncertainty_pct: float = 1.0,
    window_s: float = 1.0,
) -> DynoCurve:
    """Curve at the wheels from how a vehicle of known mass speeds up in one gear.

    Returns: at the wheels, referred to engine speed: the driveline's loss is not in it.
    Raises: MeasurementRefused if the record is too short, irregular, or the vehicle does not speed up.
    Source: Newton's second law with the resistances of `road_resistance_n`; slopes as in `drum_curve`.
    """
    share = speed_uncertainty_pct / 100.0
    record = speed_record(time_s, speed_km_h, window_s, "speed", 0.0, 250.0, "km/h").rising("vehicle")
    speed, acceleration = record.speed / 3.6, record.slope / 3.6
    force = vehicle.moving_kg * acceleration + road_resistance_n(vehicle, speed, air_density_kg_m3)
    half = _road_half_width(
        vehicle, speed, acceleration, force, air_density_kg_m3, share, 2.0 * record.slope_scatter / 3.6
    )
    # power at the wheels over engine speed: force times road speed for one radian of the engine
    metres_per_radian = 1.0 / (engine_rpm_per_km_h * 3.6 * RAD_S_PER_RPM)
    notes = [DRIVELINE_GUESS, Said("dyno.still_air")]
    return _engine_curve(
        "road", WHEELS, record.speed * engine_rpm_per_km_h, force * metres_per_radian, half * metres_per_radian, notes
    )


def _road_half_width(
    vehicle: RolledVehicle,
    speed: Floats,
    acceleration: Floats,
    force: Floats,
    density: float,
    share: float,
    scatter: float,
) -> Floats:
    angle, weight, moving = vehicle.slope_rad, vehicle.weight_n, vehicle.moving_kg
    per_kg = acceleration * (1.0 + vehicle.rotating_share) + GRAVITY_M_S2 * (
        vehicle.rolling_resistance * np.cos(angle) + np.sin(angle)
    )
    parts = [
        per_kg * vehicle.mass_uncertainty_kg,
        0.5 * density * speed**2 * vehicle.drag_area_uncertainty_m2,
        weight * np.cos(angle) * vehicle.rolling_resistance_uncertainty,
        weight * np.cos(angle) ** 3 * vehicle.slope_uncertainty_pct / 100.0,
        # road speed counts in the slope, squared in the drag, and once more in the power
        share * (moving * acceleration + density * vehicle.drag_area_m2 * speed**2 + force),
        moving * scatter,
    ]
    together: Floats = np.sqrt(sum(np.square(part) for part in parts))
    return together


@takes(
    time_s=TIME_S,
    speed_km_h="road speed, falling, 0 to 250 [km/h]",
    vehicle="mass, slope and rotating share; its drag and rolling resistance are not used",
    air_density_kg_m3=spans.AIR_DENSITY_KG_M3,
    window_s=WINDOW_S,
)
def road_coast_down(
    time_s: Numbers, speed_km_h: ArrayLike, vehicle: RolledVehicle, air_density_kg_m3: float, window_s: float = 2.0
) -> tuple[float, float]:
    """Drag area and rolling resistance from letting the vehicle roll in neutral on the same road.

    Returns: tuple of float: drag area [m²] and rolling resistance [-].
    Raises: MeasurementRefused if the record is too short, irregular, does not slow down, or gives a negative drag or
        rolling resistance.
    Source: Least squares of the slowing force for a constant and a square part.
    """
    record = _run_down(speed_record(time_s, speed_km_h, window_s, "speed", 0.0, 250.0, "km/h"), "vehicle")
    speed, slowing = record.speed / 3.6, -record.slope / 3.6 * vehicle.moving_kg
    basis = np.stack([np.ones_like(speed), speed**2], axis=1)
    found, *_ = np.linalg.lstsq(basis, slowing, rcond=None)
    angle, weight = vehicle.slope_rad, vehicle.weight_n
    rolling = float((found[0] / weight - np.sin(angle)) / np.cos(angle))
    drag = float(2.0 * found[1] / air_density_kg_m3)
    if rolling <= 0 or drag <= 0:
        raise MeasurementRefused("run.cannot_roll_so", drag_m2=drag, rolling=rolling)
    return drag, rolling


@takes(air_pressure_kpa=spans.OUTSIDE_AIR_KPA, air_temperature_c=spans.OUTSIDE_AIR_C)
def dry_air_density_kg_m3(air_pressure_kpa: float, air_temperature_c: float) -> float:
    """Air density for a road run from what the point's conditions hold; moisture is worth under 1 % and left out.

    Returns: density [kg/m³].
    Source: Ideal gas law.

    >>> round(dry_air_density_kg_m3(101.325, 15.0), 3)
    1.225
    """
    return air_pressure_kpa * 1e3 / (287.05 * (air_temperature_c + ZERO_CELSIUS_K))
