"""What to look at first when something is off: the rows of the table of causes that the figures speak for. Pure.

A cause is left out as soon as one of its signs is contradicted; among the rest the one with most of its signs seen comes
first.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from measurements.verdict.cause_rules import CAUSES, FINE, HEALTH, HEALTH_SIGNS, HIGH, LOW, Cause
from measurements.verdict.checks import Finding, worst
from sizing.physics.limits.values import NEAR, OFF, ON, STOP
from sizing.said import Said, together
from sizing.ways import figure_of, gap_of, span_of, word

Value = dict[str, Any]  # of a sentence, as it is kept

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
class Suspect:
    cause: Cause
    seen: tuple[Value, ...]  # the signs that speak for it, with the figures when they were asked for
    not_measured: tuple[Value, ...]

    @property
    def evidence(self) -> str:
        said = [Said("cause.seen", {"signs": self.seen})]
        if self.not_measured:
            said.append(Said("cause.not_measured", {"signs": self.not_measured}))
        return str(together(said))


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
    return FINE if finding.word or finding.limit_word else ""


def _rank(sign: str, finding: Finding) -> tuple[bool, float]:
    """What is off comes before what is fine, and of two that are off the one that is further off."""
    past = finding.limit.past(finding.measured.value) if finding.limit else 0.0
    return sign != FINE, max(abs(finding.difference or 0.0), past)


def _told_by(findings: Iterable[Finding]) -> dict[str, tuple[str, Finding]]:
    """Each sign with the finding that gave it."""
    told: dict[str, tuple[str, Finding]] = {}
    for finding in findings:
        name = SIGN_OF.get(finding.quantity)
        sign = sign_of(finding)
        if name and sign and (name not in told or _rank(sign, finding) > _rank(*told[name])):
            told[name] = (sign, finding)
    return told


def signs_of(findings: Iterable[Finding]) -> dict[str, str]:
    return {name: sign for name, (sign, _) in _told_by(findings).items()}


def _figures(finding: Finding) -> list[Value]:
    """The figures a sign stands on: measured, how well it is known, what it is held against."""
    slug, measured = finding.quantity, finding.measured
    found = [figure_of(slug, measured.value)]
    if measured.uncertainty is not None:
        found = [Said("sign.known_to", {"value": found[0], "gap": gap_of(slug, measured.uncertainty)}).kept()]
    if finding.band is not None:
        found.append(Said("sign.plan", {"plan": span_of(slug, *finding.band)}).kept())
    elif finding.limit is not None:
        found.append(Said("sign.limit", {"limit": figure_of(slug, finding.limit.value)}).kept())
    return found


def _sign(name: str, state: str) -> Value:
    return word("sign", f"{name}.{state}")


def _strength(cause: Cause, known: list[str], off: set[str]) -> float:
    """What is off and explained counts double; a sign the cause stands on, not measured, weighs against it."""
    missing = [len(states) for name, states in cause.signs.items() if name not in known]
    return sum(2.0 if name in off else 1.0 for name in known) - sum(1.0 if many == 1 else 0.25 for many in missing)


def suspects(
    findings: Iterable[Finding], most: int = 5, with_figures: bool = False, table: Iterable[Cause] = CAUSES
) -> list[Suspect]:
    """Causes that fit what was measured, the best supported first; none when nothing is off."""
    findings = list(findings)
    if not any(f.word in (OFF, STOP) for f in findings):
        return []
    told, found = _told_by(findings), []
    signs = {name: sign for name, (sign, _) in told.items()}
    off = {name for name, sign in signs.items() if sign != FINE and not (name == "smoke" and sign == LOW)}

    def seen_as(name: str) -> Value:
        sign = _sign(name, signs[name])
        if not with_figures:
            return sign
        return Said("sign.with_figures", {"sign": sign, "figures": _figures(told[name][1])}).kept()

    for order, cause in enumerate(table):
        known = [name for name in cause.signs if name in signs]
        if any(signs[name] not in cause.signs[name] for name in known):
            continue
        if not any(name in off for name in known):
            continue
        seen = tuple(seen_as(name) for name in known)
        unknown = tuple(_sign(name, cause.signs[name][0]) for name in cause.signs if name not in signs)
        found.append((-_strength(cause, known, off), order, Suspect(cause, seen, unknown)))
    return [suspect for _, _, suspect in sorted(found, key=lambda row: row[:2])[:most]]


@dataclass(frozen=True)
class Health:
    """What a baseline tells of the engine as it came."""

    suspects: list[Suspect]
    fine: tuple[str, ...]  # names of signs, as the next two
    near: tuple[str, ...]
    not_judged: tuple[str, ...]

    @property
    def sentence(self) -> str:
        if not (self.fine or self.near or self.suspects):
            return str(Said("health.nothing_yet"))
        said = [Said("health.speaks_against" if self.suspects else "health.nothing_against")]
        for code, signs in (
            ("health.fine", self.fine),
            ("health.near", self.near),
            ("health.not_judged", self.not_judged),
        ):
            if signs:
                said.append(Said(code, {"signs": [word("health_sign", name) for name in signs]}))
        return str(together(said))


def health_of(findings: Iterable[Finding], with_figures: bool = False) -> Health:
    """The baseline as a word on the engine: what stands out with its causes, what is in order, what nobody measured."""
    findings = list(findings)
    words: dict[str, set[str]] = {}
    for finding in findings:
        name = SIGN_OF.get(finding.quantity)
        # without a limit nobody can say that it is in order, but for smoke that is hardly to be seen
        word = finding.word or finding.limit_word or (ON if name == "smoke" and sign_of(finding) == LOW else "")
        if name and word:
            words.setdefault(name, set()).add(word)
    known = {name: worst(words[name]) for name in HEALTH_SIGNS if name in words}
    fine = tuple(name for name, word in known.items() if word == ON)
    near = tuple(name for name, word in known.items() if word == NEAR)
    unknown = tuple(name for name in HEALTH_SIGNS if name not in known)
    return Health(suspects(findings, with_figures=with_figures, table=HEALTH), fine, near, unknown)
