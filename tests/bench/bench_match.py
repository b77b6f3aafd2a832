"""The match of turbo and engine: against the same solve point by point, against plain NumPy of the same size, and 10,000 combinations."""

import resource
import time
from dataclasses import replace

import numpy as np

from sizing.physics.choice.chances import chances, draw
from sizing.physics.choice.ranking import Candidate, compare
from sizing.physics.compressor import work as compressor
from sizing.physics.compressor.estimate import Wheel, estimate_map
from sizing.physics.limits.values import usual_limits
from sizing.physics.match.solve import TurboFacts, solve_match
from sizing.physics.plan.data import PlanInputs, Range
from sizing.physics.plan.solve import solve_plan
from tests.bench.timing import best_of
from tests.sizing.physics.match.point_by_point import manifold_kpa

CHART = estimate_map(Wheel(38.0, 52.0, 12))
TURBO = TurboFacts(0.09, True, compressor=CHART, compressor_wheel_mm=52.0, turbine_wheel_mm=46.0)
INPUTS = PlanInputs(
    2.5, 4, 21.0, "indirect", 52.0, 4000.0, altitude_m=2600.0, boost_kpa=100.0, cooler_effectiveness_ratio=0.65,
    cooler_pressure_loss_kpa=5.0, plunger_diameter_mm=7.0, plunger_diameter_as_built_mm=5.75, compensator_lambda_ratio=1.2,
)  # fmt: skip
UNKNOWN = {
    "plunger_diameter_mm": Range(6.8, 7.2), "air_temperature_c": Range(5.0, 30.0), "compression_ratio": Range(20.0, 22.0),
    "exhaust_loss_kpa": Range(3.0, 9.0), "air_cleaner_loss_kpa": Range(1.5, 3.5), "turbine_efficiency_ratio": Range(0.5, 0.66),
    "cooler_effectiveness_ratio": Range(0.6, 0.7), "fuel_density_15c_kg_m3": Range(825.0, 845.0),
}  # fmt: skip
OF_THE_TURBO = {
    "turbine_capacity_kg_s": Range(0.075, 0.105),
    "map_flow_ratio": Range(0.9, 1.1),
    "surge_flow_ratio": Range(0.8, 1.2),
}
SPEEDS = np.linspace(1000.0, 4000.0, 40)
DRAWS = 2000


def _ten_exponentials() -> None:
    """The reference: ten exponentials of as many numbers as the plan has points, 100 times over (about one a crank step and more)."""
    x = np.full(DRAWS * len(SPEEDS), 0.5)
    for _ in range(100):
        for _ in range(10):
            np.negative(x, out=x)
            np.exp(x, out=x)


def bench_points():
    one_by_one = [1200.0, 1800.0, 2400.0, 3000.0, 3600.0]
    free = replace(TURBO, has_wastegate=False)
    started = time.perf_counter()
    found = [manifold_kpa(INPUTS, free, speed)[0] for speed in one_by_one]
    slow = (time.perf_counter() - started) / len(one_by_one)
    drawn = draw(replace(INPUTS, **UNKNOWN), DRAWS, 1)
    quick = best_of(lambda: solve_match(drawn, free, SPEEDS), 2) / (DRAWS * len(SPEEDS))
    off = np.max(np.abs(solve_match(INPUTS, free, one_by_one).plan.manifold_pressure_kpa - found))
    yield "match: operating points a second, over scipy's brentq point by point", slow / quick, "50 or more"
    yield "match: largest difference from brentq in manifold pressure, kPa", float(off), "0.4 or less"


def bench_compressor():
    from CoolProp.CoolProp import PropsSI

    rng = np.random.default_rng(1)
    inlet, ratio, efficiency = (
        rng.uniform(-10, 45, 200_000),
        rng.uniform(1.1, 3.0, 200_000),
        rng.uniform(0.6, 0.8, 200_000),
    )

    def slowly(k: int) -> float:
        kelvin, before = inlet[k] + 273.15, 90e3
        h1, s1 = PropsSI("H", "T", kelvin, "P", before, "Air"), PropsSI("S", "T", kelvin, "P", before, "Air")
        ideal = PropsSI("H", "P", before * ratio[k], "S", s1, "Air")
        return PropsSI("T", "P", before * ratio[k], "H", h1 + (ideal - h1) / efficiency[k], "Air")

    some = range(300)
    started = time.perf_counter()
    true = np.array([slowly(k) for k in some])
    slow = (time.perf_counter() - started) / len(some)
    quick = best_of(lambda: compressor.outlet_temperature_c(inlet, ratio, efficiency)) / inlet.size
    own = compressor.outlet_temperature_c(inlet, ratio, efficiency)[:300] + 273.15
    yield "compressor states a second, over CoolProp's scalar calls", slow / quick, "100 or more"
    yield (
        "compressor: largest difference from CoolProp in outlet temperature up to a ratio of 3, %",
        float(np.max(np.abs(own / true - 1.0))) * 100,
        "0.5 or less",
    )


def bench_draws():
    inputs, limits = replace(INPUTS, **UNKNOWN), usual_limits("indirect", True)
    reference = best_of(_ten_exponentials, 2)
    plain = best_of(lambda: solve_plan(draw(inputs, DRAWS, 1), SPEEDS), 2)
    match = best_of(lambda: chances(inputs, limits, DRAWS, 1, SPEEDS, TURBO, OF_THE_TURBO), 2)
    yield "40 speeds x 2,000 draws through the match, with its chances: seconds", match, "about 1"
    yield "  the same, over 1,000 exponentials and sign changes of 80,000 numbers", match / reference, ""
    yield "  the same, over the plan with boost as given (one answer of the engine)", match / plain, ""


def bench_combinations():
    wheels = [estimate_map(Wheel(0.72 * size, size, 12)) for size in np.linspace(44.0, 66.0, 25)]
    turbos = [
        TurboFacts(capacity, gated, compressor=chart, compressor_wheel_mm=52.0, turbine_wheel_mm=46.0)
        for chart in wheels for capacity, gated in ((0.07, True), (0.09, False), (0.11, True), (0.14, False))
    ]  # fmt: skip
    combinations = [
        Candidate(f"{i} {cooler:.2f} {plunger:.2f}", turbo, cooler, 5.0 * (cooler > 0), plunger)
        for i, turbo in enumerate(turbos) for cooler in np.linspace(0.0, 0.8, 10) for plunger in np.linspace(6.0, 8.0, 10)
    ]  # fmt: skip
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    started = time.perf_counter()
    ranked = compare(INPUTS, combinations, [1600.0, 2200.0, 3000.0, 4000.0])
    taken = time.perf_counter() - started
    yield f"{len(ranked):,} combinations of turbo, cooler and plunger at four speeds: seconds", taken, "a few"
    yield (
        "  memory that they needed on top, MB",
        (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024,
        "200 or less",
    )
