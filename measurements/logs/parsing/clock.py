"""Clocks of every kind as seconds: figures, times of the day, dates in several orders, a unit in each cell. Pure."""

import re
from collections.abc import Callable
from typing import TypeAlias

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from measurements.logs.parsing.names import CLOCK, DATED, IN_CELL

FACTORS = {
    "s": 1.0,
    "ms": 1e-3,
    "µs": 1e-6,
    "us": 1e-6,
    "ns": 1e-9,
    "sec": 1.0,
    "min": 60.0,
    "h": 3600.0,
    "day": 86400.0,
}
DAY_S = 86400.0
CHUNK = 200_000
_HMS = r"(?P<h>\d{1,4}):(?P<m>\d{1,2})(?::(?P<s>\d{1,2}(?:[.,:]\d+)?))?\s?(?P<half>[AaPp])?\.?[Mm]?\.?\s?(?P<zone>Z|[+-]\d{2}:?\d{2})?"
_MS = r"^(?P<sign>-)?(?P<m>\d{1,4}):(?P<s>\d{1,2}(?:[.,]\d+)?)$"
_DATE = r"(?P<a>\d{1,4})[-./](?P<b>\d{1,2})[-./](?P<c>\d{1,4})"
_WITH_UNIT = r"^(?P<value>-?\d+(?:[.,]\d+)?)\s?(?P<unit>sec|ms|us|µs|s|min|h)$"

Cells: TypeAlias = pa.Array


def numbers(cells: Cells, decimal: str, told: bool = False) -> np.ndarray:
    """Cells as floats; what is no plain figure is not a number. Both 1.234,5 and 1,234.5 are understood where unmistakable.

    Where a person `told` the decimal mark, the other one can only part thousands: 1,234 is then 1234, and 1,23 no figure.
    """
    text = pc.replace_substring(pc.utf8_trim_whitespace(cells), "−", "-")
    text = pc.replace_substring_regex(text, r"\s?%$", "")
    other = "." if decimal == "," else ","
    grouped = (
        rf"^([+-]?[1-9]\d{{0,2}})([{other}]\d{{3}})+([{decimal}]\d*)?$"
        if told
        else rf"^-?\d{{1,3}}[{other}]\d{{3}}[{decimal}]\d+$"
    )
    text = pc.if_else(pc.match_substring_regex(text, grouped), pc.replace_substring(text, other, ""), text)
    if told:
        text = pc.if_else(pc.match_substring(text, other), pa.scalar(None, pa.string()), text)
    if decimal == ",":
        text = pc.replace_substring(text, ",", ".")
    good = pc.match_substring_regex(text, r"^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$")
    text = pc.if_else(good, pc.replace_substring_regex(text, r"^\+", ""), pa.scalar(None, pa.string()))
    return _array(pc.cast(text, pa.float64()))


def _array(cells: Cells) -> np.ndarray:
    found: np.ndarray = cells.to_numpy(zero_copy_only=False)
    return found


def _field(parts: Cells, name: str) -> np.ndarray:
    text = pc.struct_field(parts, name)
    text = pc.if_else(pc.equal(text, ""), pa.scalar(None, pa.string()), text)
    if name in ("s", "value"):
        text = pc.replace_substring(pc.replace_substring(text, ",", "."), ":", ".")
    return _array(pc.cast(text, pa.float64()))


def _flag(parts: Cells, name: str, value: str) -> np.ndarray:
    return _array(pc.fill_null(pc.equal(pc.utf8_lower(pc.struct_field(parts, name)), value), False))


def _time_of_day(parts: Cells) -> np.ndarray:
    hours, minutes, seconds = _field(parts, "h"), _field(parts, "m"), np.nan_to_num(_field(parts, "s"))
    early, late = _flag(parts, "half", "a"), _flag(parts, "half", "p")
    if early.any() or late.any():
        hours = np.where(early | late, np.mod(hours, 12) + 12 * late, hours)
    total = hours * 3600 + minutes * 60 + seconds
    zone = pc.struct_field(parts, "zone")
    for text in pc.unique(zone).to_pylist():
        found = re.fullmatch(r"([+-])(\d{2}):?(\d{2})", text or "")
        if found:  # the clock may change its zone within the log
            offset = (int(found[2]) * 60 + int(found[3])) * (60 if found[1] == "+" else -60)
            total = total - offset * pc.fill_null(pc.equal(zone, text), False).to_numpy(zero_copy_only=False)
    return np.where((minutes < 60) & (seconds < 61), total, np.nan)


