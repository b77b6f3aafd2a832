"""Does the turbo fit: envelope in the space measured, clocking of the housings, oil drain, flanges."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations

import numpy as np

from sizing.physics.errors import require
from sizing.physics.limits.values import Verdict

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


def fit_envelope(
    box_mm: tuple[float, float, float],
    space_mm: tuple[float, float, float],
    clearance_mm: float = CLEARANCE_MM,
    shaft_stays_level: bool = True,
) -> Fit:
    """Whether the envelope of a turbo goes into the space measured on the vehicle.

    Parameters
    ----------
    box_mm : three floats
        Length along the shaft, width and height of the turbo, 10 to 2000 each [mm]
    space_mm : three floats
        Length, width and height of the free space, height upright, 10 to 3000 each [mm]
    clearance_mm : float
        Air to leave on each side, 0 to 200 [mm]
    shaft_stays_level : bool
        The shaft must lie level, so that oil can leave the bearings; the box may only turn about
        upright and about its shaft [-]

    Returns
    -------
    Fit
        "on plan" with the clearance on all sides, "near the edge" if it only goes in with less,
        "off plan" if it does not

    Raises
    ------
    OutOfRange
        If a measure is outside its range.

    Examples
    --------
    >>> fit_envelope((200.0, 180.0, 160.0), (260.0, 230.0, 200.0)).verdict
    'on plan'

    References
    ----------
    Geometry. Level shaft: common practice, within 15 degrees.
    """
    box = tuple(float(require("turbo_measure_mm", b, 10.0, 2000.0, "mm")) for b in box_mm)
    space = tuple(float(require("space_measure_mm", s, 10.0, 3000.0, "mm")) for s in space_mm)
    clearance = float(require("clearance_mm", clearance_mm, 0.0, 200.0, "mm"))
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
        return Fit("off plan", margins, turned, f"the space is {-margins[tightest]:.0f} mm short in {name}")
    if margins[tightest] < 2.0 * clearance:
        return Fit(
            "near the edge", margins, turned,
            f"only {margins[tightest]:.0f} mm are left in {name}; {2 * clearance:.0f} mm are wanted for both sides",
        )  # fmt: skip
    return Fit("on plan", margins, turned, f"at least {margins[tightest]:.0f} mm are left, in {name}")


@dataclass(frozen=True)
class Clocking:
    """How far a housing must be turned, and whether that can be done."""

    turn_deg: float  # clockwise, seen from the compressor side, -180 to 180
    off_by_deg: float  # left over where only steps are possible
    verdict: Verdict
    why: str


def clock_housing(
    outlet_deg: float, wanted_deg: float, step_deg: float | None = None, allowed_off_deg: float = 10.0
) -> Clocking:
    """Turn of a housing so that its outlet points where it is wanted.

    Parameters
    ----------
    outlet_deg : float
        Where the outlet points now, clockwise from straight up, seen from the compressor side, 0 to 360 [deg]
    wanted_deg : float
        Where it shall point, counted the same way, 0 to 360 [deg]
    step_deg : float or None
        Step of the bolt pattern; None for a clamp or band that turns freely, 1 to 180 [deg]
    allowed_off_deg : float
        How far off a hose or pipe can take up, 0 to 90 [deg]

    Returns
    -------
    Clocking
        The shortest turn and what is left over

    Raises
    ------
    OutOfRange
        If an angle is outside its range.

    Examples
    --------
    >>> clock_housing(90.0, 150.0, step_deg=45.0).turn_deg
    45.0

    References
    ----------
    Geometry.
    """
    now = float(require("outlet_deg", outlet_deg, 0.0, 360.0, "deg"))
    wanted = float(require("wanted_deg", wanted_deg, 0.0, 360.0, "deg"))
    allowed = float(require("allowed_off_deg", allowed_off_deg, 0.0, 90.0, "deg"))
    turn = _wrap(wanted - now)
    if step_deg is None:
        return Clocking(turn, 0.0, "on plan", "the housing turns freely on its clamp")
    step = float(require("step_deg", step_deg, 1.0, 180.0, "deg"))
    stepped = _wrap(round(turn / step) * step)
    off = abs(_wrap(turn - stepped))
    if off <= allowed:
        return Clocking(stepped, off, "on plan", f"{off:.0f}° off, which the pipe can take up")
    return Clocking(
        stepped, off, "off plan",
        f"the bolts allow steps of {step:.0f}°; the nearest is {off:.0f}° off, more than the {allowed:.0f}° allowed",
    )  # fmt: skip


def check_drain(
    drain_deg: float, outlet_above_sump_mm: float, drain_bore_mm: float, most_deg: float = DRAIN_MOST_DEG
) -> tuple[Verdict, str]:
    """Whether oil leaves the bearings by itself.

    Parameters
    ----------
    drain_deg : float
        Angle of the drain from straight down, in its worst part, 0 to 180 [deg]
    outlet_above_sump_mm : float
        Height of the turbo's drain above the entry into the engine, -500 to 1500 [mm]
    drain_bore_mm : float
        Smallest inner diameter of the drain, 3 to 60 [mm]
    most_deg : float
        Largest angle allowed, 0 to 80 [deg]

    Returns
    -------
    tuple of verdict and reason
        "stop" if the drain runs level or uphill: oil would stand in the turbo

    Raises
    ------
    OutOfRange
        If a measure is outside its range.

    Examples
    --------
    >>> check_drain(10.0, 200.0, 16.0)[0]
    'on plan'

    References
    ----------
    Common practice: straight down, at most 35 degrees off, 12 mm bore or more, entry above the oil level.
    """
    angle = float(require("drain_deg", drain_deg, 0.0, 180.0, "deg"))
    height = float(require("outlet_above_sump_mm", outlet_above_sump_mm, -500.0, 1500.0, "mm"))
    bore = float(require("drain_bore_mm", drain_bore_mm, 3.0, 60.0, "mm"))
    most = float(require("most_deg", most_deg, 0.0, 80.0, "deg"))
    if height <= 0.0 or angle >= 90.0:
        return "stop", "the drain runs level or uphill; oil would fill the turbo and pass its seals"
    if angle > most:
        return "off plan", f"the drain leans {angle:.0f}° from straight down; {most:.0f}° is the most"
    if bore < 12.0:
        return "off plan", f"a drain of {bore:.0f} mm is too narrow for oil with foam; 12 mm or more"
    if angle > DRAIN_BEST_DEG or height < 50.0:
        return "near the edge", f"the drain leans {angle:.0f}° and falls {height:.0f} mm; steeper is better"
    return "on plan", f"the drain leans {angle:.0f}° and falls {height:.0f} mm"


@dataclass(frozen=True)
class Joint:
    """Whether two flanges or ports meet, and what is needed between them."""

    meets: bool
    adapter: str | None
    why: str


def match_flange(turbo_flange: str, manifold_flange: str) -> Joint:
    """Whether two named flanges meet.

    Parameters
    ----------
    turbo_flange, manifold_flange : str
        Names as the catalogue has them; case and spaces do not count [-]

    Returns
    -------
    Joint
        Met, or an adapter plate named

    Raises
    ------
    ValueError
        If a name is empty: an unknown flange must be measured, not assumed.

    Examples
    --------
    >>> match_flange("T2 four bolt", "t2 four  bolt").meets
    True

    References
    ----------
    None needed.
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


def match_port(port_mm: float, pipe_mm: float) -> Joint:
    """Whether a port and a pipe or hose meet.

    Parameters
    ----------
    port_mm : float
        Outer diameter of the port, 10 to 300 [mm]
    pipe_mm : float
        Inner diameter of the hose or outer diameter of the pipe, 10 to 300 [mm]

    Returns
    -------
    Joint
        Met within 2 mm, otherwise a reducer named

    Raises
    ------
    OutOfRange
        If a diameter is outside its range.

    Examples
    --------
    >>> match_port(51.0, 63.0).adapter
    'reducer 63 mm to 51 mm'

    References
    ----------
    Common practice: a hose clamp takes up 2 mm.
    """
    port = float(require("port_mm", port_mm, 10.0, 300.0, "mm"))
    pipe = float(require("pipe_mm", pipe_mm, 10.0, 300.0, "mm"))
    if abs(port - pipe) <= 2.0:
        return Joint(True, None, "port and pipe agree within what a clamp takes up")
    return Joint(False, f"reducer {pipe:.0f} mm to {port:.0f} mm", f"port and pipe differ by {abs(port - pipe):.0f} mm")


def _wrap(angle: float) -> float:
    return (angle + 180.0) % 360.0 - 180.0
