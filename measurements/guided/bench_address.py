"""From the guided sheet of the pump bench to the bench sheet of the plan, so that no line is typed twice."""

from urllib.parse import urlencode

from django.urls import reverse

from measurements.guided.entries import standing_entries
from shop.jobs.models import JobPlan
from sizing.plans.bench.forms import line_name
from sizing.plans.models import Plan
from sizing.units.figures import as_typed

# Items of the guided sheet that are read at full load; idle says nothing of smoke under load.
SPEED_OF = {"delivery_rated_mm3": "rated", "delivery_torque_mm3": "torque"}


def bench_address(plan: Plan) -> tuple[str, int]:
    """The plan's page with what stands on the sheet of its job, and how many lines that is."""
    link = JobPlan.objects.select_related("job").filter(plan=plan).first()
    entries = standing_entries(link.job, "pump_bench") if link else {}
    lines = {
        line_name(SPEED_OF[item], place): as_typed(entry.value)
        for (item, place), entry in entries.items()
        if item in SPEED_OF and entry.value is not None
    }
    address = reverse("sizing:bench", args=[plan.pk])
    return (f"{address}?{urlencode(lines)}" if lines else address), len(lines)
