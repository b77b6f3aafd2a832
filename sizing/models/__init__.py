from .catalogue import AirCleaner, Cooler, MapPoint, Plunger, Pump, Turbo
from .plans import Plan, PlanInput, PlanLimit

__all__ = ["AirCleaner", "Cooler", "MapPoint", "Plan", "PlanInput", "PlanLimit", "Plunger", "Pump", "Turbo"]
