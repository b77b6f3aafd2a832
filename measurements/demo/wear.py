"""What becomes of an engine on the road: wear that follows heat, pressure, load, oil care and hours.

Each part gathers damage month by month; it fails when the damage reaches its own strength, drawn once for each
vehicle (Weibull, shape 2.2: castings and bearings scatter). The rates are invented so that a workshop of this size
sees a believable number of failures; they say nothing of real parts.
"""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from measurements.demo.fleet import Visit
from sizing.physics.limits.values import usual_limits

MONTH_DAYS = 30.4375
SHAPE = 2.2
PACE = 1.9  # scales all rates together


@dataclass(frozen=True)
class Broken:
    part: str
    on: date
    hours: float
    cause: str
    counts: bool
    said_by: str


def hours_a_month(case: Visit) -> float:
    return case.model.hours_a_month * (0.75 + 0.5 * float(np.random.default_rng([case.number, 3]).random()))


def damage_per_1000_h(case: Visit) -> dict[str, float]:
    """Share of its strength that each part loses in a thousand hours, from what the engine really does."""
    limits = usual_limits(case.engine.injection, case.has_cooler)
    heat_c = float(case.after["exhaust_temperature_c"].max())
    boost_kpa = float(case.after["boost_kpa"].max())
    load_kpa = float(case.after["mean_pressure_kpa"].max())
    peak_bar = float(case.after["peak_pressure_bar"].max())
    dirt = 1.0 - case.hidden.oil_care
    over_ceiling = 2.0 ** ((boost_kpa - limits.boost_max_kpa) / 20.0)
    rates = {
        "turbo_bearing": 0.045 * 9.0**dirt * (0.6 + over_ceiling),
        "turbo_wheel": 0.035 * 2.0 ** ((heat_c - 650.0) / 30.0) * (0.7 + over_ceiling),
        "turbo_housing": 0.020 * 2.0 ** ((heat_c - 645.0) / 25.0),
        "head_gasket": 0.045 * 2.0 ** ((peak_bar - limits.peak_pressure_max_bar + 30.0) / 14.0),
        "piston": 0.030 * 2.0 ** ((heat_c - 650.0) / 28.0) * (0.7 + 0.9 * case.hidden.wear),
        "crank_bearing": 0.020 * 6.0**dirt * (load_kpa / 1100.0) ** 2,
        "pump": 0.016 * (case.delivery_plan_mm3 / case.delivery_book_mm3) ** 2,
        "injector": 0.055 * (0.6 + case.hidden.wear),
        "pipework": 0.060 * (boost_kpa / 100.0) ** 2,
    }
    if case.has_cooler:
        rates["cooler"] = 0.045 * (boost_kpa / 110.0) ** 2
    if case.model.use == "road":
        rates["clutch"] = 0.045 * 2.0 ** ((load_kpa - 1150.0) / 110.0)
    return {part: PACE * rate for part, rate in rates.items()}


_CAUSES = {
    "turbo_bearing": "oil coked in the bearing housing, oil change long overdue",
    "turbo_wheel": "blade tips cracked by heat",
    "turbo_housing": "housing cracked between the bolts by heat",
    "head_gasket": "gasket blown between two cylinders, studs stretched",
    "piston": "crown burnt at the edge, ring lands broken",
    "crank_bearing": "lining worn through, dirt in the oil",
    "pump": "plungers scored, delivery uneven",
    "injector": "nozzle worn out since before the fit, sprays to one side",
    "pipework": "hose split beside the clamp",
    "cooler": "seam of the end tank opened",
    "clutch": "lining worn down, slipped uphill",
}
# Old faults and things that any engine loses now and then: not put down to the turbo and its pump setting.
_OUTSIDE = {"injector", "pipework"}


def failures(case: Visit, handed_over_on: date, today: date) -> list[Broken]:
    """Everything that breaks up to today, in order; after something that ends the pairing nothing more is followed."""
    rng = np.random.default_rng([case.number, 7])
    pace = hours_a_month(case)
    rates = damage_per_1000_h(case)
    strengths = rng.weibull(SHAPE, len(rates))  # all drawn first: what breaks must not change what is left
    broken = []
    for (part, rate), strength in zip(rates.items(), strengths, strict=True):
        hours = float(strength) / rate * 1000.0
        on = handed_over_on + timedelta(days=round(hours / pace * MONTH_DAYS))
        if on < today - timedelta(days=5):
            broken.append(_broken(case, part, on, hours, rng))
    broken.sort(key=lambda b: (b.on, b.part))
    ends = next((i for i, b in enumerate(broken) if b.counts), len(broken))
    return broken[: ends + 1]


def _broken(case: Visit, part: str, on: date, hours: float, rng: np.random.Generator) -> Broken:
    cause, counts = _CAUSES[part], part not in _OUTSIDE
    if part in ("turbo_bearing", "crank_bearing") and case.hidden.oil_care < 0.42:
        cause, counts = "filled with the wrong oil at a filling station", False
    elif rng.random() < 0.2:
        cause = ""  # nobody looked
    said_by = str(rng.choice(["customer, on the phone", "customer", "workshop, taken apart here", "another workshop"]))
    return Broken(part, on, hours, cause, counts, said_by)


@dataclass(frozen=True)
class Call:
    on: date
    way: str
    text: str
    hours: float | None


_DAYS = (14, 95, 185, 370, 560, 740, 1100, 1470, 1830, 2150)


def calls(case: Visit, handed_over_on: date, until: date, today: date) -> list[Call]:
    """Follow-ups as a workshop makes them: regular at first, then yearly, until somebody moves away."""
    rng = np.random.default_rng([case.number, 11])
    lost_after = float(rng.exponential(1500.0))
    pace = hours_a_month(case)
    made = []
    for day in _DAYS:
        on = handed_over_on + timedelta(days=day + int(rng.integers(-8, 15)))
        reached, told_meter = rng.random() < 0.86, rng.random() < 0.85
        way = str(rng.choice(["phone", "phone", "phone", "visit", "message"]))
        if on >= min(until, today - timedelta(days=2)) or day > lost_after or not reached:
            continue
        hours = (on - handed_over_on).days / MONTH_DAYS * pace
        made.append(Call(on, way, _said(case, hours, rng), hours if told_meter else None))
    return made


def _said(case: Visit, hours: float, rng: np.random.Generator) -> str:
    oil = "oil changed in time" if rng.random() < case.hidden.oil_care else "oil change overdue, told again"
    smoke = float(case.after["lambda_ratio"][1:].min())
    runs = str(rng.choice(["pulls well", "runs as on the first day", "content", "starts well, pulls well"]))
    if smoke < 1.22:
        runs += ", a little smoke when it is floored"
    if hours > 1500 and case.hidden.oil_care < 0.5:
        runs += ", uses some oil"
    return f"{runs}; {oil}"
