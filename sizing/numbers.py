"""Reading a number that a person typed: comma or point, blanks between thousands, a minus of any kind."""

import math
import re

_SHAPE = re.compile(r"^[+-]?(\d+([.,]\d*)?|[.,]\d+)$")

_FIGURE = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)(e[+-]?[0-9]+)?", re.IGNORECASE)


def read_figure(text: str, decimal: str) -> float:
    """A cell of a table whose decimal mark is known. Python's own words for no figure, and its 1_00, are none here.

    >>> read_figure("118,5", ","), read_figure("1.2e3", ".")
    (118.5, 1200.0)
    """
    cleaned = text.strip().replace(",", ".") if decimal == "," else text.strip()
    value = float(cleaned) if _FIGURE.fullmatch(cleaned) else math.inf
    if not math.isfinite(value):
        raise ValueError(f"'{text[:40]}' is not a figure.")
    return value


def read_number(text: str) -> float:
    """Turn typed text into a float.

    Comma and point both stand for the decimal mark, so '1.234,5' is refused rather than guessed.

    >>> read_number("1,4")
    1.4
    >>> read_number("− 3")
    -3.0
    """
    cleaned = re.sub(r"[\s\u00a0\u202f']", "", str(text)).replace("−", "-")
    if not _SHAPE.match(cleaned):
        raise ValueError(f"'{text}' is not a number. Type digits with one comma or point, such as 1.4 or 1,4.")
    value = float(cleaned.replace(",", "."))
    if not math.isfinite(value):
        raise ValueError(f"'{text}' is too large to be a reading.")
    return value
