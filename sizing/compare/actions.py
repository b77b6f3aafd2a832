"""Taking a compared combination into its plan."""

from datetime import datetime

from sizing.catalogue.models import Cooler, Plunger, Turbo
from sizing.plans.actions import KEEP, change_plan
from sizing.plans.cases import COOLER_INPUTS
from sizing.plans.models import Plan


def take_combination(
    plan: Plan,
    turbo: Turbo,
    cooler: Cooler | None,
    plunger: Plunger | None,
    keeps_cooler: bool = False,
    at: datetime | None = None,
) -> str:
    """Put the parts into the plan, and answer in words what else that changes.

    A delivery that was typed is the old plunger's: it goes with the square of the diameters and counts as guessed from
    then on. Figures typed for a cooler go with the cooler they were typed for.
    """
    inputs: dict[str, tuple[float, float, str] | None] = {}
    words = ""
    if not keeps_cooler:
        inputs |= dict.fromkeys(COOLER_INPUTS)
    new_plunger: object = KEEP
    if plunger is not None and plunger != plan.plunger:
        new_plunger = plunger
        typed = plan.inputs.filter(name="delivery_mm3").first()
        if typed and plan.plunger:
            share = (plunger.diameter_mm / plan.plunger.diameter_mm) ** 2
            inputs["delivery_mm3"] = (typed.low * share, typed.high * share, "guessed")
            words = (
                f"Its delivery now stands at {(typed.low + typed.high) / 2 * share:.0f} mm³ a stroke by the square of the plunger "
                "diameters, as a guess: measure it on the bench."
            )
    change_plan(plan, inputs=inputs, turbo=turbo, cooler=KEEP if keeps_cooler else cooler, plunger=new_plunger, at=at)
    return words