def _by_pieces(read: Callable[[Cells], np.ndarray], cells: Cells) -> np.ndarray:
    return (
        np.concatenate([read(cells.slice(start, CHUNK)) for start in range(0, len(cells), CHUNK)])
        if len(cells)
        else np.array([])
    )


def _clock(cells: Cells) -> np.ndarray:
    text = pc.utf8_trim_whitespace(cells)
    short = pc.extract_regex(text, _MS)
    if short.null_count < len(short):
        sign = np.where(pc.equal(pc.struct_field(short, "sign"), "-").to_numpy(zero_copy_only=False) == True, -1.0, 1.0)  # noqa: E712
        only_minutes = sign * (_field(short, "m") * 60 + _field(short, "s"))
    else:
        only_minutes = np.full(len(cells), np.nan)
    negative = pc.fill_null(pc.starts_with(text, "-"), False).to_numpy(zero_copy_only=False)
    whole = _time_of_day(pc.extract_regex(pc.replace_substring_regex(text, "^-", ""), f"^{_HMS}$"))
    return np.where(np.isnan(only_minutes), np.where(negative, -whole, whole), only_minutes)


def days(cells: Cells) -> np.ndarray:
    """Dates as days since 1970; the order of day, month and year is told from all cells together."""
    parts = pc.extract_regex(pc.utf8_trim_whitespace(cells), f"^{_DATE}")
    a, b, c = (_field(parts, name) for name in "abc")
    dotted = pc.any(pc.match_substring_regex(pc.utf8_trim_whitespace(cells), r"^\d{1,2}\.\d{1,2}\.")).as_py()
    return days_from(a, b, c, bool(dotted))


def days_from(a: np.ndarray, b: np.ndarray, c: np.ndarray, dotted: bool) -> np.ndarray:
    """Three fields of a date to days since 1970: year first where the first is a year; else by what is possible, then by calm."""
    if not np.isfinite(a).any():
        return np.full(len(a), np.nan)
    if np.nanmax(a) > 31:
        return _civil(a, b, c)
    day_first, month_first = _civil(c, b, a), _civil(c, a, b)
    if np.isnan(day_first).sum() != np.isnan(month_first).sum():
        return day_first if np.isnan(day_first).sum() < np.isnan(month_first).sum() else month_first
    if dotted:
        return day_first
    # Both are possible: a log goes on from day to day, it does not leap by months.
    return day_first if _longest_leap(day_first) <= _longest_leap(month_first) else month_first


def _longest_leap(days: np.ndarray) -> float:
    seen = days[np.isfinite(days)]
    return float(np.max(np.abs(np.diff(seen)), initial=0.0)) if seen.size else np.inf


def _civil(year: np.ndarray, month: np.ndarray, day: np.ndarray) -> np.ndarray:
    year = np.where(year < 100, year + 2000, year)
    good = np.isfinite(year) & (month >= 1) & (month <= 12) & (day >= 1) & (day <= 31) & (year >= 1970) & (year < 2200)
    y, m, d = (np.where(good, x, 1).astype(np.int64) for x in (np.where(good, year, 1970), month, day))
    start = ((y - 1970) * 12 + m - 1).astype("datetime64[M]")
    when = start.astype("datetime64[D]") + (d - 1)
    good &= when.astype("datetime64[M]") == start  # 31 April is no day
    return np.where(good, when.astype(np.int64).astype(float), np.nan)


_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def _without_names(text: Cells) -> Cells:
    """Dates with an English month in letters, such as 'Thu, 5 Mar 2026 10:00:00 UTC' or 'Mar 5, 2026 10:00', as 5.3.2026."""
    text = pc.utf8_lower(text)
    text = pc.replace_substring_regex(text, r"^(mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,? +|\s*(gmt|utc)$", "")
    for number, name in enumerate(_MONTHS, start=1):
        if pc.any(pc.match_substring(text, name)).as_py():
            text = pc.replace_substring_regex(text, rf"\b{name}[a-z]*\.?", f"#{number}")
    text = pc.replace_substring_regex(text, r"^#(\d+)[ ,-]+(\d{1,2})[ ,-]+(\d{2,4})", r"\2.\1.\3")
    text = pc.replace_substring_regex(text, r"^(\d{1,2})[ ,-]*#(\d+)[ ,-]+(\d{2,4})", r"\1.\2.\3")
    return pc.replace_substring_regex(text, r"^(\d{4})[ ,-]*#(\d+)[ ,-]+(\d{1,2})", r"\1-\2-\3")


