"""Keeping what readings told of a turbine."""

from django.db import transaction
from django.utils import timezone

from sizing.catalogue.models import Turbo
from sizing.plans.turbine.readings import Found


@transaction.atomic
def keep_capacity(turbo: Turbo, found: Found, plan_title: str) -> None:
    """Write the capacity into the catalogue, with where it comes from; what stood there before stays in the note."""
    before = "" if turbo.turbine_flow_kg_s is None else f" Before: {turbo.turbine_flow_kg_s:.4f} kg/s."
    speeds = ", ".join(f"{reading.speed_rpm:,.0f}" for reading in found.each)
    said = (
        f"{timezone.localdate():%Y-%m-%d}: turbine flow capacity {found.capacity_kg_s:.4f} kg/s from boost measured at {speeds} rpm, "
        f"plan {plan_title}; readings agree within {found.half_spread_kg_s:.4f} kg/s, "
        f"turbine efficiency taken as {found.efficiency_ratio:.2f}. {found.compressor_words}{before}"
    )
    turbo.turbine_flow_kg_s = round(found.capacity_kg_s, 5)
    turbo.note = f"{turbo.note}\n{said}".strip()
    turbo.save(update_fields=["turbine_flow_kg_s", "note"])
