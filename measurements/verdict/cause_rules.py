"""The table of causes: with the signs that speak for each, where to look, and where the rule comes from. Pure.

A sign is what a quantity does against the plan or its limit: low, high or fine. Every row is common practice of the trade
unless its source says otherwise; the figures only say where to look, the finding is made with hand and eye.
"""

from collections.abc import Mapping
from dataclasses import dataclass

LOW, HIGH, FINE = "low", "high", "fine"

SIGN_WORDS = {
    "boost": {LOW: "low boost", HIGH: "high boost", FINE: "boost as planned"},
    "heat": {LOW: "low exhaust temperature", HIGH: "high exhaust temperature", FINE: "exhaust temperature as planned"},
    "smoke": {LOW: "no smoke", HIGH: "heavy smoke", FINE: "little smoke"},
    "charge": {LOW: "cool charge air", HIGH: "hot charge air", FINE: "charge air as planned"},
    "restriction": {LOW: "free air cleaner", HIGH: "restricted air cleaner", FINE: "air cleaner as it should be"},
    "before_turbine": {LOW: "low pressure before the turbine", HIGH: "high pressure before the turbine", FINE: "usual pressure before the turbine"},
    "after_turbine": {LOW: "free exhaust", HIGH: "high pressure behind the turbine", FINE: "free exhaust"},
    "power": {LOW: "too little power", HIGH: "more power than planned", FINE: "power as planned"},
    "oil": {LOW: "low oil pressure", FINE: "oil pressure as it should be", HIGH: "high oil pressure"},
    "coolant": {HIGH: "hot coolant", FINE: "coolant as it should be", LOW: "cold coolant"},
}  # fmt: skip


@dataclass(frozen=True)
class Cause:
    title: str
    signs: Mapping[str, tuple[str, ...]]  # what each sign may be for this cause
    look: str
    source: str = "common practice"


CAUSES = [
    Cause(
        "Restricted air cleaner", {"restriction": (HIGH,), "boost": (LOW, FINE), "heat": (HIGH, FINE), "smoke": (HIGH, FINE)},
        "Take the element out and look; read the restriction again at full load with a new one. Look for a collapsed intake hose.",
    ),
    Cause(
        "Leak of charge air between compressor and engine", {"boost": (LOW,), "heat": (HIGH, FINE), "smoke": (HIGH, FINE)},
        "Close the intake, put 50 to 100 kPa on the pipework with the engine stopped, listen and brush with soap water: clamps, hoses, cooler, manifold gasket.",
    ),
    Cause(
        "Leak of exhaust gas before the turbine", {"boost": (LOW,), "before_turbine": (LOW,), "heat": (HIGH, FINE), "smoke": (HIGH, FINE)},
        "Cold engine: look for black traces at manifold, gaskets and turbine flange; feel for blow with a strip of paper at the first start, never with the hand.",
    ),
    Cause(
        "Turbine too large for this engine", {"boost": (LOW,), "heat": (HIGH, FINE), "smoke": (HIGH, FINE), "before_turbine": (LOW,)},
        "If boost is low only at low speed and comes at high speed, and no leak is found: a smaller turbine housing.",
    ),
    Cause(
        "Wastegate opens too early or does not shut", {"boost": (LOW,), "heat": (HIGH, FINE), "before_turbine": (LOW, FINE)},
        "With the engine cold and stopped: move the flap by hand, look at its seat, check the pressure at which the rod starts to move. None fitted: go on to the next.",
    ),
    Cause(
        "Too little fuel: delivery set low, filter blocked, or the governor does not reach full load",
        {"boost": (LOW,), "heat": (LOW,), "smoke": (LOW, FINE), "power": (LOW,)},
        "Fuel filter and feed pressure first, then lever and rack travel to the stop, then delivery on the pump bench against the plan.",
    ),
    Cause(
        "Boost compensator holds the fuel back", {"boost": (LOW,), "heat": (LOW,), "smoke": (LOW,), "power": (LOW,)},
        "Pressure line to the compensator: on, free, tight; diaphragm sound; setting as on the bench.",
    ),
    Cause(
        "Not at full load: the engine was not held down by brake or road",
        {"boost": (LOW,), "heat": (LOW,), "smoke": (LOW,), "power": (LOW,)},
        "Repeat the point with the pedal on its stop and the speed held by the load; a run-up without load is no boost test.",
    ),
    Cause(
        "Too much fuel", {"smoke": (HIGH,), "heat": (HIGH,), "boost": (FINE, HIGH), "power": (HIGH, FINE)},
        "Delivery on the pump bench against the plan; full-load stop; boost compensator jammed at full delivery.",
    ),
    Cause(
        "Late begin of injection", {"heat": (HIGH,), "smoke": (HIGH, FINE, LOW), "power": (LOW,), "boost": (FINE, HIGH)},
        "Begin of injection against the plan; worn pump drive; timing device stuck.",
    ),
    Cause(
        "Worn or leaking injectors", {"smoke": (HIGH,), "heat": (HIGH, FINE), "boost": (FINE,), "power": (LOW, FINE)},
        "Opening pressure, spray and leak-back of each injector on the tester. Never a hand before a nozzle.",
    ),
    Cause(
        "Cooler too small, dirty or without air", {"charge": (HIGH,), "boost": (FINE, LOW, HIGH), "heat": (HIGH, FINE)},
        "Air path to and through the cooler, fan and ducts; temperature before and behind the cooler at the same point.",
    ),
    Cause(
        "Compressor works outside its good range", {"charge": (HIGH,), "boost": (FINE, HIGH), "restriction": (FINE,)},
        "Compare with the map: temperature after the compressor tells its efficiency. Wheel rubbing, dirty or chipped.",
    ),
    Cause(
        "Exhaust pipe too narrow or blocked", {"after_turbine": (HIGH,), "boost": (LOW, FINE), "heat": (HIGH, FINE)},
        "Pressure behind the turbine at full load; silencer, dents, a collapsed flexible piece.",
    ),
    Cause(
        "Turbine too small for this engine", {"before_turbine": (HIGH,), "boost": (HIGH, FINE), "heat": (HIGH, FINE)},
        "If pressure before the turbine is far above boost at rated speed: a larger housing.",
    ),
    Cause(
        "Wastegate does not open, or its line is off", {"boost": (HIGH,)},
        "Pressure line to the actuator on and tight; flap free; none fitted: the turbine is small for this engine or the engine gets more fuel than planned.",
    ),
    Cause(
        "More fuel than planned", {"boost": (HIGH,), "heat": (HIGH, FINE), "power": (HIGH, FINE)},
        "Delivery on the pump bench against the plan.",
    ),
    Cause(
        "Air is lighter than planned: hot day or high place", {"boost": (LOW, FINE), "heat": (HIGH,), "smoke": (HIGH, FINE), "power": (LOW,)},
        "Compare air temperature and pressure of the run with those of the plan.",
    ),
    Cause(
        "A gauge to check", {"boost": (LOW, HIGH), "heat": (FINE,), "smoke": (FINE, LOW), "power": (FINE,)},
        "Only boost is off and everything else fits: hose to the gauge (kinked, leaking, oil in it), the gauge beside a second one.",
    ),
    Cause(
        "A thermocouple to check", {"heat": (LOW, HIGH), "boost": (FINE,), "smoke": (FINE, LOW), "power": (FINE,)},
        "Only exhaust temperature is off: depth of the tip in the gas, type of wire set on the meter, polarity.",
    ),
    Cause(
        "Oil does not reach the bearings", {"oil": (LOW,)},
        "Stop. Oil level, gauge line, filter, pump and its relief valve, worn bearings; feed and drain of the turbo.",
    ),
    Cause(
        "Cooling is at its end", {"coolant": (HIGH,)},
        "Level, cap, thermostat, fan, radiator outside and inside, head gasket. At altitude coolant boils earlier.",
    ),
]  # fmt: skip

