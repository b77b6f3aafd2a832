"""What boost one stage of an engine needs for the air of another."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.optimize import brentq

from sizing.physics import spans
from sizing.physics.errors import NoSolution
from sizing.physics.plan.data import PlanInputs
from sizing.physics.plan.solve import air_taken_kg_s
from sizing.physics.ranges import Span, takes

HIGHEST_BOOST_KPA = 300.0


@takes(
    inputs="facts and choices; its own boost does not count. No ranges [as named]",
    air_flow_kg_s=spans.FLOW_KG_S.of("dry air wanted"),
    speed_rpm=Span(400.0, 5500.0, "rpm", "engine speed at which full boost stands"),
)
def boost_for_air_kpa(inputs: PlanInputs, air_flow_kg_s: float, speed_rpm: float) -> float:
    """Boost at which an engine takes in a given flow of air.

    Returns: gauge pressure in the manifold, 0 to 300 [kPa].
    Raises: NoSolution if no boost between 0 and 300 kPa brings this air.
    Source: Speed-density air flow, solved for the pressure (Brent's method).

    >>> from sizing.physics.plan.solve import solve_plan
    >>> inputs = PlanInputs(2.5, 4, 21.0, "indirect", 55.0, 4000.0, boost_kpa=80.0, delivery_mm3=50.0)
    >>> air = float(solve_plan(inputs, [4000.0]).air_flow_kg_s[0])
    >>> round(boost_for_air_kpa(inputs, air, 4000.0), 3)
    80.0
    """

    speed = np.array([speed_rpm], dtype=np.float64)

    def surplus(boost_kpa: float) -> float:
        return float(air_taken_kg_s(replace(inputs, boost_kpa=boost_kpa), speed)[0]) - air_flow_kg_s

    least, most = surplus(0.0), surplus(HIGHEST_BOOST_KPA)
    if least > 0 or most < 0:
        side = (
            "without any boost it takes in more" if least > 0 else f"{HIGHEST_BOOST_KPA:.0f} kPa of boost brings less"
        )
        raise NoSolution(f"no boost brings {air_flow_kg_s:.4f} kg/s at {speed_rpm:.0f} rpm: {side}")
    return float(np.round(brentq(surplus, 0.0, HIGHEST_BOOST_KPA, xtol=1e-3), 3))
