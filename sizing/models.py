from sizing.catalogue.models import AirCleaner, Cooler, MapPoint, Plunger, Pump, Turbo
from sizing.plans.models import BenchLine, Plan, PlanInput, PlanLimit

__all__ = [
    "AirCleaner",
    "BenchLine",
    "Cooler",
    "MapPoint",
    "Plan",
    "PlanInput",
    "PlanLimit",
    "Plunger",
    "Pump",
    "Turbo",
]
