"""A plan as JSON, for the shell: what it is given and what it answers, in stored units."""

import dataclasses
import json
from collections.abc import Mapping

from sizing.physics.errors import Floats
from sizing.plans.actions import BadInput, check_input, check_limit, known_injection
from sizing.plans.bench.rows import bench_answer
from sizing.plans.cases import Bench, Case
from sizing.plans.models import LEAST_MM3, MOST_LINES, MOST_MM3, SPEEDS
from sizing.plans.solve import bands, check_case, known_inputs, not_held, worked_out

KEYS = ("injection", "inputs", "limits", "bench")
FIGURES = (
    "boost_kpa",
    "pressure_ratio",
    "charge_temperature_c",
    "air_flow_kg_s",
    "delivery_mm3",
    "lambda_ratio",
    "torque_nm",
    "power_kw",
    "mean_pressure_kpa",
    "exhaust_temperature_c",
    "exhaust_temperature_after_turbine_c",
    "peak_pressure_bar",
)


def read_case(text: str) -> Case:
    """Read a plan, or raise BadInput that names the entry, its value and what is allowed.

    An input is one number, a pair of numbers (a range), or an object with low, high and origin.
    """
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        raise BadInput("", f"This is not JSON: {error.msg} in line {error.lineno}, column {error.colno}.") from error
    if not isinstance(data, dict) or not isinstance(data.get("inputs"), dict):
        raise BadInput(
            "inputs",
            'A plan is an object with "injection" and "inputs", such as {"injection": "direct", "inputs": {...}}.',
        )
    strange = sorted(set(data) - set(KEYS))
    if strange:
        raise BadInput(strange[0], f"'{strange[0]}' is not known. Allowed: {', '.join(KEYS)}.")
    limits = data.get("limits", {})
    if not isinstance(limits, dict):
        raise BadInput("limits", "Limits are an object of names and numbers.")
    return Case(
        known_injection(str(data.get("injection", ""))),
        {name: check_input(name, _given(name, value)) for name, value in data["inputs"].items()},
        {name: check_limit(name, _number(name, value), "plan file") for name, value in limits.items()},
        bench=_bench(data.get("bench")),
    )


def _bench(data: object) -> Bench | None:
    """Lines of the pump bench at full load: an object of "rated" or "torque", each with a number for every line."""
    if data is None:
        return None
    if not isinstance(data, dict) or not data or set(data) - set(SPEEDS):
        raise BadInput(
            "bench",
            f"bench is an object of {' and '.join(SPEEDS)}, each with the delivery of every line in mm³ a stroke.",
        )
    lines = {}
    for at, values in data.items():
        if not isinstance(values, list) or not 2 <= len(values) <= MOST_LINES:
            raise BadInput("bench", f"bench, {at}: {json.dumps(values)} is no list of 2 to {MOST_LINES} numbers.")
        lines[at] = [_number(f"bench, {at}", value) for value in values]
        for value in lines[at]:
            if not LEAST_MM3 <= value <= MOST_MM3:
                raise BadInput(
                    "bench",
                    f"bench, {at}: {value:g} is outside what is possible. Allowed: {LEAST_MM3:g} to {MOST_MM3:g} mm³/stroke.",
                )
    return Bench(lines)


def _given(name: str, value: object) -> tuple[float, float, str]:
    if isinstance(value, Mapping):
        if "low" not in value:
            raise BadInput(name, f"{name}: an object needs 'low', and may have 'high' and 'origin'.")
        low = _number(name, value["low"])
        return low, _number(name, value.get("high", low)), str(value.get("origin", "told"))
    if isinstance(value, list):
        if len(value) != 2:
            raise BadInput(name, f"{name}: a range has two ends; this one has {len(value)} numbers.")
        return _number(name, value[0]), _number(name, value[1]), "told"
    return _number(name, value), _number(name, value), "told"


def _number(name: str, value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise BadInput(name, f"{name}: {json.dumps(value)} is not a number.")
    return float(value)


def answer_of(case: Case) -> dict[str, object]:
    """Limits with what is wrong first, and every figure over speed: planned, as built, and its band."""
    known = known_inputs(case)
    found = worked_out(case, known)
    spread = bands(case, found.after.speed_rpm)
    return {
        "inputs": {name: dataclasses.asdict(item) for name, item in known.items()},
        "limits": [dataclasses.asdict(check) for check in check_case(case, found.inputs, found.after)],
        "bench": dataclasses.asdict(bench) if (bench := bench_answer(case, found.after)) else None,
        "not_held": not_held(case, found.inputs, found.after),
        "speed_rpm": _plain(found.after.speed_rpm),
        "planned": {name: _plain(getattr(found.after, name)) for name in FIGURES},
        "as_built": {name: _plain(getattr(found.before, name)) for name in FIGURES},
        "bands": {name: {"low": _plain(low), "high": _plain(high)} for name, (low, high) in spread.items()},
    }


def _plain(values: Floats) -> list[float]:
    return [round(float(value), 6) for value in values]
