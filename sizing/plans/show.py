"""Inputs of a plan as they stand on a page: label, value or range, unit, where from."""

from collections.abc import Mapping

from sizing.plans.facts import ORIGIN_LABEL
from sizing.plans.inputs import GROUPS, PLAN_INPUTS, PlanFact, usual_range
from sizing.plans.models import Plan
from sizing.plans.solve import Known
from sizing.units.figures import bare_unit, tidy, to_shown


def otherwise(fact: PlanFact, injection: str) -> str:
    """What is taken when nobody knows this input."""
    usual = usual_range(fact.name, injection)
    if usual:
        low, high = (tidy(float(to_shown(end, fact.unit))) for end in usual)
        return f"usually {low} to {high}, guessed"
    return f"{fact.otherwise} is taken" if fact.otherwise else "needed"


def input_groups(plan: Plan, known: Mapping[str, Known]) -> list[tuple[str, list[dict[str, str]]]]:
    """Inputs as they stand, for reading and for paper: value or range, unit, where from."""
    stored = {row.name: (row.low, row.high, row.origin) for row in plan.inputs.all()}
    groups = []
    for group, title in GROUPS.items():
        rows = []
        for fact in (f for f in PLAN_INPUTS.values() if f.group == group):
            item = known.get(fact.name)
            low, high, origin = (item.low, item.high, item.origin) if item else stored.get(fact.name, (None, None, ""))
            if low is None or high is None:
                rows.append({"label": fact.label, "value": "", "unit": "", "origin": otherwise(fact, plan.injection)})
                continue
            ends = [tidy(float(to_shown(end, fact.unit))) for end in (low, high)]
            source = f": {item.source}" if item and item.source else ""
            usual = "" if fact.name in stored or source else ", the usual range"
            rows.append(
                {
                    "label": fact.label,
                    "value": ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}",
                    "unit": bare_unit(fact.unit),
                    "origin": f"{ORIGIN_LABEL[origin]}{source}{usual}",
                }
            )
        groups.append((title, rows))
    return groups
