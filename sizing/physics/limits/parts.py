"""Limits of what is fitted around the engine: pump, air cleaner, pipes, oil. Held only where the part is known."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields

import numpy as np

from sizing.physics.air import GAS_CONSTANT_AIR_J_KG_K
from sizing.physics.errors import Floats, require
from sizing.physics.limits.checks import LimitCheck, checked_value, in_order
from sizing.physics.limits.values import PRACTICE, LimitDefault
from sizing.physics.plan.data import PlanInputs, PlanResult
from sizing.physics.pump import plunger as pump
from sizing.physics.pump.injection import injection_duration_deg

PART_DEFAULTS: dict[str, LimitDefault] = {
    "pump_share_max_pct": LimitDefault(
        "Delivery, of what the pump can give", 95.0, "%", "max", 5.0,
        PRACTICE + ": a little rack is left for wear and cold starts",
        "A pump at its end gives less than the plan at some line or speed, and nothing more can be set.",
        "delivery_mm3", low=50.0, high=100.0,
    ),
    "injection_duration_max_deg": LimitDefault(
        "Injection duration, crank angle", 30.0, "°", "max", 3.0,
        PRACTICE + ": 20 to 30 degrees at full load (from memory; textbook examples use 12 to 32)",
        "Fuel that comes late burns late: smoke and hot exhaust instead of torque. A larger plunger shortens it.",
        "delivery_mm3", low=10.0, high=60.0,
    ),
    "intake_restriction_max_kpa": LimitDefault(
        "Intake restriction, clean", 3.7, "kPa", "max", 0.5,
        PRACTICE + ": 15 inches of water with a clean element (from memory)",
        "The compressor starts from less pressure: less boost at the same wheel speed, and oil is drawn past its seal.",
        "air_flow_kg_s", low=0.5, high=10.0,
    ),
    "service_restriction_max_kpa": LimitDefault(
        "Intake restriction, element due for service", 6.2, "kPa", "max", 0.01,
        PRACTICE + ": 25 inches of water (from memory)",
        "An element used up beyond this smokes, heats the exhaust and can be sucked in.",
        "air_flow_kg_s", low=1.0, high=15.0,
    ),
    "intake_speed_max_m_s": LimitDefault(
        "Air speed before the compressor", 45.0, "m/s", "max", 10.0, PRACTICE + " (from memory)",
        "Loss in a pipe goes with the square of the speed of the air in it.",
        "air_flow_kg_s", low=10.0, high=120.0,
    ),
    "charge_speed_max_m_s": LimitDefault(
        "Air speed in the charge pipe", 60.0, "m/s", "max", 10.0, PRACTICE + " (from memory)",
        "Loss in a pipe goes with the square of the speed of the air in it: boost that the wheel made does not arrive.",
        "air_flow_kg_s", low=10.0, high=150.0,
    ),
    "oil_feed_min_kpa": LimitDefault(
        "Oil pressure at the turbo, hot at rated speed", 200.0, "kPa", "min", 30.0, PRACTICE + " (from memory)",
        "The shaft floats on oil; with too little of it the bearings are gone in seconds.",
        "boost_kpa", stop_beyond=100.0, low=50.0, high=500.0,
    ),
    "oil_drain_max_deg": LimitDefault(
        "Oil drain, from straight down", 35.0, "°", "max", 10.0, PRACTICE,
        "Oil leaves the turbo by its weight alone. Where it stands it passes the seals, and an engine can run away on it.",
        "boost_kpa", stop_beyond=45.0, low=5.0, high=60.0,
    ),
    "oil_drain_bore_min_mm": LimitDefault(
        "Oil drain, narrowest bore", 12.0, "mm", "min", 2.0, PRACTICE,
        "Oil comes out as foam and needs several times the section of the feed.",
        "boost_kpa", low=6.0, high=40.0,
    ),
}  # fmt: skip


@dataclass(frozen=True)
class PartLimits:
    """Limits of one plan's parts; `PART_DEFAULTS` holds source and reason of each."""

    pump_share_max_pct: float = PART_DEFAULTS["pump_share_max_pct"].value
    injection_duration_max_deg: float = PART_DEFAULTS["injection_duration_max_deg"].value
    intake_restriction_max_kpa: float = PART_DEFAULTS["intake_restriction_max_kpa"].value
    service_restriction_max_kpa: float = PART_DEFAULTS["service_restriction_max_kpa"].value
    intake_speed_max_m_s: float = PART_DEFAULTS["intake_speed_max_m_s"].value
    charge_speed_max_m_s: float = PART_DEFAULTS["charge_speed_max_m_s"].value
    oil_feed_min_kpa: float = PART_DEFAULTS["oil_feed_min_kpa"].value
    oil_drain_max_deg: float = PART_DEFAULTS["oil_drain_max_deg"].value
    oil_drain_bore_min_mm: float = PART_DEFAULTS["oil_drain_bore_min_mm"].value

    def __post_init__(self) -> None:
        for field in fields(self):
            usual = PART_DEFAULTS[field.name]
            require(field.name, getattr(self, field.name), usual.low, usual.high, usual.unit)