def _dated(cells: Cells) -> np.ndarray:
    pieces, dotted = [], False
    for start in range(0, len(cells), CHUNK):  # by pieces: the parts of a date need many times its room
        text = pc.utf8_trim_whitespace(cells.slice(start, CHUNK))
        if pc.any(pc.match_substring_regex(text, "[A-Za-z]{3}")).as_py():
            text = _without_names(text)
        dotted = dotted or bool(pc.any(pc.match_substring_regex(text, r"^\d{1,2}\.\d{1,2}\.")).as_py())
        parts = pc.extract_regex(text, rf"^{_DATE}[T ,]+{_HMS}$")
        pieces.append(np.stack([*(_field(parts, name) for name in "abc"), _time_of_day(parts)]))
    a, b, c, of_day = np.concatenate(pieces, axis=1) if pieces else np.empty((4, 0))
    return days_from(a, b, c, dotted) * DAY_S + of_day


def _in_cells(cells: Cells) -> np.ndarray:
    parts = pc.extract_regex(pc.utf8_trim_whitespace(cells), _WITH_UNIT)
    said, factors = pc.struct_field(parts, "unit"), np.full(len(cells), np.nan)
    for unit in pc.unique(said).to_pylist():
        if unit:
            factors[pc.fill_null(pc.equal(said, unit), False).to_numpy(zero_copy_only=False)] = FACTORS[unit]
    found: np.ndarray = _field(parts, "value") * factors
    return found


def seconds(cells: Cells, unit: str, decimal: str) -> np.ndarray:
    """Seconds of a text column in a unit of time; not a number where a cell holds no time."""
    if unit == CLOCK:
        found = _by_pieces(_clock, cells)
        return found if np.isfinite(found).any() else _dated(cells)
    if unit == DATED:
        return _dated(cells)
    if unit == IN_CELL:
        return _by_pieces(_in_cells, cells)
    return numbers(cells, decimal) * FACTORS[unit]


def over_midnight(times: np.ndarray, unit: str) -> tuple[np.ndarray, int]:
    """A clock of the day that falls from its end to its beginning has passed midnight: a day is added, and counted."""
    seen = times[np.isfinite(times)]
    if unit not in (CLOCK, "s", "ms") or not len(seen) or seen.min() < 0 or seen.max() > DAY_S:
        return times, 0
    at = np.flatnonzero(np.isfinite(times))
    falls = np.flatnonzero((np.diff(seen) < -0.9 * DAY_S) & (seen[:-1] > 0.95 * DAY_S) & (seen[1:] < 0.05 * DAY_S))
    if not len(falls):
        return times, 0
    times = times.copy()
    for fall in falls:
        times[at[fall + 1] :] += DAY_S
    return times, len(falls)


def unit_of_clock(said: str, cells: list[str]) -> str:
    """What a column of times is written in: by its cells where they are no plain figures, else by what the header says."""
    filled = [c.strip() for c in cells if c.strip()][:60]
    if not filled:
        return said or "s"

    def has(pattern: str) -> bool:
        return sum(bool(v) for v in pc.match_substring_regex(pa.array(filled), pattern).to_pylist()) > len(filled) / 2

    if has(rf"^{_DATE}[T ,]+\d"):
        return DATED
    if has(r"^-?\d{1,4}:\d{1,2}"):
        return CLOCK
    if has(_WITH_UNIT):
        return IN_CELL
    if has(r"[A-Za-z]{3}.*\d:\d\d"):
        return DATED
    values = numbers(pa.array(filled), "," if any("," in c for c in filled) else ".")
    values = values[np.isfinite(values)]
    if not len(values):
        return said or "s"
    if values[0] > 1e14:
        return "µs"
    if values[0] > 1e11:
        return "ms"
    if said:
        return said
    steps = np.abs(np.diff(values))
    steps = steps[steps > 0]
    if 30_000 < values[0] < 80_000 and len(steps) and np.median(steps) < 0.001:
        return "day"  # the day number of a spreadsheet
    whole = all("." not in c and "," not in c for c in filled)
    return "ms" if whole and len(steps) and np.median(steps) >= 10 else "s"
