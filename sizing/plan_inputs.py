"""What a plan may be given: label, unit and what is possible for each input and each limit of the physics."""

from .facts import FACTS, Fact

# Facts of the engine that the physics does not take as they stand.
_NOT_TAKEN = {"bore_mm", "stroke_mm"}

PLACE = [
    Fact("altitude_m", "Altitude", "m", -400, 5500, group="place"),
    Fact("air_temperature_c", "Air temperature", "°C", -40, 55, group="place"),
]
AIR = [
    Fact("boost_kpa", "Boost wanted", "kPa", 0, 300, group="air"),
]

PLAN_INPUTS = {
    fact.name: fact
    for fact in [*PLACE, *(f for f in FACTS.values() if f.is_number and f.name not in _NOT_TAKEN), *AIR]
}
PLAN_LIMITS: dict[str, Fact] = {}
