"""What was understood of a file, as plain data: for the shell, and for whoever writes a program around it."""

import hashlib
import math
from dataclasses import asdict
from typing import Any

import numpy as np

from measurements.logs.parsing.file import CLOCKS, Log, check_mapping, read_logs
from measurements.logs.parsing.match import guessed_columns, without_unit
from measurements.logs.parsing.names import CHANNELS
from measurements.logs.parsing.parts import LayoutOf, Recording, understand
from measurements.logs.pulls.pulls import find_pulls
from measurements.logs.words import NO_POWER, dropped, findings, refusals
from measurements.sentences.logs import exactly
from sizing.said import say
from sizing.tables.refused import FileRefused

ENCODINGS = {"utf-8-sig": "utf-8"}  # by the name that people know


def _channels(log: Log) -> list[dict[str, Any]]:
    return [
        {
            "column": c.position + 1, "header": c.header, "quantity": c.quantity, "label": CHANNELS[c.quantity].label,
            "logged_in": c.unit, "unit": CHANNELS[c.quantity].unit, "values": c.value_count, "lowest": c.lowest, "highest": c.highest,
            "highest_at_s": c.highest_at_s, "left_out_not_possible": c.left_out, "left_out_sentinel": c.sentinel_count,
            "left_out_no_figure": c.unreadable, "lonely_samples": len(c.spikes), "stuck_stretches": len(c.stuck),
        }
        for c in log.columns
        if c.quantity not in CLOCKS
    ]  # fmt: skip


def _plain(value: object) -> object:
    """Whatever JSON knows: arrays as lists, what is no number as nothing."""
    if isinstance(value, dict):
        return {name: _plain(part) for name, part in value.items()}
    if isinstance(value, np.ndarray | list | tuple):
        return [_plain(part) for part in value]
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, float):
        return float(f"{value:.6g}") if math.isfinite(value) else None
    return value


def _log(log: Log, recording: Recording) -> dict[str, Any]:
    search = find_pulls(log)
    return {
        "rows": log.row_count,
        "seconds": float(log.table["time_s"].max()),
        "clock": {"logged_in": log.clock_unit, "began_at_s": log.began_at_s, "backward": log.clock_back, "repeated": log.clock_repeats, "pauses": len(log.pauses)},
        "channels": _channels(log),
        "dropped": [{"rows": count, "why": say(f"row.{why}", {})} for count, why in dropped(log)],
        "pulls": [
            {
                "start_s": p.start_s, "end_s": p.end_s, "speed_from_rpm": p.speed_from_rpm, "speed_to_rpm": p.speed_to_rpm,
                "boost_highest_kpa": p.boost_highest_kpa, "boost_highest_at_rpm": p.boost_highest_at_rpm,
                "exhaust_temperature_highest_c": p.exhaust_temperature_highest_c, "figures": _plain(asdict(p.figures)),
            }
            for p in search.pulls
        ],
        "refusals": [str(said) for said in refusals(log, search)],
        "findings": [str(said) for said in (*recording.told, *findings(log, search))],
    }  # fmt: skip


def _recording(recording: Recording, number: int, air_pressure_kpa: float | None) -> list[dict[str, Any]]:
    dialect, laid, pairs = recording.dialect, recording.laid_out, guessed_columns(recording.dialect)
    unsaid, words = without_unit(dialect), laid.words()
    head = {
        "label": recording.label,
        "dialect": {
            "encoding": ENCODINGS.get(recording.encoding, recording.encoding), "delimiter": words["delimiter"], "decimal": words["decimal"],
            "names_line": laid.names_line, "said_by_you": recording.laid_out != recording.found_as, "long_form": recording.is_long,
            "rows_before_the_figures": dialect.skip_rows, "notes": list(dialect.notes), "has_header": dialect.has_header,
        },
        "columns": [{"header": name, "quantity": quantity, "unit": unit} for name, (quantity, unit) in zip(dialect.header, pairs, strict=True)],
        "not_used": [dialect.header[i] for i, (quantity, _) in enumerate(pairs) if not quantity],
        "unit_not_said": [dialect.header[i] for i in sorted(unsaid)],
    }  # fmt: skip
    mapping = dict(enumerate(pairs))
    try:
        check_mapping(mapping)
        logs = read_logs(recording.data, dialect, mapping, air_pressure_kpa)
    except FileRefused as refused:
        taken = {quantity for quantity, _ in pairs}
        power = [] if taken & {"torque_nm", "power_kw"} else [NO_POWER]
        return [
            {
                "number": number,
                **head,
                "refused": str(refused),
                "refusals": [str(said) for said in (refused.said, *power)],
            }
        ]
    return [{"number": number, "stretch": log.stretch, **head, **_log(log, recording)} for log in logs]


def report(
    data: bytes, air_pressure_kpa: float | None = None, layout_of: LayoutOf = lambda number: None
) -> dict[str, Any]:
    """Recordings, channels, what was dropped and why, pulls and refusals of a file. FileRefused when it is no log at all.

    `layout_of` gives by its number how a recording is laid out, where what is found is wrong.
    """
    found = understand(data, layout_of)
    with exactly():
        recordings = [
            row
            for number, part in enumerate(found.recordings, start=1)
            for row in _recording(part, number, air_pressure_kpa)
        ]
    return {
        "sha256": hashlib.sha256(data).hexdigest(),
        "bytes": len(data),
        "packed": found.packed or None,
        "recordings": recordings,
        "not_a_log": [{"part": str(part), "why": str(why)} for part, why in found.refused],
    }
