"""What a calculation takes: the range of each input stands once, is checked, and is told by `help`."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import partial, wraps
from inspect import Parameter, cleandoc, formatannotation, signature
from typing import Any, ParamSpec, TypeAlias, TypeVar, cast

import numpy as np

from sizing.physics.errors import Floats, require

# Whatever makes an array to the caller, an array of floats to the function behind `takes`; a type says only one of them.
Numbers: TypeAlias = Floats | Any

P = ParamSpec("P")
R = TypeVar("R")


@dataclass(frozen=True)
class Span:
    """Smallest and largest allowed value of an input, both allowed themselves."""

    low: float
    high: float
    unit: str
    meaning: str = ""  # where the input's name does not say it

    def of(self, meaning: str) -> Span:
        """The same range for an input that means something else."""
        return replace(self, meaning=meaning)

    def told(self, name: str) -> str:
        """One line for `help`."""
        allowed = f"{self.low:.10g} or more" if self.high == np.inf else f"{self.low:.10g} to {self.high:.10g}"
        return f"{self.meaning or _words(name, self.unit)}, {allowed} [{self.unit or '-'}]"


def takes(**inputs: Span | str) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Check the inputs of a calculation and tell of them in its docstring.

    An input with a span arrives as an array of floats, as a float where it is annotated so, and is left alone
    where it is annotated as a whole number or is the None that it may be. A text only tells what an input means.

    Raises: TypeError if a name is not that of an input.
    Source: none needed.

    >>> @takes(boost_kpa=Span(0.0, 400.0, "kPa"))
    ... def twice(boost_kpa: Numbers) -> Floats:
    ...     return 2.0 * boost_kpa
    >>> twice(900.0)
    Traceback (most recent call last):
    ...
    sizing.physics.errors.OutOfRange: boost kpa is 900 kPa; allowed is 0 to 400 kPa
    """

    def checking(function: Callable[P, R]) -> Callable[P, R]:
        parameters = signature(function).parameters
        if unknown := inputs.keys() - parameters.keys():
            raise TypeError(f"{function.__qualname__} has no input {', '.join(sorted(unknown))}")
        checks = {name: _check(parameters[name], span) for name, span in inputs.items() if isinstance(span, Span)}
        by_place = [checks.get(name, _as_it_is) for name in parameters]
        defaults = [
            (place, name, checks[name](parameter.default))
            for place, (name, parameter) in enumerate(parameters.items())
            if name in checks and parameter.default is not Parameter.empty
        ]
        call = cast(Callable[..., R], function)

        @wraps(function)
        def checked(*args: P.args, **kwargs: P.kwargs) -> R:
            given = [check(value) for check, value in zip(by_place, args, strict=False)]
            named = {name: checks[name](value) if name in checks else value for name, value in kwargs.items()}
            for place, name, value in defaults:
                if place >= len(given):
                    named.setdefault(name, value)
            return call(*given, *args[len(given) :], **named)

        checked.__doc__ = _completed(function.__doc__ or "", parameters.values(), inputs)
        checked.__dict__["takes"] = inputs
        return checked

    return checking


def _check(parameter: Parameter, span: Span) -> Callable[[Any], Any]:
    numbers = partial(require, parameter.name, low=span.low, high=span.high, unit=span.unit)
    kind = _kind(parameter)
    if kind == "Numbers":
        return numbers

    def check(value: Any) -> Any:
        if value is None and parameter.default is None:
            return None
        found = numbers(value)
        return float(found) if kind.startswith("float") else value if kind.startswith("int") else found

    return check


def _as_it_is(value: Any) -> Any:
    return value


def _kind(parameter: Parameter) -> str:
    kind = parameter.annotation
    return kind if isinstance(kind, str) else formatannotation(kind)


def _completed(doc: str, parameters: Iterable[Parameter], inputs: dict[str, Span | str]) -> str:
    """The docstring with what goes in before what comes out, and the refusal that every check brings."""
    lines = ["Takes:"]
    for parameter in parameters:
        if parameter.name in inputs:
            told = inputs[parameter.name]
            words = told.told(parameter.name) if isinstance(told, Span) else told
            shape = re.sub("Numbers|ArrayLike", "float or array", _kind(parameter))
            lines.append(f"    {parameter.name}: {words}; {shape}")
    before, returns, after = cleandoc(doc).partition("Returns: ")
    if any(isinstance(told, Span) for told in inputs.values()) and "OutOfRange" not in after:
        refusal = "Raises: OutOfRange if an input is outside its range"
        if "Raises: " in after:
            after = after.replace("Raises: ", f"{refusal}; ", 1)
        else:
            after = after.replace("Source: ", f"{refusal}.\nSource: ", 1)
    return before + "\n".join(lines) + "\n" + returns + after


def _words(name: str, unit: str) -> str:
    suffix = {"": "ratio", "%": "pct", "°C": "c"}.get(unit) or unit.lower().translate(str.maketrans("/ ³²", "__32"))
    return name.removesuffix(f"_{suffix}").replace("_", " ")
