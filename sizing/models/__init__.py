from .bench import BenchLine
from .catalogue import AirCleaner, Cooler, MapPoint, Plunger, Pump, Turbo
from .plans import Plan, PlanInput, PlanLimit

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
