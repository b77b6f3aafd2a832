"""What the app says, kept as a code with its values. The sentence is made when it is shown, in the reader's language.

Each room puts the sentences of its codes into the table (`add_sentences`) and, where its values are no plain figures or
texts, how such a value is written (`add_ways`). Sentences are lazy gettext texts with named placeholders, so that
nothing is translated before it is shown. A value is what JSON knows:

- a text or a figure, as the sentence formats it; a list, its parts with commas between;
- another code with its values: {"code": ..., "values": {...}};
- something to be written in a way of its own: {"way": "figure", "of": "boost_kpa", "value": 82.0}.

What a person wrote is a value. The code `told` holds a text that no code was ever made for. Pure: knows no Django.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

_SENTENCES: dict[str, Any] = {"told": "%(text)s", "together": "%(parts)s"}
_WAYS: dict[str, Callable[..., str]] = {}


def add_sentences(table: Mapping[str, Any]) -> None:
    """Lazy texts by code. A code belongs to one room; saying it twice would hide one of the two."""
    for code, sentence in table.items():
        if _SENTENCES.setdefault(code, sentence) is not sentence:
            raise ValueError(f"the code {code!r} has a sentence already")


def add_ways(**ways: Callable[..., str]) -> None:
    """Functions by name that write a value: they get what stands beside "way"."""
    for name, write in ways.items():
        if _WAYS.setdefault(name, write) is not write:
            raise ValueError(f"the way {name!r} is taken already")


def sentences() -> Mapping[str, Any]:
    """Every sentence by its code, to be looked at."""
    return MappingProxyType(_SENTENCES)


def ways() -> Mapping[str, Callable[..., str]]:
    """Every way to write a value by its name, to be looked at."""
    return MappingProxyType(_WAYS)


class Count(int):
    """A whole number that reads as 12,345 in a sentence, and still chooses between one and many."""

    def __str__(self) -> str:
        return f"{int(self):,}"


def shown(value: Any) -> Any:
    """A value as it stands in a sentence."""
    if isinstance(value, dict):
        if "code" in value:
            return say(value["code"], value.get("values", {}))
        return _WAYS[value["way"]](**{name: _figure_again(part) for name, part in value.items() if name != "way"})
    if isinstance(value, list | tuple):
        return ", ".join(str(shown(part)) for part in value)
    return Count(value) if type(value) is int else _figure_again(value)


def say(code: str, values: Mapping[str, Any]) -> str:
    """The sentence of a code. One that is not known here, such as of a newer version, is shown as it is kept."""
    if code not in _SENTENCES:
        return f"{code} {dict(values)}" if values else code
    return str(_SENTENCES[code] % {name: shown(value) for name, value in values.items()})


# JSON has no word for these; a log may hold them all the same.
_BEYOND_JSON = {"inf": "Infinity", "-inf": "-Infinity", "nan": "NaN"}


def _figure_again(value: Any) -> Any:
    return float(value) if isinstance(value, str) and value in _BEYOND_JSON.values() else value


def _kept(value: Any) -> Any:
    if isinstance(value, Said):
        return value.kept()
    if isinstance(value, dict):
        return {name: _kept(part) for name, part in value.items()}
    if isinstance(value, list | tuple):
        return [_kept(part) for part in value]
    plain = value.item() if hasattr(value, "item") else value
    return _BEYOND_JSON.get(str(plain), plain) if isinstance(plain, float) else plain


@dataclass(frozen=True)
class Said:
    """A code with its values.

    >>> str(Said("told", {"text": "It smokes."}))
    'It smokes.'
    """

    code: str
    values: Mapping[str, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        object.__setattr__(self, "values", _kept(dict(self.values)))

    def __str__(self) -> str:
        return say(self.code, self.values)

    def kept(self) -> dict[str, Any]:
        """As it is stored."""
        return {"code": self.code, "values": self.values}

    @classmethod
    def of(cls, kept: Mapping[str, Any]) -> "Said":
        return cls(kept["code"], kept.get("values", {}))


def told(text: str) -> Said:
    """A text that somebody wrote, or that is kept from a time without codes."""
    return Said("told", {"text": text})


def listed(parts: Iterable[Any], between: str = " ") -> dict[str, Any]:
    """A value of several sentences, or other parts, with another mark than a comma between them."""
    return {"way": "listed", "parts": _kept(list(parts)), "between": between}


def together(sentences: Iterable[Said]) -> Said:
    """Sentences that follow each other, as one."""
    said = list(sentences)
    return said[0] if len(said) == 1 else Said("together", {"parts": listed(said)})


add_ways(listed=lambda parts, between: between.join(str(shown(part)) for part in parts))


class Refused(ValueError):
    """What cannot be done, with the code of the reason and its values; `str()` gives the sentence."""

    def __init__(self, code: str | Said, **values: Any):
        self.said = code if isinstance(code, Said) else Said(code, values)
        super().__init__(self.said)

    def __str__(self) -> str:
        return str(self.said)
