"""What to look at first when a run is off plan: a table of causes with the signs that speak for each. Pure.

A sign is what a quantity does against the plan: low, high or fine. A cause is left out as soon as one of its signs
is contradicted; among the rest the one with most of its signs seen comes first. Every row is common practice of the
trade unless its source says otherwise; the figures only say where to look, the finding is made with hand and eye.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from .checks import NEAR, OFF, STOP, Finding

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
SIGN_OF = {
    "boost_kpa": "boost",
    "exhaust_temperature_c": "heat",
    "smoke_k_per_m": "smoke",
    "smoke_opacity_pct": "smoke",
    "charge_temperature_c": "charge",
    "restriction_kpa": "restriction",
    "turbine_inlet_pressure_kpa": "before_turbine",
    "exhaust_back_pressure_kpa": "after_turbine",
    "power_kw": "power",
    "torque_nm": "power",
    "oil_pressure_kpa": "oil",
    "coolant_temperature_c": "coolant",
}
# Below this nobody sees smoke; k on the usual 0.430 m path is opacity by Beer and Lambert. Common practice.
CLEAN_OPACITY_PCT, CLEAN_K_PER_M = 15.0, 0.38
# Back pressure behind the turbine that a good pipe stays under at full load. Common practice.
FREE_EXHAUST_KPA = 10.0


@dataclass(frozen=True)
class Cause:
    title: str
    signs: Mapping[str, tuple[str, ...]]  # what each sign may be for this cause
    look: str
    source: str = "common practice"


@dataclass(frozen=True)
class Suspect:
    cause: Cause
    seen: tuple[str, ...]  # the signs that speak for it, in words
    not_measured: tuple[str, ...]

    @property
    def evidence(self) -> str:
        text = f"Speaks for it: {', '.join(self.seen)}."
        if self.not_measured:
            text += f" Would make it surer: {', '.join(self.not_measured)}."
        return text


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


def _smoke_sign(finding: Finding) -> str:
    clean = CLEAN_K_PER_M if finding.quantity == "smoke_k_per_m" else CLEAN_OPACITY_PCT
    if finding.word in (NEAR, OFF, STOP):
        return HIGH
    return LOW if finding.measured.value < clean else FINE


def sign_of(finding: Finding) -> str:
    """What one judged reading says: low, high or fine; empty when there was nothing to compare it with."""
    if SIGN_OF.get(finding.quantity) == "smoke":
        return _smoke_sign(finding)
    if finding.quantity == "exhaust_back_pressure_kpa":
        return HIGH if finding.measured.value > FREE_EXHAUST_KPA else FINE
    if finding.limit_word in (OFF, STOP) and finding.limit is not None:
        return HIGH if finding.limit.direction == "max" else LOW
    if finding.side in (LOW, HIGH) and finding.word in (NEAR, OFF, STOP):
        # Only just outside says little: it counts as fine, so that a whole cause does not hang on it.
        return finding.side if finding.word in (OFF, STOP) else FINE
    return FINE if finding.word else ""


def signs_of(findings: Iterable[Finding]) -> dict[str, str]:
    signs: dict[str, str] = {}
    for finding in findings:
        name = SIGN_OF.get(finding.quantity)
        sign = sign_of(finding)
        if name and sign and (name not in signs or signs[name] == FINE):
            signs[name] = sign
    return signs


def _strength(cause: Cause, known: list[str], off: set[str]) -> float:
    """What is off and explained counts double; a sign the cause stands on, not measured, weighs against it."""
    missing = [len(states) for name, states in cause.signs.items() if name not in known]
    return sum(2.0 if name in off else 1.0 for name in known) - sum(1.0 if many == 1 else 0.25 for many in missing)


def suspects(findings: Iterable[Finding], most: int = 5) -> list[Suspect]:
    """Causes that fit what was measured, the best supported first; none when nothing is off."""
    findings = list(findings)
    if not any(f.word in (OFF, STOP) for f in findings):
        return []
    signs, found = signs_of(findings), []
    off = {name for name, sign in signs.items() if sign != FINE and not (name == "smoke" and sign == LOW)}
    for order, cause in enumerate(CAUSES):
        known = [name for name in cause.signs if name in signs]
        if any(signs[name] not in cause.signs[name] for name in known):
            continue
        explained = [name for name in known if name in off]
        if not explained:
            continue
        seen = tuple(SIGN_WORDS[name][signs[name]] for name in known)
        unknown = tuple(SIGN_WORDS[name][cause.signs[name][0]] for name in cause.signs if name not in signs)
        found.append((-_strength(cause, known, off), order, Suspect(cause, seen, unknown)))
    return [suspect for _, _, suspect in sorted(found, key=lambda row: row[:2])[:most]]
