"""Reading sentences that the first version stored, back into codes with their values. Frozen: never to be changed.

A rule is a code, the sentence as it was made, with placeholders {name}, and what each placeholder may hold. Where a
sentence can be read in two ways with different values, or in none, it is kept as it is under the code `told`.
"""

import re
from itertools import combinations

TO_STORED = {  # unit as shown: factor and offset to the stored unit
    "bar": (100.0, 0.0), "psi": (6.894757293168361, 0.0), "°F": (5 / 9, -160 / 9), "hp metric": (0.73549875, 0.0),
    "hp imperial": (0.7456998715822702, 0.0), "lbf·ft": (1.3558179483314003, 0.0),
}
NUMBER = r"[-−+]?[\d,]*\.?\d+(?:e[-+]?\d+)?"


class Unreadable(ValueError):
    pass


def told(text):
    return {"code": "told", "values": {"text": text}}


def number(text):
    return float(text.replace(",", "").replace("−", "-"))


def stored(text, unit):
    """A figure as it was shown, in the stored unit; rounded, so that 0.7 bar is 70 kPa and no hair beside it."""
    factor, offset = TO_STORED.get(unit, (1.0, 0.0))
    return float(f"{number(text) * factor + offset:.10g}")


class Shape:
    """What a placeholder may hold: a pattern, and how its text becomes a value."""

    def __init__(self, pattern=".+", read=lambda text: text):
        self.pattern, self.read = pattern, read


TEXT = Shape()
WHOLE = Shape(r"\d[\d,]*", lambda text: int(text.replace(",", "")))
REAL = Shape(NUMBER, number)


def one_of(of, words):
    """A word of a table, as the code of its row."""
    codes = {word: code for code, word in words.items()}
    longest = sorted(codes, key=len, reverse=True)
    return Shape("|".join(map(re.escape, longest)), lambda text: {"way": "word", "of": of, "value": codes[text]})


def figure(of, units, way="figure"):
    """A figure with one of its units behind it, in the stored unit."""
    shown = "|".join(map(re.escape, sorted(units, key=len, reverse=True)))

    def read(text):
        found = re.fullmatch(f"({NUMBER}) ?({shown})", text)
        return {"way": way, "of": of, "value": stored(found[1], units[found[2]])}

    return Shape(f"{NUMBER} ?(?:{shown})", read)


def said(*rules):
    """Another sentence, by one of the rules."""

    def read(text):
        found = parse(text, rules)
        if found is None:
            raise Unreadable
        return found

    return Shape(".+", read)


def many(shape, between):
    """Several of a shape with a mark between them; a mark may stand inside one, too, where only one reading fits."""

    def read(text):
        pieces = text.split(between)
        for count in range(len(pieces), max(0, len(pieces) - 8), -1):
            for cuts in combinations(range(1, len(pieces)), count - 1):
                ends = [0, *cuts, len(pieces)]
                parts = [between.join(pieces[a:b]) for a, b in zip(ends, ends[1:])]
                try:
                    if all(re.fullmatch(shape.pattern, part, re.DOTALL) for part in parts):
                        return [shape.read(part) for part in parts]
                except Unreadable:
                    continue
        raise Unreadable

    return Shape(".+", read)


def listed(shape, between):
    inner = many(shape, between)
    return Shape(".+", lambda text: {"way": "listed", "parts": inner.read(text), "between": between})


class Rule:
    def __init__(self, code, sentence, once=(), constant=None, **shapes):
        """`once` are texts that have to stand in the sentence only once; otherwise it can be read in two ways."""
        self.code, self.once, self.shapes, self.constant = code, once, shapes, constant or {}
        parts = re.split(r"\{(\w+)\}", sentence)
        self.names = parts[1::2]
        self.pattern = "".join(
            f"({shapes.get(part, TEXT).pattern})" if i % 2 else re.escape(part) for i, part in enumerate(parts)
        )

    def __call__(self, text):
        found = re.fullmatch(self.pattern, text, re.DOTALL)
        if not found or any(text.count(mark) != 1 for mark in self.once):
            return None
        values = dict(self.constant)
        try:
            for name, part in zip(self.names, found.groups()):
                values[name] = self.shapes.get(name, TEXT).read(part)
        except Unreadable:
            return None
        return {"code": self.code, "values": values}


def parse(text, rules):
    """The first rule that reads the whole text; None where none does."""
    for rule in rules:
        found = rule(text)
        if found is not None:
            return found
    return None
