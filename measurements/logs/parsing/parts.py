"""The recordings in a file: members of a packed file, sheets, and stretches of one text that have a header each. Pure."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
import pyarrow as pa

from measurements.logs.parsing.clock import seconds, unit_of_clock
from measurements.logs.parsing.dialect import (
    AS_FOUND,
    Dialect,
    Layout,
    LayoutRefused,
    find_dialect,
    is_figure,
    is_row_of_figures,
    offset_of_line,
)
from measurements.logs.parsing.long import widen
from measurements.logs.parsing.names import SPEED, TIME, guess
from measurements.logs.parsing.unpack import Place, Text, line_starts, parts_refused, unpack
from sizing.said import Said, listed
from sizing.tables.marks import DELIMITERS, cells_of, looks_like_units
from sizing.tables.refused import FileRefused

UTF_8 = "utf-8-sig"  # what every text is by now
MAX_RECORDINGS = 60
MANY_ODD_LINES = 20_000
BACK_LINES = 60
MOST_TOP_LINES, TOP_WIDTH = 60, 100

LayoutOf = Callable[[int], Layout | None]  # what a person said of a recording, by its number; None: nothing

_ODD = np.zeros(256, dtype=bool)
for _mark in range(256):
    _ODD[_mark] = chr(_mark).isalpha() or chr(_mark) in "[#({</*_%=" or _mark >= 0x80
_SKIPPED = np.zeros(256, dtype=bool)
_SKIPPED[[ord(c) for c in "\"' \t,;"]] = True


@dataclass(frozen=True)
class Recording:
    """One stretch of readings as text in UTF-8, and how it is to be read."""

    place: Place
    data: bytes
    dialect: Dialect
    told: tuple[Said, ...] = ()  # what was found on the way here
    encoding: str = "utf-8-sig"  # of the text as it was received
    laid_out: Layout = AS_FOUND  # as it is read
    found_as: Layout = AS_FOUND  # as it was found without anybody's word
    top: tuple[str, ...] = ()  # its first lines as they stand
    is_long: bool = False

    @property
    def label(self) -> str:
        """Where it stands, in words; empty when it is all that the file holds."""
        return str(self.place)


@dataclass
class Understood:
    recordings: list[Recording] = field(default_factory=list)
    refused: list[tuple[Place, Said]] = field(default_factory=list)  # which part, and why
    packed: str = ""


def _odd_lines(data: bytes, starts: np.ndarray) -> np.ndarray:
    """Starts of lines that begin with a letter or the like: what is no row of figures."""
    whole = np.frombuffer(data, dtype=np.uint8)
    starts = starts[starts < len(whole) - 1]
    first, behind = whole[starts], whole[starts + 1]
    odd: np.ndarray = starts[_ODD[first] | (_SKIPPED[first] & _ODD[behind])]
    return odd


def _line_at(data: bytes, start: int) -> str:
    end = data.find(b"\n", start)
    return data[start : end if end >= 0 else len(data)].decode("utf-8", errors="replace").rstrip("\r")


def _lines_from(data: bytes, start: int, many: int) -> list[str]:
    lines: list[str] = []
    while start < len(data) and len(lines) < many:
        lines.append(_line_at(data, start))
        end = data.find(b"\n", start)
        start = end + 1 if end >= 0 else len(data)
    return lines


def _is_header(row: list[str]) -> bool:
    filled = [c for c in row if c]
    return len(filled) >= 2 and sum(map(is_figure, filled)) <= 0.2 * len(filled) and not looks_like_units(row)


def _begins_recording(data: bytes, at: int, dialect: Dialect, header: tuple[str, ...]) -> bool:
    """A header of its own: the same names again, or other names among them a time, with figures soon below."""
    line = _line_at(data, at)
    row = cells_of(line, dialect.delimiter)
    if not _is_header(row):
        return False
    below = [cells_of(text, dialect.delimiter) for text in _lines_from(data, at, 8)[1:]]
    if not any(is_row_of_figures(cells) and abs(len(cells) - len(row)) <= 1 for cells in below):
        return False
    if tuple(row) == tuple(c for c in header)[: len(row)]:
        return True
    guessed = [guess(name)[0] for name in row]
    return TIME in guessed and (SPEED in guessed or sum(map(bool, guessed)) >= 2)


def _back_to_notes(data: bytes, at: int, dialect: Dialect) -> int:
    """Notes between two recordings belong to the later one."""
    for _ in range(BACK_LINES):
        before = data.rfind(b"\n", 0, max(0, at - 1)) + 1
        if before >= at or is_row_of_figures(cells_of(_line_at(data, before), dialect.delimiter)):
            break
        at = before
        if at == 0:
            break
    return at


def _goes_on(data: bytes, start: int, at: int, dialect: Dialect) -> bool:
    """The same names again while the clock simply goes on: a header repeated on every page is no new recording."""
    clock = next((i for i, name in enumerate(dialect.header) if guess(name)[0] == TIME), None)
    if clock is None:
        return False

    def times(lines: list[str]) -> list[float]:
        rows = [cells_of(line, dialect.delimiter) for line in lines]
        texts = [row[clock] for row in rows if len(row) > clock and is_figure(row[clock])]
        found = seconds(pa.array(texts, pa.string()), unit_of_clock("", texts), dialect.decimal)
        return [t for t in found.tolist() if t == t]

    end, back = at, []
    for _ in range(12):
        end = data.rfind(b"\n", start, max(start, end - 1)) + 1
        if end <= start:
            break
        back.append(_line_at(data, end))
    before, after = times(back), times(_lines_from(data, at, 8)[1:])
    if len(before) < 2 or not after:
        return False
    step = abs(before[0] - before[1]) or 1.0
    return 0 < after[0] - before[0] <= 5 * step


def _cuts(data: bytes, starts: np.ndarray, dialect: Dialect) -> list[int]:
    """Where in a text each recording begins."""
    odd = _odd_lines(data, starts)
    if len(odd) > MANY_ODD_LINES:
        return [0]  # text in the first column all along: nothing to tell a header by
    cuts, body = [0], offset_of_line(data, dialect.skip_rows)
    header = dialect.header
    last_header = 0
    for at in odd[odd > body].tolist():
        if at < cuts[-1] or not _begins_recording(data, at, dialect, header):
            continue
        if _goes_on(data, last_header, at, dialect):
            continue
        cut = _back_to_notes(data, at, dialect)
        if cut > cuts[-1]:
            cuts.append(cut)
            last_header = at
        if len(cuts) > MAX_RECORDINGS:
            raise FileRefused("log.more_recordings", most=MAX_RECORDINGS)
    return cuts


def _parts(text: Text, found: Understood, layout_of: LayoutOf) -> None:
    data = _blanks_to_tabs(text.data)
    dialect = find_dialect(data, encoding=UTF_8)
    starts = text.starts if text.starts is not None and data is text.data else np.concatenate(list(line_starts(data)))
    cuts = [0] if dialect.long else _cuts(data, starts, dialect)
    for number, (start, end) in enumerate(zip(cuts, [*cuts[1:], len(data)], strict=True), start=1):
        place = text.place
        if len(cuts) > 1:
            line = data.count(b"\n", 0, start) + 1
            place = place.inside("place.recording", recording=number, line=line)
        try:
            part = data if len(cuts) == 1 else data[start:end]
            as_found = dialect if len(cuts) == 1 else find_dialect(part, encoding=UTF_8)
            layout = layout_of(len(found.recordings) + 1) or AS_FOUND
            found.recordings.append(_recording(Text(place, part, text.encoding), as_found, layout))
        except LayoutRefused:
            raise
        except FileRefused as refused:
            found.refused.append((place, refused.said))


def _laid_out(data: bytes, layout: Layout) -> Dialect:
    try:
        return find_dialect(data, layout)
    except LayoutRefused:
        raise
    except FileRefused as refused:
        if not layout.delimiter:
            raise LayoutRefused(refused.said) from refused
        raise LayoutRefused(
            "log.no_table_with", mark=Said(f"mark.{DELIMITERS[layout.delimiter]}"), why=refused.said
        ) from refused


def _recording(part: Text, as_found: Dialect, layout: Layout) -> Recording:
    data = part.data
    dialect = _laid_out(data, layout) if layout.said() else as_found
    top = tuple(line[:TOP_WIDTH] for line in _lines_from(data, 0, min(MOST_TOP_LINES, max(8, dialect.skip_rows + 4))))
    recording = Recording(
        part.place, data, dialect, (), part.encoding, dialect.layout, as_found.layout, top, bool(dialect.long)
    )
    if not dialect.long:
        return recording
    wide, told = widen(data, offset_of_line(data, dialect.skip_rows), dialect)
    return replace(recording, data=wide, dialect=replace(find_dialect(wide), notes=dialect.notes), told=tuple(told))


def _blanks_to_tabs(data: bytes) -> bytes:
    """Columns parted by runs of blanks become columns parted by tabs; anything else stays as it is."""
    lines = [
        line.strip() for line in data[: 1 << 16].decode("utf-8", errors="ignore").split("\n")[:200] if line.strip()
    ]
    by_blank = [line for line in lines if len(line.split()) > 1 and all(map(is_figure, line.split()))]
    by_comma = [line for line in lines if "," in line and all(not c.strip() or is_figure(c) for c in line.split(","))]
    if (
        len(by_blank) < 0.5 * len(lines)
        or len(by_comma) >= len(by_blank)
        or any(mark in line for line in by_blank for mark in "\t;|")
    ):
        return data
    wide = all("  " in line for line in by_blank)  # names may then hold single blanks
    data = data.replace(b"\r", b"").replace(b"  " if wide else b" ", b"\t")
    for twice, once in ((b" \t", b"\t"), (b"\t ", b"\t"), (b"\t\t", b"\t")):
        while twice in data:
            data = data.replace(twice, once)
    return data.replace(b"\n\t", b"\n").replace(b"\t\n", b"\n").strip(b"\t")


def understand(data: bytes, layout_of: LayoutOf = lambda number: None) -> Understood:
    """Every recording in a file, or FileRefused with the reason why there is none.

    `layout_of` gives what a person said of a recording's layout; LayoutRefused when it cannot be read so. Where one
    recording ends and the next begins is found as before, so that their numbers stay.
    """
    unpacked = unpack(data)
    found = Understood(refused=list(unpacked.refused), packed=unpacked.packed)
    many = len(unpacked.texts)
    while unpacked.texts:
        text = unpacked.texts.pop(0)  # let go of each as it is done
        try:
            _parts(text, found, layout_of)
        except LayoutRefused:
            raise
        except FileRefused as refused:
            if many == 1 and not found.refused:
                raise
            found.refused.append((text.place, refused.said))
    if not found.recordings:
        raise FileRefused("log.nothing_in_it", parts=listed(parts_refused(found.refused), "; "))
    if len(found.recordings) > MAX_RECORDINGS:
        raise FileRefused("log.too_many_recordings", recordings=len(found.recordings), most=MAX_RECORDINGS)
    return found
