"""From a stored file to texts in UTF-8: gzip, zip and spreadsheets are opened under caps, each with its message. Pure."""

import codecs
import gzip
import io
import zipfile
import zlib
from dataclasses import dataclass, field
from pathlib import PurePosixPath

import numpy as np

from measurements.logs.parsing.dialect import LogRefused, encoding_of, refuse_what_is_no_text
from measurements.logs.parsing.sheet import sheets

MAX_UNPACKED_BYTES = 120 * 1024 * 1024
MAX_RATIO = 500  # a real log packs to a third of a hundredth at best; zeros pack a thousandfold
RATIO_FROM_BYTES = 4 * 1024 * 1024
MAX_MEMBERS = 50
MAX_ROWS = 4_000_000
MAX_LINE = 65_536
MAX_CELL = 4096
BLOCK = 1 << 20


@dataclass(frozen=True)
class Text:
    label: str  # of a file in a packed file, or a sheet; empty when the file is the text
    data: bytes
    encoding: str = "utf-8-sig"  # as it was received; `data` is UTF-8
    starts: np.ndarray | None = None  # where its lines start, when that was found


@dataclass
class Unpacked:
    texts: list[Text] = field(default_factory=list)
    refused: list[tuple[str, str]] = field(default_factory=list)  # which member, and why it is no log
    packed: str = ""  # gzip, zip or spreadsheet


def _too_big(packed: int, unpacked: int) -> None:
    if unpacked > MAX_UNPACKED_BYTES:
        raise LogRefused(
            f"Unpacked, the file has more than {MAX_UNPACKED_BYTES // 1048576} MB. Allowed: up to {MAX_UNPACKED_BYTES // 1048576} MB."
        )
    if unpacked > RATIO_FROM_BYTES and unpacked > MAX_RATIO * max(packed, 1):
        raise LogRefused(
            f"The file unpacks to more than {MAX_RATIO} times its size, which no log does. Send the log itself, not packed."
        )


def _drain(stream, packed: int, already: int = 0) -> bytes:
    out = io.BytesIO()
    try:
        while block := stream.read(BLOCK):
            out.write(block)
            _too_big(packed, already + out.tell())
    except (EOFError, OSError, zlib.error, zipfile.BadZipFile, NotImplementedError) as error:
        raise LogRefused(
            f"The packed file is damaged and cannot be opened ({str(error)[:80] or 'it ends too early'}). Pack it again, or send the log itself."
        ) from error
    except RuntimeError as error:  # a password
        raise LogRefused("The packed file is locked with a password. Send it without one.") from error
    return out.getvalue()


def _members(data: bytes, archive: zipfile.ZipFile) -> Unpacked:
    rows = [
        m
        for m in archive.infolist()
        if not m.is_dir()
        and not m.filename.startswith("__MACOSX/")
        and not PurePosixPath(m.filename).name.startswith(".")
    ]
    if not rows:
        raise LogRefused("The packed file holds no file.")
    if len(rows) > MAX_MEMBERS:
        raise LogRefused(f"The packed file holds {len(rows)} files. Allowed: up to {MAX_MEMBERS}.")
    found, size = Unpacked(packed="zip"), 0
    seen: dict[bytes, str] = {}
    for member in rows:
        name = PurePosixPath(member.filename.replace("\\", "/")).name[:100] or "unnamed"
        if member.flag_bits & 1:
            found.refused.append((name, "It is locked with a password. Send it without one."))
            continue
        _too_big(member.compress_size, member.file_size)
        with archive.open(member) as stream:
            content = _drain(stream, len(data), size)
        size += len(content)
        if content in seen:
            found.refused.append((name, f"The same bytes as {seen[content]}; read once."))
            continue
        seen[content] = name
        _add_text(found, name, content)
    return found


def _add_text(found: Unpacked, label: str, content: bytes) -> None:
    if content[:2] == b"\x1f\x8b" or content[:4] == b"PK\x03\x04":
        found.refused.append((label, "It is packed once more. Unpack it and send what is inside."))
        return
    try:
        found.texts.append(_text(label, content))
    except LogRefused as refused:
        found.refused.append((label, str(refused)))


def _text(label: str, data: bytes) -> Text:
    """The same text in UTF-8 without a mark and with plain line ends, under the caps on rows, lines and cells."""
    refuse_what_is_no_text(data)
    encoding = encoding_of(data)
    if encoding == "utf-8-sig":
        data = data[3:] if data[:3] == codecs.BOM_UTF8 else data
    else:
        decode, out = codecs.getincrementaldecoder(encoding)(errors="replace"), io.BytesIO()
        for start in range(0, len(data), BLOCK):
            out.write(decode.decode(data[start : start + BLOCK]).encode())
        data = out.getvalue()
    if b"\r" in data and data.count(b"\r") != data.count(b"\r\n"):  # line ends of old machines, or of several at once
        data = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    if b"\x00" in data:
        raise LogRefused("This file is not text all through, so it is no CSV log. Export the log as CSV and send that.")
    return Text(label, data, encoding, _checked_starts(data))


def line_starts(data: bytes):
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
            raise LogRefused(
                f"The file has more than {MAX_ROWS:,} rows. Allowed: up to {MAX_ROWS:,}; cut it to the part that counts."
            )
    if len(data) - last > MAX_CELL:
        _check_long_line(data, last, len(data), count)
    return np.concatenate(found)


def _check_long_line(data: bytes, start: int, end: int, line: int) -> None:
    if end - start > MAX_LINE:
        raise LogRefused(f"Line {line} is {end - start:,} characters long. Allowed: up to {MAX_LINE:,}.")
    longest = max(
        len(part)
        for mark in (b"\t", b"\n")
        for cell in data[start:end].split(mark)
        for semi in cell.split(b";")
        for part in semi.split(b",")
    )
    if longest > MAX_CELL:
        raise LogRefused(f"Line {line} holds a cell of {longest:,} characters. Allowed: up to {MAX_CELL:,}.")


def unpack(data: bytes) -> Unpacked:
    """The texts in a file. LogRefused when there is none, with the reason."""
    if data[:2] == b"\x1f\x8b":
        found = Unpacked(packed="gzip")
        with gzip.GzipFile(fileobj=io.BytesIO(data)) as stream:
            content = _drain(stream, len(data))
        _add_text(found, "", content)
    elif data[:4] in (b"PK\x03\x04", b"PK\x05\x06"):
        try:
            with zipfile.ZipFile(io.BytesIO(data)) as archive:
                names = archive.namelist()
                if "[Content_Types].xml" in names:
                    found = Unpacked(packed="spreadsheet")
                    found.texts = [_text(name, text) for name, text in sheets(data, archive, _drain)]
                else:
                    found = _members(data, archive)
        except (zipfile.BadZipFile, zipfile.LargeZipFile, ValueError, OverflowError) as error:
            if isinstance(error, LogRefused):
                raise
            raise LogRefused(
                "The packed file is damaged and cannot be opened. Pack it again, or send the log itself."
            ) from error
    else:
        return Unpacked([_text("", data)])
    if not found.texts:
        why = "; ".join(f"{name}: {reason}" if name else reason for name, reason in found.refused[:5])
        raise LogRefused(f"The packed file holds no log. {why}")
    return found
