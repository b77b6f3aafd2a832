"""From bytes to text in UTF-8: is it text at all, and in what encoding? Pure."""

import codecs
import io
import re

from charset_normalizer import from_bytes

from sizing.said import Said
from sizing.tables.refused import FileRefused

HEAD_BYTES = 256 * 1024
BLOCK = 1 << 20
UTF_8 = "utf-8-sig"
# Left to choose among all it knows, the library takes a few letters among figures for far-off alphabets.
USUAL = ["cp1252", "cp850", "utf_16", "utf_16_le", "utf_16_be"]

# The first bytes of what people send by mistake.
SIGNATURES = [
    (b"\xff\xd8\xff", "photo_jpeg"),
    (b"\x89PNG", "picture_png"),
    (b"GIF8", "picture_gif"),
    (b"%PDF", "pdf"),
    (b"PK\x03\x04", "packed"),
    (b"\x1f\x8b", "packed_gzip"),
    (b"7z\xbc\xaf", "packed_7z"),
    (b"\xd0\xcf\x11\xe0", "old_office"),
    (b"RIFF", "media"),
]


def refuse_what_is_no_text(data: bytes) -> None:
    if not data[: 1 << 16].strip() and not data.strip():
        raise FileRefused("file.empty")
    for start, what in SIGNATURES:
        if data.startswith(start):
            raise FileRefused("file.no_table", what=Said(f"file.{what}"))
    if data[4:12] in (b"ftypheic", b"ftypmif1", b"ftypheix"):
        raise FileRefused("file.no_table", what=Said("file.photo_heic"))
    if b"\x00" in data[:HEAD_BYTES] and not encoding_of(data).startswith("utf-16"):
        raise FileRefused("file.not_text")


def _is_utf8(data: bytes) -> bool:
    """By pieces, so that a large file is not held a second time."""
    if data.isascii():
        return True
    start = 0
    while start < len(data):
        end = min(start + BLOCK, len(data))
        while end < len(data) and end > start + 1 and data[end] & 0xC0 == 0x80:  # not inside a letter
            end -= 1
        try:
            data[start:end].decode("utf-8")
        except UnicodeDecodeError:
            return False
        start = end
    return True


def encoding_of(data: bytes) -> str:
    """UTF-16 by its mark, UTF-8 when the whole file is, otherwise the likeliest of the usual ones by its first part."""
    if data[:2] in (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE):
        return "utf-16"
    head = data[: min(len(data), HEAD_BYTES) // 2 * 2]  # whole letters of two bytes, too
    if b"\x00" not in head:
        if _is_utf8(data):
            return UTF_8
        # The degree sign is 0xF8 in the encoding of old command lines and 0xB0 in that of desks.
        if re.search(rb"\xf8 ?[CFK]\b", head) and b"\xb0" not in head:
            return "cp850"
    best = from_bytes(head, cp_isolation=USUAL).best() if len(head) >= 8 else None  # fewer bytes tell nothing
    return best.encoding.replace("_", "-") if best else "cp1252"


def utf8_of(data: bytes) -> tuple[bytes, str]:
    """The same text in UTF-8 without a mark and with plain line ends; and the encoding that it came in."""
    refuse_what_is_no_text(data)
    encoding = encoding_of(data)
    if encoding == UTF_8:
        data = data.removeprefix(codecs.BOM_UTF8)
    else:
        decode, out = codecs.getincrementaldecoder(encoding)(errors="replace"), io.BytesIO()
        for start in range(0, len(data), BLOCK):
            out.write(decode.decode(data[start : start + BLOCK]).encode())
        data = out.getvalue()
    if b"\r" in data and data.count(b"\r") != data.count(b"\r\n"):  # line ends of old machines, or of several at once
        data = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    if b"\x00" in data:
        raise FileRefused("file.not_text_all_through")
    return data, encoding
