"""What each engine really does, from the physics of the plan with its hidden parameters; and what a gauge reads of it.

All vehicles are worked out together: a few solves for the whole fleet.
"""

from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from measurements.demo import names
from measurements.demo.catalogue import turbo_basis
from measurements.demo.engines import Engine
from measurements.demo.fleet import Visit
from sizing.physics.air import standard_pressure_kpa
from sizing.physics.engine.smoke import opacity_pct
from sizing.physics.limits.values import usual_limits
from sizing.physics.match.solve import TurboFacts, solve_matches
from sizing.physics.plan.data import PlanInputs
from sizing.physics.plan.solve import delivery_as_built_mm3, solve_plan

ALTITUDE_M = names.WORKSHOP["altitude_m"]
CLOGGED_KPA = 8.5  # loss of an old element at rated speed
FACTORS = np.arange(1.0, 1.61, 0.15)  # of the delivery as built, tried for each plan; the pumps take no larger plunger
COOLER = {
    "Kel-S": (0.68, 5.0),
    "Kel-M": (0.70, 5.5),
    "Kel-L": (0.72, 5.5),
    "Kel-W": (0.78, 4.0),
}  # effectiveness, loss kPa
KEPT = (
    "boost_kpa", "charge_temperature_c", "exhaust_temperature_c", "lambda_ratio", "torque_nm", "power_kw",
    "mean_pressure_kpa", "peak_pressure_bar", "air_flow_kg_s",
)  # fmt: skip
# Pumps up here have been set back from the book, since there is less air to burn it with.
SET_BACK = {"indirect": 0.86, "direct": 0.94}
HIGHEST_MEAN_PRESSURE_KPA = {"indirect": 1150.0, "direct": 1330.0}


def smoke_per_m(lambda_ratio: ArrayLike) -> np.ndarray:
    """Demo only: smoke rises steeply as lambda comes near 1; clear exhaust still reads a little."""
    return np.minimum(0.12 + 3.0 * np.exp(-(np.asarray(lambda_ratio) - 1.0) / 0.14), 7.5)


def _column(cases: list[Visit], value: Callable[[Visit], float]) -> np.ndarray:
    return np.array([value(case) for case in cases], dtype=np.float64)


def _engine_columns(cases: list[Visit]) -> dict:
    """The engine as the book has it."""
    return {
        "displacement_l": _column(cases, lambda c: c.engine.displacement_l),
        "cylinder_count": _column(cases, lambda c: c.engine.cylinders),
        "rated_power_kw": _column(cases, lambda c: c.engine.rated_power_kw),
        "rated_speed_rpm": _column(cases, lambda c: c.engine.rated_speed_rpm),
        "governed_speed_rpm": _column(cases, lambda c: c.engine.governed_speed_rpm),
        "injection": cases[0].engine.injection,
        "altitude_m": ALTITUDE_M,
    }


def _true_columns(cases: list[Visit], air_temperature_c: np.ndarray) -> dict:
    return {
        **_engine_columns(cases),
        "compression_ratio": _column(cases, lambda c: c.hidden.compression_ratio),
        "turbine_efficiency_ratio": _column(cases, lambda c: c.hidden.turbine_efficiency),
        "compressor_efficiency_ratio": _column(cases, lambda c: c.hidden.compressor_efficiency),
        "exhaust_loss_kpa": _column(cases, lambda c: c.hidden.exhaust_loss_kpa),
        "air_cleaner_loss_kpa": _column(cases, lambda c: c.hidden.cleaner_loss_kpa),
        "fuel_density_15c_kg_m3": _column(cases, lambda c: c.hidden.fuel_density),
        "air_temperature_c": air_temperature_c,
    }


def _cooler(case: Visit) -> tuple[float, float]:
    return COOLER[case.engine.cooler] if case.has_cooler else (0.0, 0.0)


def _turbos(cases: list[Visit], wider: np.ndarray | float = 1.0) -> list[TurboFacts]:
    """What is fitted to each, as it truly is; a `wider` turbine gives less boost."""
    scale = np.broadcast_to(wider, (len(cases),))
    found = []
    for case, more in zip(cases, scale, strict=True):
        hidden, turbo = case.hidden, _usual_turbo(case.turbo)
        capacity = float(np.asarray(turbo.turbine_capacity_kg_s)) * hidden.capacity_scale * float(more)
        found.append(replace(turbo, turbine_capacity_kg_s=capacity, turbine_efficiency_ratio=hidden.turbine_efficiency))
    return found


@lru_cache(maxsize=32)
def _usual_turbo(name: str) -> TurboFacts:
    return turbo_basis(name, 0.58).turbo


