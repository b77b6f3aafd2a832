"""A million rows drawn with a few hundred points: of each bucket the lowest and the highest stay, so no peak is lost."""

import json
from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike

from sizing.physics.errors import Floats
from sizing.physics.ranges import Span, takes

PLOT_BYTES = 40_000
Indices = np.typing.NDArray[np.intp]


CHUNK = 32  # rows looked at together where there are gaps, so that what is in between stays in the cache


def _ends(block: Floats) -> Indices:
    """Positions of the lowest and the highest of each row; a row without any figure gives its first position."""
    rows = np.arange(len(block))
    ends = np.stack([block.argmin(axis=1), block.argmax(axis=1)], axis=1)
    gaps = np.flatnonzero(np.isnan(block[rows, ends[:, 0]]))  # argmin stops at a NaN if there is one
    for start in range(0, len(gaps), CHUNK):
        some = gaps[start : start + CHUNK]
        part = block[some[0] : some[-1] + 1] if some[-1] - some[0] == len(some) - 1 else block[some]
        # fmin and fmax pass over NaN; a row of nothing but NaN equals nothing, so that its first position is found
        ends[some, 0] = (part == np.fmin.reduce(part, axis=1)[:, None]).argmax(axis=1)
        ends[some, 1] = (part == np.fmax.reduce(part, axis=1)[:, None]).argmax(axis=1)
    ends.sort(axis=1)
    return ends


@takes(
    values="one channel, NaN where nothing was logged, one dimension [any unit]",
    buckets=Span(1, 100_000, "", "into how many stretches of equal length it is cut"),
)
def kept(values: ArrayLike, buckets: int) -> Indices:
    """Which samples to draw.

    Returns: array of int: rising positions: of each bucket the lowest and the highest, of an empty bucket its first (so
        that the line breaks there), and the first and the last of all; everything where there is nothing to thin [-].
    Raises: OutOfRange if the number of buckets is outside its range; ValueError if the values have more than one
        dimension.
    Source: Definition of minimum and maximum; checked against a plain NumPy minimum and maximum of each bucket.

    >>> kept([0.0, 1.0, 9.0, 2.0, 3.0, 3.0, -4.0, 5.0], 2).tolist()
    [0, 2, 6, 7]
    """
    numbers = np.asarray(values, dtype=np.float64)
    if numbers.ndim != 1:
        raise ValueError(f"values have {numbers.ndim} dimensions; allowed is 1")
    if numbers.size <= 2 * buckets:
        return np.arange(numbers.size)
    length = -(-numbers.size // buckets)
    full = numbers.size // length
    ends = _ends(numbers[: full * length].reshape(full, length))
    found = [(ends + length * np.arange(full)[:, None]).ravel()]
    rest = numbers[full * length :]
    if rest.size:
        found.append(_ends(rest[None, :]).ravel() + full * length)
    where = np.concatenate([[0], *found, [numbers.size - 1]])  # rising already, with repeats
    rising: Indices = where[np.concatenate([[True], where[1:] != where[:-1]])]
    return rising


def thin(times: ArrayLike, values: ArrayLike, buckets: int) -> tuple[Floats, Floats]:
    """Times and values of the samples to draw.

    Takes:
        times: time of each sample [s]
        values: one channel, same length, NaN where nothing was logged [any unit]
        buckets: into how many stretches it is cut, 1 to 100 000 [-]
    Returns: tuple of arrays: times and values kept, in their order.
    Raises: OutOfRange if the number of buckets is outside its range; ValueError if the two have different lengths.
    Source: As `kept`.

    >>> thin([0, 1, 2, 3, 4, 5], [1, 1, 8, 1, 1, 1], 1)[1].tolist()
    [1.0, 8.0, 1.0]
    """
    clock, numbers = np.asarray(times, dtype=np.float64), np.asarray(values, dtype=np.float64)
    if clock.shape != numbers.shape:
        raise ValueError(f"times hold {clock.size} samples, values {numbers.size}; they must be as many")
    where = kept(numbers, buckets)
    return clock[where], numbers[where]


def _rounded(numbers: Floats) -> list[float | None]:
    """Four figures of the span: finer than a screen can show. A gap is null, since JSON knows no NaN."""
    seen = numbers[np.isfinite(numbers)]
    span = float(np.ptp(seen)) if seen.size else 0.0
    step = span or (float(abs(seen[0])) if seen.size else 0.0) or 1.0
    decimals = max(0, 4 - int(np.ceil(np.log10(step))))
    tidy = np.round(numbers, decimals)
    plain = (lambda v: int(v)) if decimals == 0 else (lambda v: float(v))
    return [plain(v) if np.isfinite(v) else None for v in tidy]


@takes(
    times="time of each sample [s]",
    channels="channels by name, each as long as the times [any unit]",
    most_bytes=Span(1000, 10_000_000, "bytes", "what the JSON may weigh"),
    buckets=Span(1, 100_000, "", "buckets a channel has at most"),
)
def plot_data(
    times: ArrayLike, channels: Mapping[str, ArrayLike], most_bytes: int = PLOT_BYTES, buckets: int = 1000
) -> bytes:
    """Channels over time as compact JSON that stays under a given size whatever the log's length.

    Returns: JSON object: name to {"t": times, "v": values}, null where nothing was logged.
    Raises: ValueError if lengths differ, or there are so many channels that not even a few points of each fit.
    Source: As `kept`; values rounded to four figures of their span.

    >>> plot_data([0, 1, 2], {"boost_kpa": [0, 80.25, None]})
    b'{"boost_kpa":{"t":[0.0,1.0,2.0],"v":[0.0,80.25,null]}}'
    """
    count = buckets
    while count >= 1:
        drawn = {name: thin(times, values, count) for name, values in channels.items()}
        packed = {name: {"t": _rounded(t), "v": _rounded(v)} for name, (t, v) in drawn.items()}
        text = json.dumps(packed, separators=(",", ":"), allow_nan=False).encode()
        if len(text) <= most_bytes:
            return text
        count = min(count - 1, int(count * 0.95 * most_bytes / len(text)))
    raise ValueError(f"{len(channels)} channels do not fit into {most_bytes:,} bytes; choose fewer")
