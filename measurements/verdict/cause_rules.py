"""The table of causes: with the signs that speak for each, where to look, and where the rule comes from. Pure.

A sign is what a quantity does against the plan or its limit: low, high or fine. Every row is common practice of the trade
unless its source says otherwise; the figures only say where to look, the finding is made with hand and eye.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

LOW, HIGH, FINE = "low", "high", "fine"
_PRACTICE = _("common practice")

SIGN_WORDS = {
    "boost": {LOW: _("low boost"), HIGH: _("high boost"), FINE: _("boost as planned")},
    "heat": {LOW: _("low exhaust temperature"), HIGH: _("high exhaust temperature"), FINE: _("exhaust temperature as planned")},
    "smoke": {LOW: _("no smoke"), HIGH: _("heavy smoke"), FINE: _("little smoke")},
    "charge": {LOW: _("cool charge air"), HIGH: _("hot charge air"), FINE: _("charge air as planned")},
    "restriction": {LOW: _("free air cleaner"), HIGH: _("restricted air cleaner"), FINE: _("air cleaner as it should be")},
    "before_turbine": {LOW: _("low pressure before the turbine"), HIGH: _("high pressure before the turbine"), FINE: _("usual pressure before the turbine")},
    "after_turbine": {LOW: _("free exhaust"), HIGH: _("high pressure behind the turbine"), FINE: _("free exhaust")},
    "power": {LOW: _("too little power"), HIGH: _("more power than planned"), FINE: _("power as planned")},
    "oil": {LOW: _("low oil pressure"), FINE: _("oil pressure as it should be"), HIGH: _("high oil pressure")},
    "coolant": {HIGH: _("hot coolant"), FINE: _("coolant as it should be"), LOW: _("cold coolant")},
}  # fmt: skip


@dataclass(frozen=True)
class Cause:
    slug: str
    title: Promise
    signs: Mapping[str, tuple[str, ...]]  # what each sign may be for this cause
    look: Promise
    source: Promise = _PRACTICE


CAUSES = [
    Cause(
        "air_cleaner", _("Restricted air cleaner"),
        {"restriction": (HIGH,), "boost": (LOW, FINE), "heat": (HIGH, FINE), "smoke": (HIGH, FINE)},
        _("Take the element out and look; read the restriction again at full load with a new one. Look for a collapsed intake hose."),
    ),
    Cause(
        "charge_air_leak", _("Leak of charge air between compressor and engine"),
        {"boost": (LOW,), "heat": (HIGH, FINE), "smoke": (HIGH, FINE)},
        _("Close the intake, put 50 to 100 kPa on the pipework with the engine stopped, listen and brush with soap water: clamps, hoses, cooler, manifold gasket."),
    ),
    Cause(
        "exhaust_leak", _("Leak of exhaust gas before the turbine"),
        {"boost": (LOW,), "before_turbine": (LOW,), "heat": (HIGH, FINE), "smoke": (HIGH, FINE)},
        _("Cold engine: look for black traces at manifold, gaskets and turbine flange; feel for blow with a strip of paper at the first start, never with the hand."),
    ),
    Cause(
        "turbine_too_large", _("Turbine too large for this engine"),
        {"boost": (LOW,), "heat": (HIGH, FINE), "smoke": (HIGH, FINE), "before_turbine": (LOW,)},
        _("If boost is low only at low speed and comes at high speed, and no leak is found: a smaller turbine housing."),
    ),
    Cause(
        "wastegate_early", _("Wastegate opens too early or does not shut"),
        {"boost": (LOW,), "heat": (HIGH, FINE), "before_turbine": (LOW, FINE)},
        _("With the engine cold and stopped: move the flap by hand, look at its seat, check the pressure at which the rod starts to move. None fitted: go on to the next."),
    ),
    Cause(
        "too_little_fuel", _("Too little fuel: delivery set low, filter blocked, or the governor does not reach full load"),
        {"boost": (LOW,), "heat": (LOW,), "smoke": (LOW, FINE), "power": (LOW,)},
        _("Fuel filter and feed pressure first, then lever and rack travel to the stop, then delivery on the pump bench against the plan."),
    ),
    Cause(
        "compensator_holds_back", _("Boost compensator holds the fuel back"),
        {"boost": (LOW,), "heat": (LOW,), "smoke": (LOW,), "power": (LOW,)},
        _("Pressure line to the compensator: on, free, tight; diaphragm sound; setting as on the bench."),
    ),
    Cause(
        "not_full_load", _("Not at full load: the engine was not held down by brake or road"),
        {"boost": (LOW,), "heat": (LOW,), "smoke": (LOW,), "power": (LOW,)},
        _("Repeat the point with the pedal on its stop and the speed held by the load; a run-up without load is no boost test."),
    ),
    Cause(
        "too_much_fuel", _("Too much fuel"),
        {"smoke": (HIGH,), "heat": (HIGH,), "boost": (FINE, HIGH), "power": (HIGH, FINE)},
        _("Delivery on the pump bench against the plan; full-load stop; boost compensator jammed at full delivery."),
    ),
    Cause(
        "late_injection", _("Late begin of injection"),
        {"heat": (HIGH,), "smoke": (HIGH, FINE, LOW), "power": (LOW,), "boost": (FINE, HIGH)},
        _("Begin of injection against the plan; worn pump drive; timing device stuck."),
    ),
    Cause(
        "injectors", _("Worn or leaking injectors"),
        {"smoke": (HIGH,), "heat": (HIGH, FINE), "boost": (FINE,), "power": (LOW, FINE)},
        _("Opening pressure, spray and leak-back of each injector on the tester. Never a hand before a nozzle."),
    ),
    Cause(
        "cooler", _("Cooler too small, dirty or without air"),
        {"charge": (HIGH,), "boost": (FINE, LOW, HIGH), "heat": (HIGH, FINE)},
        _("Air path to and through the cooler, fan and ducts; temperature before and behind the cooler at the same point."),
    ),
    Cause(
        "compressor_off_range", _("Compressor works outside its good range"),
        {"charge": (HIGH,), "boost": (FINE, HIGH), "restriction": (FINE,)},
        _("Compare with the map: temperature after the compressor tells its efficiency. Wheel rubbing, dirty or chipped."),
    ),
    Cause(
        "exhaust_pipe", _("Exhaust pipe too narrow or blocked"),
        {"after_turbine": (HIGH,), "boost": (LOW, FINE), "heat": (HIGH, FINE)},
        _("Pressure behind the turbine at full load; silencer, dents, a collapsed flexible piece."),
    ),
    Cause(
        "turbine_too_small", _("Turbine too small for this engine"),
        {"before_turbine": (HIGH,), "boost": (HIGH, FINE), "heat": (HIGH, FINE)},
        _("If pressure before the turbine is far above boost at rated speed: a larger housing."),
    ),
    Cause(
        "wastegate_shut", _("Wastegate does not open, or its line is off"),
        {"boost": (HIGH,)},
        _("Pressure line to the actuator on and tight; flap free; none fitted: the turbine is small for this engine or the engine gets more fuel than planned."),
    ),
    Cause(
        "more_fuel_than_planned", _("More fuel than planned"),
        {"boost": (HIGH,), "heat": (HIGH, FINE), "power": (HIGH, FINE)},
        _("Delivery on the pump bench against the plan."),
    ),
    Cause(
        "lighter_air", _("Air is lighter than planned: hot day or high place"),
        {"boost": (LOW, FINE), "heat": (HIGH,), "smoke": (HIGH, FINE), "power": (LOW,)},
        _("Compare air temperature and pressure of the run with those of the plan."),
    ),
    Cause(
        "boost_gauge", _("A gauge to check"),
        {"boost": (LOW, HIGH), "heat": (FINE,), "smoke": (FINE, LOW), "power": (FINE,)},
        _("Only boost is off and everything else fits: hose to the gauge (kinked, leaking, oil in it), the gauge beside a second one."),
    ),
    Cause(
        "thermocouple", _("A thermocouple to check"),
        {"heat": (LOW, HIGH), "boost": (FINE,), "smoke": (FINE, LOW), "power": (FINE,)},
        _("Only exhaust temperature is off: depth of the tip in the gas, type of wire set on the meter, polarity."),
    ),
    Cause(
        "no_oil", _("Oil does not reach the bearings"),
        {"oil": (LOW,)},
        _("Stop. Oil level, gauge line, filter, pump and its relief valve, worn bearings; feed and drain of the turbo."),
    ),
    Cause(
        "cooling", _("Cooling is at its end"),
        {"coolant": (HIGH,)},
        _("Level, cap, thermostat, fan, radiator outside and inside, head gasket. At altitude coolant boils earlier."),
    ),
]  # fmt: skip

# Before the fit there is no plan: the signs stand against limits, and say how healthy the engine is.
HEALTH = [
    Cause(
        "low_oil_pressure", _("Oil pressure is low: worn bearings, pump or relief valve"),
        {"oil": (LOW,)},
        _("A second gauge, hot oil of the right grade, then bearings and pump. A turbo lives on this oil: mend it before the fit."),
    ),
    Cause(
        "cooling_before_fit", _("Cooling is at its end already"),
        {"coolant": (HIGH,)},
        _("Level, cap, thermostat, fan, radiator, head gasket. More power means more heat: mend it before the fit."),
    ),
    Cause(
        "air_cleaner_before_fit", _("Restricted air cleaner"),
        {"restriction": (HIGH,), "smoke": (HIGH, FINE, LOW), "heat": (HIGH, FINE)},
        _("A new element, the intake hose; then take the baseline again."),
    ),
    Cause(
        "rich_for_height", _("More fuel than the thin air here can burn: the pump is set for lower ground"),
        {"smoke": (HIGH,), "heat": (HIGH,)},
        _("Delivery on the pump bench against the book. A sound engine smokes so up here; it says the pump is rich, not that the engine is worn."),
    ),
    Cause(
        "injectors_before_fit", _("Worn or leaking injectors"),
        {"smoke": (HIGH,), "heat": (FINE, LOW, HIGH)},
        _("Opening pressure, spray and leak-back of each on the tester. Never a hand before a nozzle."),
    ),
    Cause(
        "low_compression", _("Low compression: rings, valves or gasket"),
        {"smoke": (HIGH,), "heat": (FINE, HIGH)},
        _("Compression and blow-by on the survey sheet. Low or uneven: no turbo before an overhaul."),
    ),
    Cause(
        "late_injection_before_fit", _("Late begin of injection"),
        {"heat": (HIGH,), "smoke": (HIGH, FINE, LOW)},
        _("Begin of injection against the book; worn pump drive; timing device stuck."),
    ),
    Cause(
        "exhaust_pipe_before_fit", _("Exhaust pipe too narrow or blocked"),
        {"after_turbine": (HIGH,), "heat": (HIGH, FINE)},
        _("Back pressure at full load; silencer, dents, a collapsed flexible piece. A turbo needs this pipe wide."),
    ),
]  # fmt: skip
HEALTH_SIGNS = ("oil", "coolant", "restriction", "smoke", "heat")


def sign_words(cause: Cause) -> list[str]:
    """Each sign of a cause in words, what it may be joined by "or"."""
    either = gettext(" or ")
    return [
        either.join(dict.fromkeys(str(SIGN_WORDS[name][state]) for state in states))
        for name, states in cause.signs.items()
    ]