def _solved(columns: dict, speeds: np.ndarray, turbos: list[TurboFacts] | None = None) -> dict[str, np.ndarray]:
    inputs = PlanInputs(**columns)
    result = solve_plan(inputs, speeds) if turbos is None else solve_matches(inputs, turbos, speeds).plan
    return {name: np.asarray(getattr(result, name)) for name in KEPT}


def _book_delivery(cases: list[Visit]) -> None:
    by_engine: dict[str, float] = {}
    for case in cases:
        if case.engine.name not in by_engine:
            by_engine[case.engine.name] = _as_built_mm3(case.engine)
        case.delivery_book_mm3 = by_engine[case.engine.name]
        set_back = SET_BACK[case.engine.injection]
        case.delivery_before_mm3 = case.delivery_book_mm3 * set_back * case.hidden.delivery_scale


def _as_built_mm3(engine: Engine) -> float:
    inputs = PlanInputs(
        engine.displacement_l,
        engine.cylinders,
        engine.compression_ratio,
        engine.injection,
        engine.rated_power_kw,
        engine.rated_speed_rpm,
    )
    return float(np.ravel(delivery_as_built_mm3(inputs))[0])


def _choose_delivery(cases: list[Visit], speeds: np.ndarray) -> None:
    """As the owner does: the most fuel that keeps lambda, heat and load as far inside as this plan is careful."""
    count = len(FACTORS)
    columns = _engine_columns(cases) | {
        "compression_ratio": _column(cases, lambda c: c.engine.compression_ratio),
        "boost_kpa": _column(cases, lambda c: c.boost_kpa),
        "cooler_effectiveness_ratio": _column(cases, lambda c: _cooler(c)[0]),
        "cooler_pressure_loss_kpa": _column(cases, lambda c: _cooler(c)[1]),
    }
    wide = {k: np.repeat(v, count) if isinstance(v, np.ndarray) else v for k, v in columns.items()}
    book = _column(cases, lambda c: c.delivery_book_mm3)
    wide |= {"air_temperature_c": 18.0, "delivery_mm3": (book[:, None] * FACTORS).ravel()}
    # Only where boost has come up; lower down a plan without a compensator smokes whatever is chosen.
    wide |= _compensator(cases, count)
    found = _solved(
        wide, np.repeat(speeds[:, 1:], count, axis=0), [_usual_turbo(c.turbo) for c in cases for _ in range(count)]
    )
    for i, case in enumerate(cases):
        rows = slice(i * count, (i + 1) * count)
        limits, caution = usual_limits(case.engine.injection, case.has_cooler), case.hidden.caution
        fits = (
            (found["lambda_ratio"][rows].min(axis=1) >= limits.lambda_min_ratio + 0.01 + 0.10 * caution)
            & (found["exhaust_temperature_c"][rows].max(axis=1) <= limits.exhaust_temperature_max_c - 10 - 60 * caution)
            & (
                found["mean_pressure_kpa"][rows].max(axis=1)
                <= HIGHEST_MEAN_PRESSURE_KPA[case.engine.injection] - 120 * caution
            )
            & (found["peak_pressure_bar"][rows].max(axis=1) <= limits.peak_pressure_max_bar - 5)
        )
        best = int(np.flatnonzero(fits).max()) if fits.any() else 0
        case.delivery_plan_mm3 = round(case.delivery_book_mm3 * float(FACTORS[best]), 1)
        wanted = case.engine.plunger_mm * np.sqrt(FACTORS[best])
        case.plunger_mm = float(np.clip(np.ceil(wanted * 2 - 0.25) / 2, case.engine.plunger_mm, 9.0))


def has_compensator(case: Visit) -> bool:
    return case.engine.pump != "Uln-3L"


def compensator_lambda_ratio(case: Visit) -> float:
    """Set on the bench a little leaner than the limit."""
    return usual_limits(case.engine.injection, case.has_cooler).lambda_min_ratio + 0.10


def _compensator(cases: list[Visit], count: int = 1) -> dict:
    """Without one the fuel is never held back: a lambda of 1 where it never is below."""
    set_to = _column(cases, lambda c: compensator_lambda_ratio(c) if has_compensator(c) else 1.0)
    return {"compensator_lambda_ratio": np.repeat(set_to, count)}


