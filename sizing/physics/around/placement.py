"""Does the turbo fit: envelope in the space measured, clocking of the housings, oil drain, flanges."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations

import numpy as np

from sizing.physics.errors import require
from sizing.physics.limits.values import NEAR, OFF, ON, STOP, Verdict
from sizing.physics.ranges import Span, takes

# Common practice for the oil drain: straight down, no more than 35 degrees off, never uphill.
DRAIN_BEST_DEG, DRAIN_MOST_DEG = 20.0, 35.0
CLEARANCE_MM = 15.0  # to cold parts; beside the turbine hoses, wires and paint want 50 mm or a shield


@dataclass(frozen=True)
class Fit:
    """Whether a box goes into a space, and how."""

    verdict: Verdict
    margins_mm: tuple[float, float, float]  # left over along length, width, height of the space
    turned: tuple[float, float, float]  # the box as it lies in the space
    why: str


@takes(
    box_mm="length along the shaft, width and height of the turbo, 10 to 2000 each [mm]",
    space_mm="length, width and height of the free space, height upright, 10 to 3000 each [mm]",
    clearance_mm=Span(0.0, 200.0, "mm", "air to leave on each side"),
    shaft_stays_level="the shaft must lie level, so that oil can leave the bearings; the box may only turn about upright and about its shaft [-]",
)
def fit_envelope(
    box_mm: tuple[float, float, float],
    space_mm: tuple[float, float, float],
    clearance_mm: float = CLEARANCE_MM,
    shaft_stays_level: bool = True,
) -> Fit:
    """Whether the envelope of a turbo goes into the space measured on the vehicle.

    Returns: ON with the clearance on all sides, NEAR if it only goes in with less, OFF if it
        does not.
    Source: Geometry. Level shaft: common practice, within 15 degrees.

    >>> fit_envelope((200.0, 180.0, 160.0), (260.0, 230.0, 200.0)).verdict
    'on_plan'
    """
    box = tuple(float(require("turbo_measure_mm", b, 10.0, 2000.0, "mm")) for b in box_mm)
    space = tuple(float(require("space_measure_mm", s, 10.0, 3000.0, "mm")) for s in space_mm)
    best: tuple[float, tuple[int, int, int]] | None = None
    for order in permutations(range(3)):
        if shaft_stays_level and order[2] == 0:
            continue  # the shaft would stand upright
        left = min(space[k] - box[order[k]] for k in range(3))
        if best is None or left > best[0]:
            best = (left, (order[0], order[1], order[2]))
    assert best is not None  # the loop above always leaves four orders
    order3 = best[1]
    turned = (box[order3[0]], box[order3[1]], box[order3[2]])
    margins = (space[0] - turned[0], space[1] - turned[1], space[2] - turned[2])
    tightest = int(np.argmin(margins))
    name = ("length", "width", "height")[tightest]
    if margins[tightest] < 0.0:
        return Fit(OFF, margins, turned, f"the space is {-margins[tightest]:.0f} mm short in {name}")
    if margins[tightest] < 2.0 * clearance_mm:
        return Fit(
            NEAR, margins, turned,
            f"only {margins[tightest]:.0f} mm are left in {name}; {2 * clearance_mm:.0f} mm are wanted for both sides",
        )  # fmt: skip
    return Fit(ON, margins, turned, f"at least {margins[tightest]:.0f} mm are left, in {name}")


@dataclass(frozen=True)
class Clocking:
    """How far a housing must be turned, and whether that can be done."""

    turn_deg: float  # clockwise, seen from the compressor side, -180 to 180
    off_by_deg: float  # left over where only steps are possible
    verdict: Verdict
    why: str


@takes(
    outlet_deg=Span(
        0.0, 360.0, "deg", "where the outlet points now, clockwise from straight up, seen from the compressor side"
    ),
    wanted_deg=Span(0.0, 360.0, "deg", "where it shall point, counted the same way"),
    step_deg=Span(1.0, 180.0, "deg", "step of the bolt pattern; None for a clamp or band that turns freely"),
    allowed_off_deg=Span(0.0, 90.0, "deg", "how far off a hose or pipe can take up"),
)
def clock_housing(
    outlet_deg: float, wanted_deg: float, step_deg: float | None = None, allowed_off_deg: float = 10.0
) -> Clocking:
    """Turn of a housing so that its outlet points where it is wanted.

    Returns: the shortest turn and what is left over.
    Source: Geometry.

    >>> clock_housing(90.0, 150.0, step_deg=45.0).turn_deg
    45.0
    """
    turn = _wrap(wanted_deg - outlet_deg)
    if step_deg is None:
        return Clocking(turn, 0.0, ON, "the housing turns freely on its clamp")
    stepped = _wrap(round(turn / step_deg) * step_deg)
    off = abs(_wrap(turn - stepped))
    if off <= allowed_off_deg:
        return Clocking(stepped, off, ON, f"{off:.0f}° off, which the pipe can take up")
    return Clocking(
        stepped, off, OFF,
        f"the bolts allow steps of {step_deg:.0f}°; the nearest is {off:.0f}° off, more than the {allowed_off_deg:.0f}° allowed",
    )  # fmt: skip


@takes(
    drain_deg=Span(0.0, 180.0, "deg", "angle of the drain from straight down, in its worst part"),
    outlet_above_sump_mm=Span(-500.0, 1500.0, "mm", "height of the turbo's drain above the entry into the engine"),
    drain_bore_mm=Span(3.0, 60.0, "mm", "smallest inner diameter of the drain"),
    most_deg=Span(0.0, 80.0, "deg", "largest angle allowed"),
)
def check_drain(
    drain_deg: float, outlet_above_sump_mm: float, drain_bore_mm: float, most_deg: float = DRAIN_MOST_DEG
) -> tuple[Verdict, str]:
    """Whether oil leaves the bearings by itself.

    Returns: tuple of verdict and reason: STOP if the drain runs level or uphill: oil would stand in the turbo.
    Source: Common practice: straight down, at most 35 degrees off, 12 mm bore or more, entry above the oil level.

    >>> check_drain(10.0, 200.0, 16.0)[0]
    'on_plan'
    """
    if outlet_above_sump_mm <= 0.0 or drain_deg >= 90.0:
        return STOP, "the drain runs level or uphill; oil would fill the turbo and pass its seals"
    if drain_deg > most_deg:
        return OFF, f"the drain leans {drain_deg:.0f}° from straight down; {most_deg:.0f}° is the most"
    if drain_bore_mm < 12.0:
        return OFF, f"a drain of {drain_bore_mm:.0f} mm is too narrow for oil with foam; 12 mm or more"
    if drain_deg > DRAIN_BEST_DEG or outlet_above_sump_mm < 50.0:
        return (NEAR, f"the drain leans {drain_deg:.0f}° and falls {outlet_above_sump_mm:.0f} mm; steeper is better")
    return ON, f"the drain leans {drain_deg:.0f}° and falls {outlet_above_sump_mm:.0f} mm"


@dataclass(frozen=True)
class Joint:
    """Whether two flanges or ports meet, and what is needed between them."""

    meets: bool
    adapter: str | None
    why: str


def match_flange(turbo_flange: str, manifold_flange: str) -> Joint:
    """Whether two named flanges meet.

    Takes:
        turbo_flange, manifold_flange: names as the catalogue has them; case and spaces do not count [-]
    Returns: met, or an adapter plate named.
    Raises: ValueError if a name is empty: an unknown flange must be measured, not assumed.
    Source: none needed.

    >>> match_flange("T2 four bolt", "t2 four  bolt").meets
    True
    """
    names = []
    for label, name in (("turbo", turbo_flange), ("manifold", manifold_flange)):
        plain = " ".join(name.lower().split())
        if not plain:
            raise ValueError(f"the flange of the {label} is not known; measure its bolts and port first")
        names.append(plain)
    if names[0] == names[1]:
        return Joint(True, None, "the flanges are the same")
    return Joint(False, f"adapter plate from {manifold_flange} to {turbo_flange}", "the flanges differ")


@takes(
    port_mm=Span(10.0, 300.0, "mm", "outer diameter of the port"),
    pipe_mm=Span(10.0, 300.0, "mm", "inner diameter of the hose or outer diameter of the pipe"),
)
def match_port(port_mm: float, pipe_mm: float) -> Joint:
    """Whether a port and a pipe or hose meet.

    Returns: met within 2 mm, otherwise a reducer named.
    Source: Common practice: a hose clamp takes up 2 mm.

    >>> match_port(51.0, 63.0).adapter
    'reducer 63 mm to 51 mm'
    """
    if abs(port_mm - pipe_mm) <= 2.0:
        return Joint(True, None, "port and pipe agree within what a clamp takes up")
    return Joint(
        False,
        f"reducer {pipe_mm:.0f} mm to {port_mm:.0f} mm",
        f"port and pipe differ by {abs(port_mm - pipe_mm):.0f} mm",
    )


def _wrap(angle: float) -> float:
    return (angle + 180.0) % 360.0 - 180.0
