"""The kinds of long work. Each room registers its own when the app starts; nothing here knows them."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

from sizing.said import Refused, Said


class WorkRefused(Refused):
    """It cannot be done as asked; the sentence says why, and what to do."""


@dataclass(frozen=True)
class Done:
    """What came of it: a page to go on to with lines to show there, or a file to be fetched."""

    leads_to: tuple[Any, ...] = ()
    said: tuple[Said, ...] = ()
    file: Path | None = None
    name: str = ""


@dataclass(frozen=True)
class WorkKind:
    slug: str
    title: Any  # in words, filled in with what is given
    permission: str
    do: Callable[..., Done]
    tries: int  # by itself, after a worker was lost in the middle
    takes_file: bool
    steps: Mapping[str, Any] = field(default_factory=lambda: MappingProxyType({}))


KINDS: dict[str, WorkKind] = {}
Does = TypeVar("Does", bound=Callable[..., Done])


def long_work(
    slug: str,
    title: Any,
    permission: str,
    tries: int = 2,
    takes_file: bool = False,
    steps: Mapping[str, Any] | None = None,
) -> Callable[[Does], Does]:
    """Register a function of (hand, **given). It may be cut off anywhere and begun anew: it must bear that."""

    def register(do: Does) -> Does:
        KINDS[slug] = WorkKind(slug, title, permission, do, tries, takes_file, MappingProxyType(dict(steps or {})))
        return do

    return register