# Before the fit there is no plan: the signs stand against limits, and say how healthy the engine is.
HEALTH = [
    Cause(
        "Oil pressure is low: worn bearings, pump or relief valve", {"oil": (LOW,)},
        "A second gauge, hot oil of the right grade, then bearings and pump. A turbo lives on this oil: mend it before the fit.",
    ),
    Cause(
        "Cooling is at its end already", {"coolant": (HIGH,)},
        "Level, cap, thermostat, fan, radiator, head gasket. More power means more heat: mend it before the fit.",
    ),
    Cause(
        "Restricted air cleaner", {"restriction": (HIGH,), "smoke": (HIGH, FINE, LOW), "heat": (HIGH, FINE)},
        "A new element, the intake hose; then take the baseline again.",
    ),
    Cause(
        "More fuel than the thin air here can burn: the pump is set for lower ground", {"smoke": (HIGH,), "heat": (HIGH,)},
        "Delivery on the pump bench against the book. A sound engine smokes so up here; it says the pump is rich, not that the engine is worn.",
    ),
    Cause(
        "Worn or leaking injectors", {"smoke": (HIGH,), "heat": (FINE, LOW, HIGH)},
        "Opening pressure, spray and leak-back of each on the tester. Never a hand before a nozzle.",
    ),
    Cause(
        "Low compression: rings, valves or gasket", {"smoke": (HIGH,), "heat": (FINE, HIGH)},
        "Compression and blow-by on the survey sheet. Low or uneven: no turbo before an overhaul.",
    ),
    Cause(
        "Late begin of injection", {"heat": (HIGH,), "smoke": (HIGH, FINE, LOW)},
        "Begin of injection against the book; worn pump drive; timing device stuck.",
    ),
    Cause(
        "Exhaust pipe too narrow or blocked", {"after_turbine": (HIGH,), "heat": (HIGH, FINE)},
        "Back pressure at full load; silencer, dents, a collapsed flexible piece. A turbo needs this pipe wide.",
    ),
]  # fmt: skip
HEALTH_SIGNS = ("oil", "coolant", "restriction", "smoke", "heat")


def sign_words(cause: Cause) -> list[str]:
    """Each sign of a cause in words, what it may be joined by "or"."""
    return [
        " or ".join(dict.fromkeys(SIGN_WORDS[name][state] for state in states)) for name, states in cause.signs.items()
    ]
