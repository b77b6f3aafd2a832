"""Every calculation tells what it takes, and refuses what lies outside."""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
import re
from collections import Counter
from pathlib import Path

import numpy as np
import pytest

import measurements.bench
import sizing.physics
from sizing.physics.errors import OutOfRange
from sizing.physics.ranges import Numbers, Span, takes

ROOMS = (sizing.physics, measurements.bench)
MODULES = [
    importlib.import_module(found.name)
    for room in ROOMS
    for found in pkgutil.walk_packages(room.__path__, f"{room.__name__}.")
    if room is sizing.physics or found.name.split(".")[-1] in ("correction", "runs", "speed_record", "standard")
]


def _functions():
    for module in MODULES:
        for holder in (module, *(x for x in vars(module).values() if inspect.isclass(x))):
            for function in vars(holder).values():
                if inspect.isfunction(function) and function.__module__ == module.__name__:
                    yield function


def _named(functions):
    return [pytest.param(f, id=f"{f.__module__.split('.', 2)[2]}.{f.__qualname__}") for f in functions]


FUNCTIONS = list(_functions())
CALCULATIONS = [f for f in FUNCTIONS if "takes" in f.__dict__]
SPANS = [
    pytest.param(f, name, span, id=f"{f.__module__.split('.', 2)[2]}.{f.__qualname__}.{name}")
    for f in CALCULATIONS
    for name, span in f.__dict__["takes"].items()
    if isinstance(span, Span)
]


def test_there_are_calculations_with_ranges():
    assert len(CALCULATIONS) > 80
    assert len(SPANS) > 250


@pytest.mark.parametrize("function", _named(CALCULATIONS))
def test_help_tells_inputs_units_ranges_shapes_errors_and_source(function):
    told, doc = function.__dict__["takes"], inspect.getdoc(function)
    parameters = {k: p for k, p in inspect.signature(function).parameters.items() if k != "self"}
    assert told.keys() == parameters.keys()
    summary, takes_, returns, raises, source = (
        doc.index(x) for x in (doc[:9], "\nTakes:\n", "\nReturns: ", "\nRaises: ", "\nSource: ")
    )
    assert summary < takes_ < returns < raises < source
    lines = {line.split(":")[0].strip(): line for line in doc[takes_:returns].splitlines() if ": " in line}
    for name, span in told.items():
        kind = str(parameters[name].annotation)
        assert lines[name].endswith(f"; {re.sub('Numbers|ArrayLike', 'float or array', kind)}")
        if isinstance(span, Span):
            assert f"{span.low:.10g}" in lines[name]
            assert f"[{span.unit or '-'}]" in lines[name]
            assert np.isinf(span.high) or f"to {span.high:.10g}" in lines[name]
            assert kind.split(" |")[0] in ("Numbers", "float", "int")
    if any(isinstance(span, Span) for span in told.values()):
        assert "OutOfRange" in doc[raises:source]


@pytest.mark.parametrize(
    "function",
    _named(
        f for f in FUNCTIONS if f.__annotations__.get("return") == "Floats" and "    Returns: " in (f.__doc__ or "")
    ),
)
def test_what_says_what_comes_out_says_where_it_comes_from(function):
    _, source = function.__doc__.split("    Source: ")
    assert len(source.split()) > 1


@pytest.mark.parametrize("function", _named(f for f in FUNCTIONS if "Numbers" in f.__annotations__.values()))
def test_what_takes_whatever_makes_an_array_checks_it(function):
    spans = function.__dict__["takes"]
    wanted = [name for name, kind in function.__annotations__.items() if kind == "Numbers"]
    assert all(isinstance(spans[name], Span) for name in wanted)


def _ask(function, name, value):
    """Hand in one input only: past the check it is the others that are missing."""
    parameters = inspect.signature(function).parameters
    if [k for k, p in parameters.items() if p.default is inspect.Parameter.empty and k != name]:
        with pytest.raises(TypeError, match="missing"):
            function(**{name: value})
    else:
        function(**{name: [value, value] if function.__name__ == "line_spread_pct" else value})


