"""The hazards of this work, the usual caution for each, and the checks that must be signed before a proving run.

All of it is common practice. Local codes, the makers' own sheets and licensed practice come first.
"""

from dataclasses import dataclass

from shop.jobs.models import JobCard
from shop.safety.models import SafetySignOff


@dataclass(frozen=True)
class Hazard:
    slug: str
    title: str
    danger: str
    cautions: tuple[str, ...]
    before: tuple[str, ...] = ()  # which pages show it: strip, pump, fit, start, proving, dyno, smoke, hand_over


@dataclass(frozen=True)
class Check:
    slug: str
    title: str
    text: str
    hazard: str


FIRST = (
    "These notes are the usual cautions of the trade. They do not replace local codes, the law, the maker's own sheets, "
    "training or licensed practice; where those say more, they come first."
)

HAZARDS = [
    Hazard(
        "runaway",
        "Runaway engine",
        "A diesel that draws in oil or fuel vapour, or whose pump sticks at full delivery, speeds up by itself until it breaks. "
        "Turning the key off does not stop it.",
        (
            "Before the first start have a rigid plate ready that covers the intake, and one person at it. Never a hand, never a rag.",
            "Know how to shut the fuel at the pump and try it before the first start: stop lever, then the feed line.",
            "Check the rack moves freely and returns to stop before the pump goes back on, and again before the start.",
            "No oil in the pipework, no oil-soaked air cleaner, the engine breather and the turbo drain free.",
            "If it runs away: shut the intake with the plate, shut the fuel, stay out of line with the flywheel and the wheels, get away if it does not fall.",
        ),
        ("pump", "start", "proving", "smoke"),
    ),
    Hazard(
        "spinning",
        "Spinning parts",
        "A compressor wheel turns at over 100,000 revolutions a minute and takes a finger, or swallows a nut and bursts.",
        (
            "Never run the engine with the compressor inlet open without a guard mesh fitted.",
            "Look into every pipe before it is joined: no rags, nuts or blasting grit.",
            "Belts, fans, shafts and power take-off: guards on, hair and sleeves tied, nobody in line with them.",
        ),
        ("fit", "start", "proving"),
    ),
    Hazard(
        "hot",
        "Hot parts",
        "Turbine housing and manifold reach 600 °C and more; they set fire to oil, fuel, hoses and looms, and burn through gloves.",
        (
            "Heat shields on and hoses, wires and brake lines clear of the hot side before the first start.",
            "No oil or fuel leak near the hot side, however small. A fire extinguisher for liquids within reach.",
            "Let it cool before a hand goes in; let it idle two to five minutes before it is stopped.",
        ),
        ("start", "proving", "smoke", "hand_over"),
    ),
    Hazard(
        "fuel",
        "High-pressure fuel",
        "A jet from an injector or a loose line goes through skin and poisons the flesh. It hardly bleeds and hardly hurts at first.",
        (
            "Never feel for a leak with the hand: use card. Never put a hand before a nozzle on the tester.",
            "Eye protection. Release pressure before a line is opened.",
            "Injected under the skin: to a hospital at once, and say what it is. It is an emergency even if it looks small.",
        ),
        ("pump", "start"),
    ),
    Hazard(
        "exhaust",
        "Exhaust gas",
        "Carbon monoxide cannot be smelt. A test in a closed bay kills.",
        (
            "Extraction on the tail pipe, or doors open and the vehicle outside. A carbon monoxide alarm in the bay.",
            "Headache or dizziness: stop, everybody out into the air.",
            "Diesel smoke is a known cause of cancer: nobody stands in it to watch a smoke test.",
        ),
        ("start", "proving", "smoke"),
    ),
    Hazard(
        "dyno",
        "Dyno and road run",
        "A vehicle that jumps off rollers, a tyre that bursts, a shaft that lets go; on the road, other people.",
        (
            "Straps front and rear, wheels chocked, tyres sound and rated for the speed, nobody in front, behind or beside.",
            "Power take-off brake: shaft guarded and of the right length, tractor chocked.",
            "On the road: licensed driver, a second person reads the gauges, private ground or a quiet lawful road, never over the limit.",
            "One person holds the stop and does nothing else.",
        ),
        ("proving", "dyno"),
    ),
    Hazard(
        "brakes",
        "Brakes and drivetrain",
        "More torque than clutch, gearbox, shafts, tyres and brakes were built for.",
        (
            "Brakes, steering and tyres checked before a run with more power than before.",
            "Clutch and gearbox have the reserve that the survey states; tell the customer in writing where it ends.",
            "Brake servo: vacuum pump and lines still sound after the pipework was changed.",
        ),
        ("proving", "hand_over"),
    ),
    Hazard(
        "lifting",
        "Lifting and springs",
        "Pumps, heads and turbos crush fingers; a vehicle on a jack kills.",
        (
            "Stands under the vehicle, never only a jack. Battery off before work near the starter.",
            "Lift manifold and turbo with two people or a hoist; support the pump while its flange is loose.",
        ),
        ("strip", "fit"),
    ),
    Hazard(
        "emission",
        "Emission equipment and the law",
        "Taking off or defeating emission equipment, or changing an engine without approval, is against the law in many places, "
        "and can end insurance and registration.",
        (
            "Write down what was found. Nothing that is fitted by law is taken off or made useless.",
            "Ask the local authority what must be inspected, approved or registered, before the quote is given.",
            "Tell the customer in writing; the hand-over sheet lists it.",
        ),
        ("strip", "hand_over"),
    ),
]
HAZARD = {h.slug: h for h in HAZARDS}

CHECKS = [
    Check(
        "oil",
        "Oil reaches the turbo",
        "Oil feed primed, drain falls freely, no kink, level right, oil and filter new.",
        "spinning",
    ),
    Check(
        "stop",
        "The engine can be stopped",
        "Rack free, stop lever tried, intake plate at hand and someone at it.",
        "runaway",
    ),
    Check(
        "fuel_lines",
        "Fuel lines tight",
        "Lines torqued, looked at with card under pressure, no drip near the hot side.",
        "fuel",
    ),
    Check(
        "pipes", "Pipes clean and tight", "Looked through, clamps tight, no foreign thing, inlet guarded.", "spinning"
    ),
    Check(
        "hot_side",
        "Hot side clear",
        "Shields on, hoses, wires and brake lines clear, extinguisher within reach.",
        "hot",
    ),
    Check(
        "brakes",
        "Brakes, steering, tyres",
        "Checked for the power that is coming; stationary engine: coupling and guards.",
        "brakes",
    ),
    Check("air", "Air to breathe", "Extraction on or vehicle outside, carbon monoxide alarm on.", "exhaust"),
    Check(
        "people",
        "People know their place",
        "One person at the stop, nobody in line with wheels, shafts or belts.",
        "dyno",
    ),
]
CHECK = {c.slug: c for c in CHECKS}


def hazards_before(page: str) -> list[Hazard]:
    return [h for h in HAZARDS if page in h.before]


def sign_off_round(job: JobCard) -> int:
    """Each fitment starts a new round: what was signed for the last one does not count for this one."""
    return max(1, job.fitments.count())


def signed(job: JobCard) -> dict[str, SafetySignOff]:
    current = sign_off_round(job)
    return {s.check_slug: s for s in job.sign_offs.select_related("by") if s.round == current}


def missing_sign_offs(job: JobCard) -> list[Check]:
    done = set(job.sign_offs.filter(round=sign_off_round(job)).values_list("check_slug", flat=True))
    return [check for check in CHECKS if check.slug not in done]
