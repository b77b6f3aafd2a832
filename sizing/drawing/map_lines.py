"""Points of a compressor map, line by line."""

from collections.abc import Iterable
from typing import Protocol, TypeVar


class HasSpeed(Protocol):
    speed_rpm: float


class OnMap(HasSpeed, Protocol):
    flow_kg_s: float
    pressure_ratio: float


Point = TypeVar("Point", bound=HasSpeed)


def speed_lines(points: Iterable[Point]) -> dict[float, list[Point]]:
    """The points of each speed, slowest line first, in the order that they come in."""
    lines: dict[float, list[Point]] = {}
    for point in points:
        lines.setdefault(point.speed_rpm, []).append(point)
    return dict(sorted(lines.items()))
