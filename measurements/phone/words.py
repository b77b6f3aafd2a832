"""What a phone says without network: the sentences by code, in the reader's language. `words.js` fills in the values."""

from sizing.said import sentences

ROOMS = ("figure", "finding", "note", "phone")  # of codes: what stands before the first point


def phone_words() -> dict[str, str]:
    return {code: str(sentence) for code, sentence in sentences().items() if code.partition(".")[0] in ROOMS}