@pytest.mark.parametrize(("function", "name", "span"), SPANS)
def test_both_ends_are_taken_and_nothing_beyond(function, name, span):
    for end in (span.low, span.high):
        _ask(function, name, end)
    for beyond in (np.nextafter(span.low, -np.inf), np.nextafter(span.high, np.inf), np.nan):
        if np.isposinf(beyond):
            continue
        with pytest.raises(OutOfRange) as refused:
            function(**{name: beyond})
        assert (refused.value.name, refused.value.low, refused.value.high) == (name, span.low, span.high)
        assert refused.value.unit == span.unit
        with pytest.raises(OutOfRange):
            function(*[object()] * list(inspect.signature(function).parameters).index(name), beyond)


def test_a_range_that_several_calculations_share_stands_once():
    written = Counter(
        (keyword.arg, *(ast.unparse(x) for x in keyword.value.args[:3]))
        for module in MODULES
        for call in ast.walk(ast.parse(Path(module.__file__).read_text()))
        if isinstance(call, ast.Call) and getattr(call.func, "id", "") == "takes"
        for keyword in call.keywords
        if isinstance(keyword.value, ast.Call) and getattr(keyword.value.func, "id", "") == "Span"
    )
    assert len(written) > 100
    assert [range_ for range_, count in written.items() if count > 1] == []


# ---- the decorator itself


@takes(
    first_kpa=Span(0.0, 400.0, "kPa"),
    second=Span(1.0, 2.0, "", "a share"),
    count=Span(1, 4, ""),
    maybe_c=Span(0.0, 10.0, "°C"),
    word="anything [-]",
)
def _example(first_kpa: Numbers, second: float = 1.5, count: int = 2, maybe_c: float | None = None, word: str = ""):
    """Hand back what arrived.

    Returns: all of it.
    Source: none needed.
    """
    return first_kpa, second, count, maybe_c, word


def test_inputs_arrive_as_arrays_floats_and_whole_numbers():
    first, second, count, maybe, word = _example([1, 2], np.array(2), 3, word="x")
    assert (type(first), first.dtype, first.tolist()) == (np.ndarray, np.float64, [1.0, 2.0])
    assert (type(second), second, type(count), count, maybe, word) == (float, 2.0, int, 3, None, "x")
    assert type(_example(1.0, maybe_c=5)[3]) is float
    assert isinstance(_example(3)[0], np.ndarray)


def test_pythons_own_refusals_stay():
    with pytest.raises(TypeError, match="missing 1 required positional argument: 'first_kpa'"):
        _example()
    with pytest.raises(TypeError, match="multiple values for argument 'first_kpa'"):
        _example(1.0, first_kpa=1.0)
    with pytest.raises(TypeError, match="unexpected keyword argument 'third'"):
        _example(1.0, third=1.0)
    with pytest.raises(TypeError, match="takes from 1 to 5 positional arguments but 6 were given"):
        _example(1.0, 1.5, 2, None, "", 6)


def test_a_range_for_no_input_is_refused():
    with pytest.raises(TypeError, match="_nothing has no input x"):

        @takes(x=Span(0.0, 1.0, ""))
        def _nothing():
            pass


def test_the_docstring_is_completed():
    assert inspect.getdoc(_example) == (
        "Hand back what arrived.\n\n"
        "Takes:\n"
        "    first_kpa: first, 0 to 400 [kPa]; float or array\n"
        "    second: a share, 1 to 2 [-]; float\n"
        "    count: count, 1 to 4 [-]; int\n"
        "    maybe_c: maybe, 0 to 10 [°C]; float | None\n"
        "    word: anything [-]; str\n"
        "Returns: all of it.\n"
        "Raises: OutOfRange if an input is outside its range.\n"
        "Source: none needed."
    )
