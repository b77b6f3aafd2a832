"""Recordings of a file beside each other: which were read with another match than this one, and how it differs."""

from dataclasses import dataclass
from typing import Any

from measurements.logs.models import LogFile
from measurements.logs.parsing.dialect import Layout
from measurements.logs.parsing.names import CHANNELS


@dataclass(frozen=True)
class Beside:
    """Another recording of the same file, with what it was read with that this one was not; empty: alike."""

    log: LogFile
    differences: list[str]
    may_follow: bool  # it has the same columns, so that it can be read as this one


def _taken_for(quantity: str, unit: str) -> str:
    return f"{CHANNELS[quantity].label} in {unit}" if quantity else "not used"


def laid_words(layout: dict[str, Any]) -> str:
    words = {name: word for name, word in Layout(**layout).words().items() if word != ""}
    names = {"delimiter": "{} between columns", "decimal": "decimal {}", "names_line": "names in line {}"}
    return ", ".join(names[name].format(word) for name, word in words.items()) or "as found"


def _differences(log: LogFile, other: LogFile) -> list[str]:
    mine = {c.position: c for c in log.columns.all()}
    said = [
        f"{c.header or '(no name)'}: {_taken_for(c.quantity, c.unit)}, here {_taken_for(mine[c.position].quantity, mine[c.position].unit)}"
        for c in other.columns.all()
        if (c.quantity, c.unit) != (mine[c.position].quantity, mine[c.position].unit)
    ]
    # Another text of the file may be laid out otherwise; the stretches of one text cannot be.
    if other.recording == log.recording and other.layout != log.layout:
        said.insert(0, f"laid out {laid_words(other.layout)}, here {laid_words(log.layout)}")
    return said


def beside(log: LogFile) -> list[Beside]:
    """The other recordings of the file that count, each with how its match differs from that of this one."""
    found, header = [], [c.header for c in log.columns.all()]
    for other in log.siblings().prefetch_related("columns", "pulls"):
        same = [c.header for c in other.columns.all()] == header
        if log.state != "read" or other.state != "read":
            found.append(Beside(other, [], False))
        elif same:
            said = _differences(log, other)
            found.append(Beside(other, said, bool(said)))
        else:
            stretch = other.recording == log.recording
            found.append(
                Beside(
                    other,
                    [
                        f"laid out {laid_words(other.layout)}, here {laid_words(log.layout)}"
                        if stretch
                        else "other columns"
                    ],
                    stretch,
                )
            )
    return found
