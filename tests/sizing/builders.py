"""A plan for tests: an indirect-injection engine of the usual size with boost and a larger plunger."""

from sizing.plans.actions import make_plan
from tests.builders import NOW

INPUTS = {
    "displacement_l": (2.5, 2.5, "book"),
    "cylinder_count": (4, 4, "book"),
    "compression_ratio": (21, 22, "book"),
    "rated_power_kw": (55, 58, "book"),
    "rated_speed_rpm": (4000, 4000, "book"),
    "altitude_m": (0, 0, "measured"),
    "boost_kpa": (110, 120, "guessed"),
    "compensator_lambda_ratio": (1.25, 1.25, "measured"),
}


def make_a_plan(inputs=None, title="First stage", injection="indirect", **parts):
    return make_plan(title, injection, INPUTS | (inputs or {}), at=NOW, **parts)
