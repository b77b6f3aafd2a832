"""What a calculator is: its inputs, its outputs, its formula and where that comes from. Pure."""

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Input:
    name: str
    label: str
    unit: str
    low: float
    high: float
    default: float | None  # None: may be left out
    symbol: str = ""


@dataclass(frozen=True)
class Output:
    name: str
    label: str
    unit: str
    digits: int = 1  # places behind the point that the answer deserves
    symbol: str = ""


@dataclass(frozen=True)
class Calculator:
    slug: str
    title: str
    formula: str
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    function: Callable[..., tuple[float, ...]]
    source: str
    caution: str = ""
