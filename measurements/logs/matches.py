"""How a stored log is understood, and what is remembered of how a person matched and laid out its header."""

import logging

from measurements.logs.models import LogFile, LogMatch
from measurements.logs.parsing.dialect import AS_FOUND, Dialect, Layout
from measurements.logs.parsing.file import Mapping
from measurements.logs.parsing.match import guessed_columns, header_mark
from measurements.logs.parsing.parts import LayoutOf, Recording, Understood, understand
from sizing.tables.refused import FileRefused

logger = logging.getLogger(__name__)
NOT_UNDERSTOOD = "log.not_understood"


def understood(data: bytes, layout_of: LayoutOf = lambda number: None) -> Understood:
    """The recordings in a file. Whatever a damaged file makes the reading stumble over is a refusal, never a crash."""
    try:
        return understand(data, layout_of)
    except FileRefused:
        raise
    except Exception as error:
        logger.exception("a log could not be understood")
        raise FileRefused(NOT_UNDERSTOOD) from error


def mapping_of(log: LogFile) -> Mapping:
    return {c.position: (c.quantity, c.unit) for c in log.columns.all()}


def layout_of(log: LogFile) -> Layout:
    return Layout(**log.layout)


def bytes_of(log: LogFile) -> bytes:
    with log.file.open("rb") as file:
        return bytes(file.read())


def recording_of(log: LogFile, layout: Layout | None = None) -> Recording:
    """The recording from the stored original, laid out as a person said last, or as is said now."""
    recordings = understood(bytes_of(log), {log.recording: layout_of(log) if layout is None else layout}.get).recordings
    if log.recording > len(recordings):
        raise FileRefused("log.recording_gone")
    return recordings[log.recording - 1]


def match_of(mark: str) -> LogMatch | None:
    """How a person matched a header last."""
    return LogMatch.objects.filter(header_mark=mark).select_related("by").first() if mark else None


def _remembered_layout(recording: Recording) -> Layout:
    """What a person said of a file with the same header, as long as this one was found to be laid out in the same way.

    The same names may come with a decimal comma today and a point tomorrow, where the logger's language was changed.
    """
    match = match_of(header_mark(recording.dialect))
    if match is None or not match.layout:
        return AS_FOUND
    layout, found = Layout(**match.layout), recording.found_as.said()
    same = ("delimiter", "decimal") if layout.names_line is None else ("delimiter", "decimal", "names_line")
    return layout if all(match.found_as.get(name) == found[name] for name in same) else AS_FOUND


def remembered_columns(dialect: Dialect, mark: str, layout: Layout = AS_FOUND) -> list[tuple[str, str]]:
    """What each column is taken for: as a person matched the same header last, laid out in the same way, else as guessed."""
    match = match_of(mark)
    if match is None or len(match.pairs) != len(dialect.header) or match.layout != layout.said():
        return guessed_columns(dialect)
    return [(quantity, unit) for quantity, unit in match.pairs]


def received(data: bytes) -> tuple[Understood, list[str], list[Layout]]:
    """The recordings of a file, the mark of each header as found, and the layout that is remembered for it."""
    found = understood(data)
    marks = [header_mark(part.dialect) for part in found.recordings]
    layouts = [_remembered_layout(part) for part in found.recordings]
    if any(layout.said() for layout in layouts):
        try:
            return understood(data, lambda number: layouts[number - 1]), marks, layouts
        except FileRefused:
            pass  # what was said of another file does not hold for this one
    return found, marks, [AS_FOUND] * len(marks)
