"""The operating line of a turbo of the catalogue on the engine of a plan, up to the governed speed."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from sizing.catalogue.models import Turbo
from sizing.physics.match.solve import Match, solve_match
from sizing.physics.plan.data import PlanInputs
from sizing.plans.solve import Known, physics_inputs
from sizing.plans.turbo_basis import Basis, Measures, basis_of, measures_of

SPEED_COUNT = 11  # up to rated speed; two more follow up to the governed one


def match_speeds(inputs: PlanInputs) -> list[float]:
    """From a quarter of rated speed up to it, then on to the governed speed."""
    rated = float(inputs.column("rated_speed_rpm"))
    governed = rated * 1.1 if inputs.governed_speed_rpm is None else float(inputs.column("governed_speed_rpm"))
    speeds = [round(float(s) / 50) * 50.0 for s in np.linspace(max(0.25 * rated, 600.0), rated, SPEED_COUNT)[:-1]]
    beyond = [round((rated + governed) / 20) * 10.0, governed] if governed > rated + 20 else []
    return [*speeds, rated, *beyond]


@dataclass(frozen=True)
class Matched:
    """The operating line with what it rests on."""

    inputs: PlanInputs
    basis: Basis
    match: Match


def matched(injection: str, known: Mapping[str, Known], turbo: Turbo) -> Matched:
    """Solve a turbo on the engine of a case. Raises ValueError with the reason in words."""
    return _matched(injection, tuple(sorted(known.items(), key=lambda item: item[0])), measures_of(turbo))


@lru_cache(maxsize=64)
def _matched(injection: str, known: tuple[tuple[str, Known], ...], measures: Measures) -> Matched:
    inputs = physics_inputs(injection, dict(known))
    basis = basis_of(measures, float(inputs.column("turbine_efficiency_ratio")))
    return Matched(inputs, basis, solve_match(inputs, basis.turbo, match_speeds(inputs)))