Ends = tuple[float, float]
PART_RANGES: dict[str, tuple[float, float, str]] = {
    "pump_stroke_max_mm": (0.5, 20.0, "mm"),
    "plunger_speed_mm_deg": (0.05, 1.5, "mm/deg"),
    "service_loss_kpa": (0.5, 15.0, "kPa"),
    "intake_bore_mm": (20.0, 250.0, "mm"),
    "charge_bore_mm": (15.0, 200.0, "mm"),
    "oil_feed_kpa": (0.0, 1000.0, "kPa"),
    "oil_drain_deg": (0.0, 180.0, "deg"),
    "oil_drain_bore_mm": (3.0, 60.0, "mm"),
}


@dataclass(frozen=True)
class PartFacts:
    """What is known of the parts, each as its two ends; None is not known."""

    pump_stroke_max_mm: Ends | None = None  # greatest effective stroke, rack at its stop
    plunger_speed_mm_deg: Ends | None = None  # lift for a degree of pump shaft, while the port is shut
    service_loss_kpa: Ends | None = None  # of the air cleaner when its indicator calls
    intake_bore_mm: Ends | None = None
    charge_bore_mm: Ends | None = None
    oil_feed_kpa: Ends | None = None  # gauge
    oil_drain_deg: Ends | None = None
    oil_drain_bore_mm: Ends | None = None

    def __post_init__(self) -> None:
        for name, (low, high, unit) in PART_RANGES.items():
            ends = getattr(self, name)
            if ends is not None:
                require(name, ends, low, high, unit)


def check_parts(
    result: PlanResult, inputs: PlanInputs, facts: PartFacts, limits: PartLimits
) -> tuple[list[LimitCheck], list[str]]:
    """Hold pump, air cleaner, pipes and oil against their limits.

    Takes:
        result: answer for one plan, without draws
        inputs: what it was worked out from; no ranges [as named]
        facts: what is known of the parts [as named]
        limits: limits to hold
    Returns: tuple of list of LimitCheck and list of str: what is wrong first; half of a fact's range stands as
        uncertainty. And the names in `PART_DEFAULTS` that could not be held for want of a fact.
    Raises: OutOfRange if the pump's compression takes all that it sweeps; ValueError if the result holds draws.
    Source: Swept volume and compression of the fuel (Mathur & Sharma, ch. 12); a four-stroke's pump turns at half
        engine speed; continuity; `PART_DEFAULTS` for the limits.

    >>> from sizing.physics.plan.solve import solve_plan
    >>> inputs = PlanInputs(2.5, 4, 21.0, "indirect", 55.0, 4000.0, delivery_mm3=38.0)
    >>> checks, unknown = check_parts(solve_plan(inputs, [2000.0, 4000.0]), inputs, PartFacts(), PartLimits())
    >>> [check.name for check in checks], len(unknown)
    (['intake_restriction_max_kpa'], 8)
    """
    if result.torque_nm.ndim != 1:
        raise ValueError("the result holds many draws; limits are checked on one plan at a time")
    checks, unknown = [], []
    for name, curve in _CURVES.items():
        ends = curve(result, inputs, facts)
        if ends is None:
            unknown.append(name)
            continue
        checks.append(_check(name, ends, result.speed_rpm, float(getattr(limits, name))))
    return in_order(checks), unknown


