"""How much air an engine takes in: volumetric efficiency and speed-density air flow."""

from __future__ import annotations

from typing import Literal

import numpy as np

from sizing.physics import spans
from sizing.physics.air import GAS_CONSTANT_AIR_J_KG_K, ZERO_CELSIUS_K
from sizing.physics.errors import Floats, OutOfRange, require
from sizing.physics.ranges import Numbers, Span, takes

Injection = Literal["indirect", "direct"]

# Handbook ranges, naturally aspirated: direct 0.80 to 0.90, indirect 0.75 to 0.85 (from memory).
# The upper end is taken at half the rated speed, the middle of the range at rated speed.
PEAK_VOLUMETRIC_EFFICIENCY = {"direct": 0.90, "indirect": 0.85}
FALL_TO_RATED_SPEED = 0.05
REFERENCE_CHARGE_K = 298.0


def check_injection(injection: str) -> None:
    """Refuse any kind of injection but the two that exist.

    Takes:
        injection: "indirect" or "direct" [-]
    Raises: ValueError if it is anything else.
    """
    if injection not in PEAK_VOLUMETRIC_EFFICIENCY:
        raise ValueError(f"injection is {injection!r}; allowed is 'indirect' or 'direct'")


@takes(
    speed_rpm=spans.ENGINE_RPM,
    rated_speed_rpm=Span(500.0, 6500.0, "rpm", "speed of rated power"),
    injection="'indirect' or 'direct' [-]",
    charge_temperature_c=spans.CHARGE_C,
)
def volumetric_efficiency_ratio(
    speed_rpm: Numbers, rated_speed_rpm: Numbers, injection: str, charge_temperature_c: Numbers
) -> Floats:
    """Volumetric efficiency of a full-load diesel, referred to the density in the manifold.

    A parabola over speed with its top at half the rated speed. A warmer charge picks up less
    heat on the way in, so the efficiency rises with the root of its temperature.

    Returns: volumetric efficiency, shape of the inputs together [-].
    Raises: OutOfRange if an input is outside its range or the speed is above 1.4 times the rated speed; ValueError if
        the injection is neither of the two.
    Source: Handbook ranges (from memory), top at mid speed: common practice. Root of temperature: Heywood, Internal
        Combustion Engine Fundamentals, section 6.2.3.

    >>> round(float(volumetric_efficiency_ratio(2000.0, 4000.0, "direct", 24.85)), 2)
    0.9
    """
    check_injection(injection)
    kelvin = charge_temperature_c + ZERO_CELSIUS_K
    share = require("speed_over_rated_speed", speed_rpm / rated_speed_rpm, 0.0, 1.4, "")
    curve = PEAK_VOLUMETRIC_EFFICIENCY[injection] - FALL_TO_RATED_SPEED * (2.0 * share - 1.0) ** 2
    return curve * np.sqrt(kelvin / REFERENCE_CHARGE_K)


@takes(
    displacement_l=spans.DISPLACEMENT_L,
    speed_rpm=spans.SLOW_RPM,
    volumetric_efficiency_ratio=spans.FILLING,
    manifold_pressure_kpa=Span(
        20.0, 600.0, "kPa", "manifold pressure, absolute; the dry part gives the flow of dry air"
    ),
    charge_temperature_c=spans.CHARGE_C,
)
def air_flow_kg_s(
    displacement_l: Numbers,
    speed_rpm: Numbers,
    volumetric_efficiency_ratio: Numbers,
    manifold_pressure_kpa: Numbers,
    charge_temperature_c: Numbers,
) -> Floats:
    """Air flow of a four-stroke engine from manifold pressure and temperature (speed-density).

    Returns: air flow, shape of the inputs together [kg/s].
    Source: Ideal gas law, one filling every second turn.

    >>> round(float(air_flow_kg_s(2.5, 2000.0, 0.85, 101.325, 15.0)), 4)
    0.0434
    """
    kelvin = charge_temperature_c + ZERO_CELSIUS_K
    return (
        displacement_l
        * speed_rpm
        / 120.0
        * volumetric_efficiency_ratio
        * manifold_pressure_kpa
        / (GAS_CONSTANT_AIR_J_KG_K * kelvin)
    )


@takes(
    displacement_l=spans.DISPLACEMENT_L,
    speed_rpm=spans.SLOW_RPM,
    volumetric_efficiency_ratio=spans.FILLING,
    air_flow_kg_s=Span(1e-5, 5.0, "kg/s"),
    charge_temperature_c=spans.CHARGE_C,
)
def manifold_pressure_kpa(
    displacement_l: Numbers,
    speed_rpm: Numbers,
    volumetric_efficiency_ratio: Numbers,
    air_flow_kg_s: Numbers,
    charge_temperature_c: Numbers,
) -> Floats:
    """Manifold pressure at which a four-stroke engine takes a given air flow.

    Returns: manifold pressure, absolute, shape of the inputs together [kPa].
    Raises: OutOfRange if an input is outside its range or the pressure would be above 600 kPa.
    Source: Inverse of `air_flow_kg_s`.

    >>> round(float(manifold_pressure_kpa(2.5, 2000.0, 0.85, 0.0434, 15.0)), 1)
    101.4
    """
    kelvin = charge_temperature_c + ZERO_CELSIUS_K
    pressure = (
        air_flow_kg_s
        * GAS_CONSTANT_AIR_J_KG_K
        * kelvin
        * 120.0
        / (displacement_l * speed_rpm * volumetric_efficiency_ratio)
    )
    return require("manifold_pressure_kpa", pressure, 0.0, 600.0, "kPa")


__all__ = [
    "Injection",
    "OutOfRange",
    "air_flow_kg_s",
    "check_injection",
    "manifold_pressure_kpa",
    "volumetric_efficiency_ratio",
]
