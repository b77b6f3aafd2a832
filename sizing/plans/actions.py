"""Making, copying and changing plans. A plan does not know its job, so a job's history is written by who calls."""

import math
import uuid
from collections.abc import Mapping
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from sizing.catalogue.models import AirCleaner, Cooler, Plunger, Turbo
from sizing.plans.facts import INJECTION, ORIGIN_LABEL
from sizing.plans.inputs import PLAN_INPUTS, PLAN_LIMITS
from sizing.plans.models import Plan, PlanInput, PlanLimit

Given = tuple[float, float, str]  # low, high, origin
KEEP = object()
PARTS = ("turbo", "cooler", "air_cleaner", "plunger")


class BadInput(ValueError):
    """A value a plan cannot stand on; `name` is the input it belongs to."""

    def __init__(self, name: str, text: str):
        self.name = name
        super().__init__(text)


def check_input(name: str, given: Given) -> Given:
    """Return the range as floats, or raise BadInput that names the input, the value and what is allowed."""
    if name not in PLAN_INPUTS:
        raise BadInput(name, f"'{name}' is not an input of a plan. Known: {', '.join(PLAN_INPUTS)}.")
    known = PLAN_INPUTS[name]
    low, high, origin = float(given[0]), float(given[1]), given[2]
    for value in (low, high):
        if not (math.isfinite(value) and known.low <= value <= known.high):
            allowed = f"{known.low:g} to {known.high:g} {known.unit}".strip()
            raise BadInput(name, f"{known.label}: {value:g} is outside what is possible. Allowed: {allowed}.")
    if low > high:
        raise BadInput(
            name, f"{known.label}: the range starts at {low:g} and ends at {high:g}. Put the smaller value first."
        )
    if origin not in ORIGIN_LABEL:
        raise BadInput(name, f"{known.label}: '{origin}' is not an origin. Allowed: {', '.join(ORIGIN_LABEL)}.")
    return low, high, origin


def check_limit(name: str, value: float, source: str) -> tuple[float, str]:
    if name not in PLAN_LIMITS:
        raise BadInput(name, f"'{name}' is not a limit of a plan. Known: {', '.join(PLAN_LIMITS)}.")
    known = PLAN_LIMITS[name]
    if not (math.isfinite(value) and known.low <= value <= known.high):
        allowed = f"{known.low:g} to {known.high:g} {known.unit}".strip()
        raise BadInput(name, f"{known.label}: {value:g} is outside what is possible. Allowed: {allowed}.")
    if not source.strip():
        raise BadInput(name, f"{known.label}: say where your limit of {value:g} comes from.")
    return float(value), source.strip()


def known_injection(injection: str) -> str:
    if injection not in dict(INJECTION):
        raise BadInput("injection", f"Injection: '{injection}' is not known. Allowed: {', '.join(dict(INJECTION))}.")
    return injection


@transaction.atomic
def make_plan(
    title: str,
    injection: str,
    inputs: Mapping[str, Given],
    turbo: Turbo | None = None,
    cooler: Cooler | None = None,
    air_cleaner: AirCleaner | None = None,
    plunger: Plunger | None = None,
    note: str = "",
    at: datetime | None = None,
    request_id: uuid.UUID | None = None,
) -> Plan:
    """Store a plan with its inputs. With a request_id, a second call returns the plan of the first."""
    checked = {name: check_input(name, given) for name, given in inputs.items()}
    now = at or timezone.now()
    fields = {
        "title": title.strip() or "Plan",
        "injection": known_injection(injection),
        "note": note,
        "made_at": now,
        "changed_at": now,
        "turbo": turbo,
        "cooler": cooler,
        "air_cleaner": air_cleaner,
        "plunger": plunger,
    }
    if request_id is None:
        plan = Plan.objects.create(**fields)
    else:
        plan, is_new = Plan.objects.get_or_create(request_id=request_id, defaults=fields)
        if not is_new:
            return plan
    PlanInput.objects.bulk_create(
        PlanInput(plan=plan, name=name, low=low, high=high, origin=origin)
        for name, (low, high, origin) in checked.items()
    )
    return plan


@transaction.atomic
def copy_plan(plan: Plan, title: str, at: datetime | None = None, request_id: uuid.UUID | None = None) -> Plan:
    """The same inputs, parts and own limits under a new title: the next stage starts from this one."""
    inputs = {row.name: (row.low, row.high, row.origin) for row in plan.inputs.all()}
    parts = {part: getattr(plan, part) for part in PARTS}
    copy = make_plan(title, plan.injection, inputs, note=plan.note, at=at, request_id=request_id, **parts)
    PlanLimit.objects.bulk_create(
        [PlanLimit(plan=copy, name=row.name, value=row.value, source=row.source) for row in plan.own_limits.all()],
        ignore_conflicts=True,  # the second of a double submit
    )
    return copy


@transaction.atomic
def change_plan(
    plan: Plan,
    *,
    title: str | None = None,
    injection: str | None = None,
    note: str | None = None,
    inputs: Mapping[str, Given | None] | None = None,
    own_limits: Mapping[str, tuple[float, str] | None] | None = None,
    turbo: object = KEEP,
    cooler: object = KEEP,
    air_cleaner: object = KEEP,
    plunger: object = KEEP,
    at: datetime | None = None,
) -> Plan:
    """Change what is given and keep the rest. An input or a limit given as None is taken away: unknown again."""
    plan = Plan.objects.select_for_update().get(pk=plan.pk)
    if title is not None and title.strip():
        plan.title = title.strip()
    if injection is not None:
        plan.injection = known_injection(injection)
    if note is not None:
        plan.note = note
    for part, value in zip(PARTS, (turbo, cooler, air_cleaner, plunger), strict=True):
        if value is not KEEP:
            setattr(plan, part, value)
    plan.changed_at = at or timezone.now()
    plan.save()
    _change_inputs(plan, inputs or {})
    _change_limits(plan, own_limits or {})
    return plan


def _change_inputs(plan: Plan, inputs: Mapping[str, Given | None]) -> None:
    kept = [
        PlanInput(plan=plan, name=name, low=low, high=high, origin=origin)
        for name, (low, high, origin) in ((n, check_input(n, g)) for n, g in inputs.items() if g is not None)
    ]
    plan.inputs.filter(name__in=[name for name, given in inputs.items() if given is None]).delete()
    PlanInput.objects.bulk_create(
        kept, update_conflicts=True, unique_fields=["plan", "name"], update_fields=["low", "high", "origin"]
    )


def _change_limits(plan: Plan, limits: Mapping[str, tuple[float, str] | None]) -> None:
    kept = [
        PlanLimit(plan=plan, name=name, value=value, source=source)
        for name, (value, source) in ((n, check_limit(n, *g)) for n, g in limits.items() if g is not None)
    ]
    plan.own_limits.filter(name__in=[name for name, given in limits.items() if given is None]).delete()
    PlanLimit.objects.bulk_create(
        kept, update_conflicts=True, unique_fields=["plan", "name"], update_fields=["value", "source"]
    )