def _check(name: str, ends: tuple[Floats, Floats], speed: Floats, limit: float) -> LimitCheck:
    usual = PART_DEFAULTS[name]
    values, half = (ends[0] + ends[1]) / 2.0, np.abs(ends[1] - ends[0]) / 2.0
    margins = limit - values if usual.direction == "max" else values - limit
    at = int(np.argmin(margins))
    source = usual.source if np.isclose(limit, usual.value) else None
    at_speed = float(speed[at]) if values.size > 1 else 0.0
    return checked_value(name, usual, float(values[at]), limit, at_speed, source, float(half[at]))


Curve = tuple[Floats, Floats] | None


def _plunger(inputs: PlanInputs) -> Floats | None:
    diameter = (
        inputs.plunger_diameter_mm if inputs.plunger_diameter_mm is not None else inputs.plunger_diameter_as_built_mm
    )
    return None if diameter is None else np.asarray(diameter, dtype=np.float64)


def _pump_share(result: PlanResult, inputs: PlanInputs, facts: PartFacts) -> Curve:
    plunger = _plunger(inputs)
    if plunger is None or facts.pump_stroke_max_mm is None:
        return None
    enclosed = inputs.column("line_volume_mm3") + inputs.column("barrel_volume_mm3")
    short, long = (
        pump.delivery_bound_mm3(plunger, stroke, inputs.column("injection_pressure_bar"), enclosed)
        for stroke in facts.pump_stroke_max_mm
    )
    return 100.0 * result.delivery_mm3 / long, 100.0 * result.delivery_mm3 / short


def _duration(result: PlanResult, inputs: PlanInputs, facts: PartFacts) -> Curve:
    plunger = _plunger(inputs)
    if plunger is None or facts.plunger_speed_mm_deg is None:
        return None
    # What the compression of the fuel takes is pushed before the nozzle opens; only what is injected counts.
    slow, fast = facts.plunger_speed_mm_deg
    return (
        injection_duration_deg(result.delivery_mm3, plunger, fast),
        injection_duration_deg(result.delivery_mm3, plunger, slow),
    )


def _restriction(result: PlanResult, inputs: PlanInputs, facts: PartFacts) -> Curve:
    share = result.speed_rpm / inputs.column("rated_speed_rpm")
    loss = inputs.column("air_cleaner_loss_kpa") * share**2  # as the plan takes it
    return loss, loss


def _service(result: PlanResult, inputs: PlanInputs, facts: PartFacts) -> Curve:
    return _single(facts.service_loss_kpa)


def _pipe(flow: Floats, pressure_kpa: Floats, temperature_c: Floats, bore_mm: Ends | None) -> Curve:
    if bore_mm is None:
        return None
    volume = flow * GAS_CONSTANT_AIR_J_KG_K * (temperature_c + 273.15) / (pressure_kpa * 1e3)
    narrow, wide = (volume / (np.pi / 4.0 * (bore / 1e3) ** 2) for bore in bore_mm)
    return wide, narrow


def _intake_speed(result: PlanResult, inputs: PlanInputs, facts: PartFacts) -> Curve:
    before = result.manifold_pressure_kpa - result.boost_kpa
    return _pipe(result.air_flow_kg_s, before, inputs.column("air_temperature_c"), facts.intake_bore_mm)


def _charge_speed(result: PlanResult, inputs: PlanInputs, facts: PartFacts) -> Curve:
    return _pipe(result.air_flow_kg_s, result.manifold_pressure_kpa, result.charge_temperature_c, facts.charge_bore_mm)


def _single(ends: Ends | None) -> Curve:
    return None if ends is None else (np.array([ends[0]]), np.array([ends[1]]))


_CURVES: dict[str, Callable[[PlanResult, PlanInputs, PartFacts], Curve]] = {
    "pump_share_max_pct": _pump_share,
    "injection_duration_max_deg": _duration,
    "intake_restriction_max_kpa": _restriction,
    "service_restriction_max_kpa": _service,
    "intake_speed_max_m_s": _intake_speed,
    "charge_speed_max_m_s": _charge_speed,
    "oil_feed_min_kpa": lambda result, inputs, facts: _single(facts.oil_feed_kpa),
    "oil_drain_max_deg": lambda result, inputs, facts: _single(facts.oil_drain_deg),
    "oil_drain_bore_min_mm": lambda result, inputs, facts: _single(facts.oil_drain_bore_mm),
}
