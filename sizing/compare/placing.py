"""Does a turbo go where it shall go: each question that was answered with measures, as a verdict with its reason."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sizing.catalogue.models import Turbo
from sizing.physics.around.placement import Joint, check_drain, clock_housing, fit_envelope, match_flange, match_port
from sizing.physics.limits.values import NEAR, OFF, ON, STOP

# What nobody knows stands behind what is wrong and before what is only tight: it has to be measured.
ORDER = (STOP, OFF, "", NEAR, ON)


@dataclass(frozen=True)
class PlaceRow:
    label: str
    verdict: str  # empty: not known
    why: str


def placed(turbo: Turbo, given: Mapping[str, Any]) -> list[PlaceRow]:
    """Rows for what was typed, what is wrong first. What the catalogue does not know of the turbo is said, not assumed."""
    rows = []
    if given.get("length_mm") is not None:
        rows.append(_envelope(turbo, given))
    if given.get("drain_deg") is not None:
        verdict, why = check_drain(given["drain_deg"], given["drain_fall_mm"], given["drain_bore_mm"])
        rows.append(
            PlaceRow("Oil drain", verdict, f"{why}. The limit is common practice: at most 35° off, 12 mm bore or more.")
        )
    if given.get("outlet_deg") is not None:
        rows.append(_clocking("compressor", turbo.clocking_step_deg, given["outlet_deg"], given["wanted_deg"]))
    if given.get("turbine_deg") is not None:
        rows.append(
            _clocking("turbine", turbo.turbine_clocking_step_deg, given["turbine_deg"], given["turbine_wanted_deg"])
        )
    rows += [
        _port(label, size, where, float(given[name]))
        for name, label, size, where in _ports(turbo)
        if given.get(name) is not None
    ]
    rows += [
        _flange(label, flange, whose, str(given[name]))
        for name, label, flange, whose in _flanges(turbo)
        if given.get(name)
    ]
    return sorted(rows, key=lambda row: ORDER.index(row.verdict))


def _envelope(turbo: Turbo, given: Mapping[str, Any]) -> PlaceRow:
    if turbo.envelope_mm is None:
        return PlaceRow("Space", "", "the envelope of this turbo is not known; measure its length, width and height")
    space = (float(given["length_mm"]), float(given["width_mm"]), float(given["height_mm"]))
    fit = fit_envelope(turbo.envelope_mm, space)
    turned = " x ".join(f"{side:.0f}" for side in fit.turned)
    return PlaceRow("Space", fit.verdict, f"{fit.why}, with the shaft level and the turbo lying {turned} mm")


def _clocking(side: str, step_deg: float | None, now_deg: float, wanted_deg: float) -> PlaceRow:
    """Each housing has a ring of its own; the step of one says nothing of the other."""
    label = f"{side.capitalize()} housing"
    if step_deg is None:
        return PlaceRow(
            label, "", f"it is not known in what steps the {side} housing turns; count the bolts of its ring"
        )
    if 0 < step_deg < 1:
        return PlaceRow(
            label, "", f"the catalogue says steps of {step_deg:g}°, finer than any bolt ring; look at it again"
        )
    found = clock_housing(now_deg, wanted_deg, step_deg or None)
    turn = "clockwise" if found.turn_deg >= 0 else "anticlockwise"
    return PlaceRow(
        label,
        found.verdict,
        f"turn the housing {abs(found.turn_deg):.0f}° {turn}, seen from the compressor side: {found.why}",
    )


def _ports(turbo: Turbo) -> list[tuple[str, str, float | None, str]]:
    return [
        ("pipe_mm", "Boost pipe", turbo.compressor_outlet_mm, "compressor outlet"),
        ("intake_mm", "Intake pipe", turbo.compressor_inlet_mm, "compressor inlet"),
    ]


def _flanges(turbo: Turbo) -> list[tuple[str, str, str, str]]:
    return [
        ("manifold_flange", "Flange to the manifold", turbo.turbine_flange, "manifold"),
        ("exhaust_flange", "Flange to the exhaust pipe", turbo.outlet_flange, "exhaust pipe"),
    ]


def _port(label: str, size_mm: float | None, where: str, pipe_mm: float) -> PlaceRow:
    if size_mm is None:
        return PlaceRow(label, "", f"the diameter of the {where} is not known; measure it")
    joint = match_port(size_mm, pipe_mm)
    return PlaceRow(label, ON if joint.meets else NEAR, _joint_words(joint))


def _flange(label: str, flange: str, whose: str, theirs: str) -> PlaceRow:
    if not flange:
        return PlaceRow(label, "", f"the turbo's flange to the {whose} is not known; measure its bolts and port first")
    joint = match_flange(flange, theirs)
    return PlaceRow(label, ON if joint.meets else NEAR, _joint_words(joint))


def _joint_words(joint: Joint) -> str:
    return f"{joint.why}; needed: {joint.adapter}" if joint.adapter else joint.why
