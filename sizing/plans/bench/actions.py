"""Keeping what the pump bench measured of a plan's pump."""

from collections.abc import Mapping, Sequence

from django.db import transaction

from sizing.plans.models import BenchLine, Plan


@transaction.atomic
def keep_bench_lines(plan: Plan, lines_mm3: Mapping[str, Sequence[float]]) -> None:
    """The lines take the place of those before, as one sheet; none at all takes the sheet away. Twice is as once."""
    plan = Plan.objects.select_for_update().get(pk=plan.pk)
    plan.bench_lines.all().delete()
    BenchLine.objects.bulk_create(
        BenchLine(plan=plan, at=at, line=number, delivery_mm3=delivery, plunger=plan.plunger)
        for at, lines in lines_mm3.items()
        for number, delivery in enumerate(lines, 1)
    )
