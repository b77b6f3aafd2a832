"""The phone's script and styles as one file each: on a slow network every further file costs a round trip.

`npm run build` makes the script of the modules in `phone/`; it is kept with them, so that nobody needs node to serve it.
"""

import gzip
import hashlib
import re
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from django.contrib.staticfiles import finders
from django.urls import reverse

SCRIPT = "measurements/phone.js"
STYLES = ("shop/app.css", "measurements/phone.css")
_BLOCK_COMMENT, _IMPORT, _INDENT = (
    re.compile(r"/\*.*?\*/", re.DOTALL),
    re.compile(r"@import[^;]*;"),
    re.compile(r"^\s+", re.MULTILINE),
)


@dataclass(frozen=True)
class Bundle:
    content: bytes
    packed: bytes
    version: str


def _read(names: tuple[str, ...]) -> str:
    return "\n".join(Path(finders.find(name)).read_text() for name in names)


def _stamp(names: tuple[str, ...]) -> tuple[int, ...]:
    return tuple(Path(finders.find(name)).stat().st_mtime_ns for name in names)


def _bundle(text: str) -> Bundle:
    content = text.encode()
    return Bundle(content, gzip.compress(content, 9, mtime=0), hashlib.sha256(content).hexdigest()[:12])


@lru_cache(maxsize=4)
def _script(stamp) -> Bundle:
    return _bundle(_read((SCRIPT,)))


@lru_cache(maxsize=4)
def _style(stamp) -> Bundle:
    """The phone reads with the system's own letters, so the font's sheet is left out."""
    return _bundle(_INDENT.sub("", _IMPORT.sub("", _BLOCK_COMMENT.sub("", _read(STYLES)))))


def phone_bundle(kind: str) -> Bundle:
    """`kind` is js or css. Made anew when one of the files changed."""
    return _script(_stamp((SCRIPT,))) if kind == "js" else _style(_stamp(STYLES))


def bundle_address(kind: str) -> str:
    return reverse("measurements:phone_bundle", args=[phone_bundle(kind).version, kind])
