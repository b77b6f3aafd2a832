"""A compressor map estimated from the measures of the wheel, for a turbo that came without one.

Non-dimensional throughout, after Casey and Robinson, "A method to estimate the performance map of a
centrifugal compressor stage", J. Turbomachinery 135 (2013): work from Euler's equation with Wiesner's
slip, choke from the throat of the rotating inducer, and one shape of the efficiency curve that
narrows as the tip Mach number rises. Shape constants are from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sizing.physics import spans
from sizing.physics.air import GAS_CONSTANT_AIR_J_KG_K, ZERO_CELSIUS_K
from sizing.physics.compressor.map import POWER, CompressorMap, build_map
from sizing.physics.compressor.work import AIR_CP_J_KG_K, AIR_EXPONENT
from sizing.physics.errors import Floats, require
from sizing.physics.ranges import Numbers, Span, takes

REFERENCE_TEMPERATURE_C, REFERENCE_PRESSURE_KPA = 25.0, 100.0
TIP_MACH_NUMBERS = (0.55, 0.70, 0.85, 1.00, 1.15, 1.30, 1.45)
POINTS_ON_A_LINE = 12

# Common practice where the wheel was not measured so far.
BACKSWEEP_DEG = 35.0  # 30 to 40
INDUCER_TIP_ANGLE_DEG = 57.0  # 55 to 60 from the axis
HUB_PER_INDUCER = 0.32  # 0.28 to 0.38
EXIT_HEIGHT_PER_EXDUCER = 0.07  # 0.06 to 0.08
THROAT_OPEN_SHARE = 0.90  # blade thickness and boundary layer take the rest
EXIT_OPEN_SHARE = 0.92
DISC_FRICTION = 0.03  # work that heats the air without pressure, share of the blade work
HIGHEST_EXIT_VELOCITY = 0.60  # outward over tip speed
IMPELLER_POLYTROPIC = 0.90  # of the wheel alone, for the density at its exit

PEAK_POLYTROPIC = 0.87  # good stage of 0.43 m at low Mach number
SIZE_OF_PEAK_M = 0.43
SIZE_EXPONENT = 0.20  # losses grow as the wheel shrinks; handbook 0.1 to 0.25
MACH_LOSS, MACH_LOSS_FROM = 0.05, 0.80

# Casey and Robinson: (low Mach number, high Mach number) of each shape constant.
SHAPE_SURGE_SIDE, SHAPE_CHOKE_SIDE, CHOKE_DROP = (2.1, 1.7), (2.0, 3.5), (2.0, 0.3)
PEAK_OVER_CHOKE = (0.44, 0.84)
BLEND_MIDDLE, BLEND_WIDTH = 1.05, 0.15
SURGE_OVER_CHOKE, SURGE_SLOPE = 0.30, 0.25  # at Mach 0.8 and per Mach number; vaneless 0.25 to 0.35 (from memory)

PRESSURE_RATIO_ERROR, CHOKE_ERROR, EFFICIENCY_ERROR, SURGE_ERROR = 0.08, 0.10, 0.05, 0.20
TIP_SPEED_ERROR = 0.05  # what the error of the pressure ratio is in speed, around a ratio of 2.5
ERROR = (
    f"from wheel measures: pressure ratio about ±{PRESSURE_RATIO_ERROR * 100:.0f} %, choke flow "
    f"±{CHOKE_ERROR * 100:.0f} %, efficiency ±{EFFICIENCY_ERROR * 100:.0f} points, surge flow ±{SURGE_ERROR * 100:.0f} %; "
    "checked against one measured machine only"
)


@dataclass(frozen=True)
class Wheel:
    """Measures of a compressor wheel; None takes common practice."""

    inducer_diameter_mm: float
    exducer_diameter_mm: float
    blade_count: int  # splitters included
    exit_height_mm: float | None = None
    backsweep_deg: float | None = None
    hub_diameter_mm: float | None = None
    inducer_tip_angle_deg: float | None = None

    def __post_init__(self) -> None:
        require("inducer_diameter_mm", self.inducer_diameter_mm, 15.0, 400.0, "mm")
        require("exducer_diameter_mm", self.exducer_diameter_mm, 20.0, 600.0, "mm")
        require("inducer_over_exducer", self.inducer_diameter_mm / self.exducer_diameter_mm, 0.4, 0.9, "")
        require("blade_count", self.blade_count, 6, 40, "")
        for name, low, high, unit in (
            ("exit_height_mm", 0.02 * self.exducer_diameter_mm, 0.2 * self.exducer_diameter_mm, "mm"),
            ("backsweep_deg", 0.0, 60.0, "deg"),
            ("hub_diameter_mm", 0.1 * self.inducer_diameter_mm, 0.7 * self.inducer_diameter_mm, "mm"),
            ("inducer_tip_angle_deg", 40.0, 70.0, "deg"),
        ):
            if getattr(self, name) is not None:
                require(name, getattr(self, name), low, high, unit)


@takes(
    blade_count=Span(6, 40, "", "blades at the exit, splitters included"),
    backsweep_deg=Span(0.0, 60.0, "deg", "blade angle at the exit from radial"),
)
def slip_factor(blade_count: Numbers, backsweep_deg: Numbers) -> Floats:
    """Slip factor of a radial wheel.

    Returns: factor, shape of the inputs together [-].
    Source: Wiesner, ASME J. Eng. Power 89 (1967).

    >>> round(float(slip_factor(12, 0.0)), 3)
    0.824
    """
    return 1.0 - np.sqrt(np.cos(np.radians(backsweep_deg))) / blade_count**0.7


@takes(wheel="measures of the wheel [as named]", tip_speed_m_s=spans.TIP_SPEED_M_S)
def choke_flow_kg_s(wheel: Wheel, tip_speed_m_s: Numbers) -> Floats:
    """Flow at which the throat of the turning inducer chokes, at 25 °C and 100 kPa.

    Returns: flow, same shape [kg/s].
    Source: Dixon, Thermodynamics of Turbomachinery, ch. 7, choking of a rotating inducer; blade elements radial, so the
        tangent of the blade angle goes with the radius.

    >>> round(float(choke_flow_kg_s(Wheel(38.0, 52.0, 12), 420.0)), 2)
    0.18
    """
    outer = wheel.inducer_diameter_mm / 1e3
    hub = (wheel.hub_diameter_mm or HUB_PER_INDUCER * wheel.inducer_diameter_mm) / 1e3
    mean = np.sqrt((outer**2 + hub**2) / 2.0)
    slope = np.tan(np.radians(wheel.inducer_tip_angle_deg or INDUCER_TIP_ANGLE_DEG)) * mean / outer
    throat = np.pi / 4.0 * (outer**2 - hub**2) * np.cos(np.arctan(slope)) * THROAT_OPEN_SHARE
    kelvin = REFERENCE_TEMPERATURE_C + ZERO_CELSIUS_K
    sound = np.sqrt(AIR_EXPONENT * GAS_CONSTANT_AIR_J_KG_K * kelvin)
    density = REFERENCE_PRESSURE_KPA * 1e3 / (GAS_CONSTANT_AIR_J_KG_K * kelvin)
    blade = tip_speed_m_s * mean / (wheel.exducer_diameter_mm / 1e3)
    inner = (2.0 + (AIR_EXPONENT - 1.0) * (blade / sound) ** 2) / (AIR_EXPONENT + 1.0)
    power = (AIR_EXPONENT + 1.0) / (2.0 * (AIR_EXPONENT - 1.0))
    return np.asarray(throat * density * sound * inner**power, dtype=np.float64)


@takes(
    wheel="measures of the wheel [as named]",
    tip_speed_m_s=spans.TIP_SPEED_M_S,
    flow_kg_s=Span(0.0, 50.0, "kg/s", "flow at 25 °C and 100 kPa"),
)
def work_coefficient_ratio(wheel: Wheel, tip_speed_m_s: Numbers, flow_kg_s: Numbers) -> Floats:
    """Work put into the air over the square of the tip speed.

    Returns: coefficient, shape of the inputs together [-].
    Raises: OutOfRange if an input is outside its range or the flow is far more than the exit can pass.
    Source: Euler's equation with Wiesner's slip; disc friction 3 % (common practice).

    >>> 0.6 < float(work_coefficient_ratio(Wheel(38.0, 52.0, 12), 420.0, 0.1)) < 0.8
    True
    """
    coefficient, outward = _work(wheel, tip_speed_m_s, flow_kg_s)
    require("exit_velocity_over_tip_speed", outward, 0.0, HIGHEST_EXIT_VELOCITY, "")
    return coefficient


def _work(wheel: Wheel, tip: Floats, flow: Floats) -> tuple[Floats, Floats]:
    """Work coefficient and outward velocity at the exit over tip speed."""
    sweep = BACKSWEEP_DEG if wheel.backsweep_deg is None else wheel.backsweep_deg
    slip = slip_factor(wheel.blade_count, sweep)
    diameter = wheel.exducer_diameter_mm / 1e3
    height = (wheel.exit_height_mm or EXIT_HEIGHT_PER_EXDUCER * wheel.exducer_diameter_mm) / 1e3
    area = np.pi * diameter * height * EXIT_OPEN_SHARE
    kelvin = REFERENCE_TEMPERATURE_C + ZERO_CELSIUS_K
    density_in = REFERENCE_PRESSURE_KPA * 1e3 / (GAS_CONSTANT_AIR_J_KG_K * kelvin)
    polytropic = IMPELLER_POLYTROPIC * AIR_EXPONENT / (AIR_EXPONENT - 1.0) - 1.0
    meridional = 0.25 * tip + 0.0 * flow  # velocity outward
    for _ in range(25):
        swirl = slip * tip - meridional * np.tan(np.radians(sweep))
        static = kelvin + (swirl * tip - 0.5 * (swirl**2 + meridional**2)) / AIR_CP_J_KG_K
        density = density_in * (static / kelvin) ** polytropic
        meridional = np.minimum(0.5 * (meridional + flow / (density * area)), tip)
    outward = np.asarray(meridional / tip, dtype=np.float64)
    return (slip - outward * np.tan(np.radians(sweep))) * (1.0 + DISC_FRICTION), outward


@takes(exducer_diameter_mm=Span(20.0, 600.0, "mm", "outer diameter of the wheel"), tip_mach=spans.TIP_MACH)
def peak_efficiency_ratio(exducer_diameter_mm: Numbers, tip_mach: Numbers) -> Floats:
    """Best polytropic efficiency of a stage by size and tip Mach number.

    Returns: efficiency, shape of the inputs together [-].
    Source: Losses with diameter to the power -0.2 (handbook 0.1 to 0.25); Mach loss of Casey and Robinson.

    >>> round(float(peak_efficiency_ratio(52.0, 1.2)), 2)
    0.78
    """
    diameter = exducer_diameter_mm / 1e3
    loss = (1.0 - PEAK_POLYTROPIC) * (SIZE_OF_PEAK_M / diameter) ** SIZE_EXPONENT
    return 1.0 - loss - MACH_LOSS * np.maximum(tip_mach - MACH_LOSS_FROM, 0.0)


def estimate_map(wheel: Wheel) -> CompressorMap:
    """Compressor map of a wheel of which only measures are known.

    Takes:
        wheel: measures of the wheel [as named]
    Returns: marked "estimated", with its likely error in words; reference 25 °C and 100 kPa.
    Raises: OutOfRange if the measures are not those of a compressor wheel.
    Source: See the head of this file.

    >>> chart = estimate_map(Wheel(38.0, 52.0, 12))
    >>> 0.65 < float(chart.at(0.09, 2.2).efficiency_ratio) < 0.80
    True
    """
    kelvin = REFERENCE_TEMPERATURE_C + ZERO_CELSIUS_K
    sound = float(np.sqrt(AIR_EXPONENT * GAS_CONSTANT_AIR_J_KG_K * kelvin))
    columns: list[Floats] = []
    for mach in TIP_MACH_NUMBERS:
        tip = mach * sound
        choke = float(choke_flow_kg_s(wheel, tip))
        # Below Mach 0.8 surge follows similarity: flow with speed.
        surge = choke * (SURGE_OVER_CHOKE + SURGE_SLOPE * max(mach - 0.8, 0.0)) * min(mach / 0.8, 1.0)
        flow = np.linspace(surge, 0.9995 * choke, 400)
        polytropic = float(peak_efficiency_ratio(wheel.exducer_diameter_mm, mach)) * efficiency_shape_ratio(
            flow / choke, mach
        )
        coefficient, outward = _work(wheel, np.asarray(tip), flow)
        rise = np.maximum(coefficient, 0.05) * tip**2 / (AIR_CP_J_KG_K * kelvin)
        ratio = (1.0 + rise) ** (polytropic / POWER)
        isentropic = (ratio**POWER - 1.0) / rise
        # What the exit cannot pass, or where hardly any pressure is left, is no part of the line.
        good = (isentropic > 0.35) & (ratio > 1.02) & (outward < HIGHEST_EXIT_VELOCITY)
        last = int(np.argmin(good)) if not np.all(good) else len(good)
        if last < POINTS_ON_A_LINE:
            continue
        spread = np.sin(np.linspace(0.0, np.pi / 2.0, POINTS_ON_A_LINE))  # closer towards choke
        chosen = np.unique(np.round(spread * (last - 1)).astype(np.intp))
        speed = np.full_like(flow, tip / (np.pi * wheel.exducer_diameter_mm / 1e3) * 60.0)
        columns.append(np.stack([speed, flow, ratio, isentropic])[:, chosen])
    points = np.concatenate(columns, axis=1)
    speed, flow, ratio, isentropic = points
    return build_map(
        speed, flow, ratio, isentropic, REFERENCE_TEMPERATURE_C, REFERENCE_PRESSURE_KPA, "estimated", ERROR
    )


@takes(flow_over_choke=Span(0.05, 1.0, "", "flow over choke flow"), tip_mach=spans.TIP_MACH)
def efficiency_shape_ratio(flow_over_choke: Numbers, tip_mach: float) -> Floats:
    """Efficiency over its best value along one speed line.

    Returns: share of the best efficiency, same shape; may fall below 0 close to choke [-].
    Source: Casey and Robinson 2013, two ellipses that meet at the best point (constants from memory).

    >>> round(float(efficiency_shape_ratio(0.84, 1.6)), 2)
    1.0
    """
    blend = 1.0 / (1.0 + np.exp(-(tip_mach - BLEND_MIDDLE) / BLEND_WIDTH))

    def between(ends: tuple[float, float]) -> float:
        return float(ends[0] + blend * (ends[1] - ends[0]))

    peak = between(PEAK_OVER_CHOKE)
    surge_power, choke_power, drop = between(SHAPE_SURGE_SIDE), between(SHAPE_CHOKE_SIDE), between(CHOKE_DROP)
    below = np.clip(1.0 - flow_over_choke / peak, 0.0, 1.0)
    above = np.clip((flow_over_choke / peak - 1.0) / (1.0 / peak - 1.0), 0.0, 1.0)
    surge_side = (1.0 - below**surge_power) ** (1.0 / surge_power)
    choke_side = (1.0 - drop) + drop * (1.0 - above**choke_power) ** (1.0 / choke_power)
    return np.where(flow_over_choke < peak, surge_side, choke_side)
