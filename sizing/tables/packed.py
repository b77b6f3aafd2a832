"""Opening what is packed, under caps. Pure."""

import gzip
import io
import zipfile
import zlib
from typing import IO

from sizing.said import Said
from sizing.tables.refused import FileRefused

MAX_UNPACKED_BYTES = 120 * 1024 * 1024
MAX_RATIO = 500  # a real log packs to a third of a hundredth at best; zeros pack a thousandfold
RATIO_FROM_BYTES = 4 * 1024 * 1024
BLOCK = 1 << 20


def refuse_too_big(packed: int, unpacked: int) -> None:
    if unpacked > MAX_UNPACKED_BYTES:
        raise FileRefused("packed.too_big", most_mb=MAX_UNPACKED_BYTES // 1048576)
    if unpacked > RATIO_FROM_BYTES and unpacked > MAX_RATIO * max(packed, 1):
        raise FileRefused("packed.unpacks_too_far", times=MAX_RATIO)


def drained(stream: "IO[bytes] | gzip.GzipFile", packed: int, already: int = 0) -> bytes:
    """All that a packed stream holds; `packed` its size as it came, `already` what was unpacked beside it."""
    out = io.BytesIO()
    try:
        while block := stream.read(BLOCK):
            out.write(block)
            refuse_too_big(packed, already + out.tell())
    except (EOFError, OSError, zlib.error, zipfile.BadZipFile, NotImplementedError) as error:
        why = str(error)[:80] or Said("packed.ends_too_early")
        raise FileRefused("packed.damaged_because", why=why) from error
    except RuntimeError as error:  # a password
        raise FileRefused("packed.locked") from error
    return out.getvalue()