def _fitted_columns(cases: list[Visit], day: int) -> dict:
    columns = _true_columns(cases, _column(cases, lambda c: c.air_temperature_c(day)))
    return columns | {
        "boost_kpa": _column(cases, lambda c: c.boost_kpa * c.hidden.boost_scale),
        "delivery_mm3": _column(cases, lambda c: c.delivery_plan_mm3),
        "cooler_effectiveness_ratio": _column(cases, lambda c: _cooler(c)[0] * c.hidden.cooler_scale),
        "cooler_pressure_loss_kpa": _column(cases, lambda c: _cooler(c)[1]),
        **_compensator(cases),
    }


def _with_fault(cases: list[Visit], columns: dict) -> dict:
    fault = np.array([case.hidden.fault for case in cases])
    return columns | {
        "boost_kpa": columns["boost_kpa"] * np.where(fault == "leak", 0.78, 1.0),
        "delivery_mm3": columns["delivery_mm3"] * np.where(fault == "overfuel", 1.35, 1.0),
        "compensator_lambda_ratio": np.where(fault == "overfuel", 1.0, columns["compensator_lambda_ratio"]),
        "air_cleaner_loss_kpa": np.where(fault == "cleaner", CLOGGED_KPA, columns["air_cleaner_loss_kpa"]),
    }


def work_out(fleet: Iterable[Visit], day_before: int, day_after: int) -> None:
    """Fill in what every engine does before the fit, in its first proving run and after it."""
    fleet = list(fleet)
    _book_delivery(fleet)
    for injection in ("indirect", "direct"):
        cases = [case for case in fleet if case.engine.injection == injection]
        if not cases:
            continue
        speeds = np.stack([case.speeds_rpm for case in cases])
        _choose_delivery(cases, speeds)
        built = _true_columns(cases, _column(cases, lambda c: c.air_temperature_c(day_before)))
        before = _solved(built | {"delivery_mm3": _column(cases, lambda c: c.delivery_before_mm3)}, speeds)
        fitted = _fitted_columns(cases, day_after)
        after = _solved(fitted, speeds, _turbos(cases))
        leaking = np.array([case.hidden.fault == "leak" for case in cases])
        first = _solved(_with_fault(cases, fitted), speeds, _turbos(cases, wider=np.where(leaking, 1.25, 1.0)))
        for i, case in enumerate(cases):
            case.before, case.first_run, case.after = (
                {name: values[i] for name, values in found.items()} for found in (before, first, after)
            )


class Gauges:
    """What the workshop's gauges read: the true value with an error inside their plus or minus, as coarse as they show."""

    PLUS_MINUS = {
        "boost_kpa": (3.0, 1.0), "exhaust_temperature_c": (8.0, 1.0), "charge_temperature_c": (3.0, 1.0),
        "smoke_k_per_m": (0.15, 0.01), "oil_pressure_kpa": (15.0, 5.0), "restriction_kpa": (0.2, 0.1),
    }  # fmt: skip

    def __init__(self, case: Visit):
        self.case = case
        # A gauge is off by much the same all day; single readings scatter less.
        self.offset = {slug: float(case.rng.normal(0, pm / 3)) for slug, (pm, _) in self.PLUS_MINUS.items()}

    def read(self, slug: str, true_value: float) -> float:
        plus_minus, step = self.PLUS_MINUS[slug]
        value = true_value + self.offset[slug] + float(self.case.rng.normal(0, plus_minus / 6))
        return round(round(value / step) * step, 2)

    def oil_pressure_kpa(self, speed_rpm: float) -> float:
        """Gear pump against worn bearings: rises with speed up to the relief valve."""
        wear = self.case.hidden.wear
        share = speed_rpm / self.case.engine.rated_speed_rpm
        return self.read("oil_pressure_kpa", (150 + 330 * min(share, 0.9)) * (1.05 - 0.28 * wear))

    def restriction_kpa(self, speed_rpm: float, clogged: bool) -> float:
        """What the air cleaner takes, with the square of the flow."""
        loss = CLOGGED_KPA if clogged else self.case.hidden.cleaner_loss_kpa
        return max(self.read("restriction_kpa", loss * (speed_rpm / self.case.engine.rated_speed_rpm) ** 2), 0.0)

    def smoke(self, lambda_ratio: float) -> float:
        return max(self.read("smoke_k_per_m", float(smoke_per_m(lambda_ratio))), 0.0)


def air_pressure_kpa(case: Visit, day: int) -> float:
    """Weather moves the barometer by a few tenths of a kilopascal."""
    scatter = np.random.default_rng([case.number, day]).normal(0, 0.3)
    return round(float(standard_pressure_kpa(ALTITUDE_M)) + float(np.clip(scatter, -0.8, 0.8)), 1)


def opacity(k_per_m: float) -> float:
    return round(float(opacity_pct(k_per_m)), 1)
