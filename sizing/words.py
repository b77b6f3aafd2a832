"""Making a sentence of what the physics says."""


def in_words(text: str) -> str:
    """A reason with a capital at its start and one full stop at its end.

    >>> in_words("boost kpa is 900 kPa; allowed is 0 to 400 kPa")
    'Boost kpa is 900 kPa; allowed is 0 to 400 kPa.'
    """
    return text[:1].upper() + text[1:].rstrip(".") + "."
