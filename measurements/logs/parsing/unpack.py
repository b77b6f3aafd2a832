"""From a stored file to texts in UTF-8: gzip, zip and spreadsheets are opened under caps, each with its message. Pure."""

import gzip
import io
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import PurePosixPath

import numpy as np

from sizing.said import Said, listed
from sizing.tables.packed import drained, refuse_too_big
from sizing.tables.refused import FileRefused
from sizing.tables.spreadsheet import sheets
from sizing.tables.text import utf8_of

MAX_MEMBERS = 50
MAX_ROWS = 4_000_000
MAX_LINE = 65_536
MAX_CELL = 4096
BLOCK = 1 << 20


class Place(tuple[Said, ...]):
    """Where in a file something stands, from the outside in: a packed file, a sheet, a recording. Empty: the file is it."""

    def __str__(self) -> str:
        return ", ".join(map(str, self))

    def inside(self, code: str, **values: object) -> "Place":
        return Place((*self, Said(code, values)))


@dataclass(frozen=True)
class Text:
    place: Place
    data: bytes
    encoding: str = "utf-8-sig"  # as it was received; `data` is UTF-8
    starts: np.ndarray | None = None  # where its lines start, when that was found


@dataclass
class Unpacked:
    texts: list[Text] = field(default_factory=list)
    refused: list[tuple[Place, Said]] = field(default_factory=list)  # which member, and why it is no log
    packed: str = ""  # gzip, zip or spreadsheet


def _members(data: bytes, archive: zipfile.ZipFile) -> Unpacked:
    rows = [
        m
        for m in archive.infolist()
        if not m.is_dir()
        and not m.filename.startswith("__MACOSX/")
        and not PurePosixPath(m.filename).name.startswith(".")
    ]
    if not rows:
        raise FileRefused("log.no_file_in_it")
    if len(rows) > MAX_MEMBERS:
        raise FileRefused("log.too_many_files", files=len(rows), most=MAX_MEMBERS)
    found, size = Unpacked(packed="zip"), 0
    seen: dict[bytes, str] = {}
    for member in rows:
        name = PurePosixPath(member.filename.replace("\\", "/")).name[:100] or "unnamed"
        place = Place().inside("place.file", name=name)
        if member.flag_bits & 1:
            found.refused.append((place, Said("log.member_locked")))
            continue
        refuse_too_big(member.compress_size, member.file_size)
        with archive.open(member) as stream:
            content = drained(stream, len(data), size)
        size += len(content)
        if content in seen:
            found.refused.append((place, Said("log.member_again", {"name": seen[content]})))
            continue
        seen[content] = name
        _add_text(found, place, content)
    return found


def _add_text(found: Unpacked, place: Place, content: bytes) -> None:
    if content[:2] == b"\x1f\x8b" or content[:4] == b"PK\x03\x04":
        found.refused.append((place, Said("log.member_packed")))
        return
    try:
        found.texts.append(_text(place, content))
    except FileRefused as refused:
        found.refused.append((place, refused.said))


def _text(place: Place, data: bytes) -> Text:
    """As UTF-8, under the caps on rows, lines and cells."""
    data, encoding = utf8_of(data)
    return Text(place, data, encoding, _checked_starts(data))


def line_starts(data: bytes) -> Iterator[np.ndarray]:
    """Where lines start, block by block, so that a large file needs little memory."""
    whole = np.frombuffer(data, dtype=np.uint8)
    yield np.array([0])
    for start in range(0, len(whole), BLOCK):
        yield np.flatnonzero(whole[start : start + BLOCK] == 10) + (start + 1)


def _checked_starts(data: bytes) -> np.ndarray:
    """Where lines start, once their number and length are within the caps."""
    count, last, found = 0, 0, []
    for starts in line_starts(data):
        found.append(starts)
        if not len(starts):
            continue
        lengths = np.diff(starts, prepend=last)
        for i in np.flatnonzero(lengths > MAX_CELL):
            _check_long_line(data, int(starts[i] - lengths[i]), int(starts[i]), count + int(i))
        count, last = count + len(starts), int(starts[-1])
        if count > MAX_ROWS:
            raise FileRefused("log.too_many_rows", most=MAX_ROWS)
    if len(data) - last > MAX_CELL:
        _check_long_line(data, last, len(data), count)
    return np.concatenate(found)


def _check_long_line(data: bytes, start: int, end: int, line: int) -> None:
    if end - start > MAX_LINE:
        raise FileRefused("log.long_line", line=line, length=end - start, most=MAX_LINE)
    longest = max(
        len(part)
        for mark in (b"\t", b"\n")
        for cell in data[start:end].split(mark)
        for semi in cell.split(b";")
        for part in semi.split(b",")
    )
    if longest > MAX_CELL:
        raise FileRefused("log.long_cell", line=line, length=longest, most=MAX_CELL)


def parts_refused(refused: list[tuple[Place, Said]]) -> list[Said]:
    """The first reasons, each with the part that it is of."""
    return [Said("log.part", {"part": list(place), "why": why}) if place else why for place, why in refused[:5]]


def unpack(data: bytes) -> Unpacked:
    """The texts in a file. FileRefused when there is none, with the reason."""
    if data[:2] == b"\x1f\x8b":
        found = Unpacked(packed="gzip")
        with gzip.GzipFile(fileobj=io.BytesIO(data)) as stream:
            content = drained(stream, len(data))
        _add_text(found, Place(), content)
    elif data[:4] in (b"PK\x03\x04", b"PK\x05\x06"):
        try:
            with zipfile.ZipFile(io.BytesIO(data)) as archive:
                names = archive.namelist()
                if "[Content_Types].xml" in names:
                    found = Unpacked(packed="spreadsheet")
                    found.texts = [
                        _text(Place().inside("place.sheet", name=name), text) for name, text in sheets(data, archive)
                    ]
                else:
                    found = _members(data, archive)
        except (zipfile.BadZipFile, zipfile.LargeZipFile, ValueError, OverflowError) as error:
            if isinstance(error, FileRefused):
                raise
            raise FileRefused("packed.damaged") from error
    else:
        return Unpacked([_text(Place(), data)])
    if not found.texts:
        raise FileRefused("log.no_log_in_it", parts=listed(parts_refused(found.refused), "; "))
    return found
