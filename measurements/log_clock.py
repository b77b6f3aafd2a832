"""Clocks of every kind as seconds: figures, times of the day, dates in several orders, a unit in each cell. Pure."""

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from .log_names import CLOCK, DATED, IN_CELL

FACTORS = {"s": 1.0, "ms": 1e-3, "µs": 1e-6, "us": 1e-6, "ns": 1e-9, "sec": 1.0, "min": 60.0, "h": 3600.0, "day": 86400.0}
DAY_S = 86400.0
_HMS = r"(?P<h>\d{1,4}):(?P<m>\d{1,2})(?::(?P<s>\d{1,2}(?:[.,:]\d+)?))?\s?(?P<half>[AaPp])?\.?[Mm]?\.?\s?(?P<zone>Z|[+-]\d{2}:?\d{2})?"
_MS = r"^(?P<sign>-)?(?P<m>\d{1,4}):(?P<s>\d{1,2}(?:[.,]\d+)?)$"
_DATE = r"(?P<a>\d{1,4})[-./](?P<b>\d{1,2})[-./](?P<c>\d{1,4})"
_WITH_UNIT = r"^(?P<value>-?\d+(?:[.,]\d+)?)\s?(?P<unit>sec|ms|us|µs|s|min|h)$"

Cells = pa.Array


def numbers(cells: Cells, decimal: str) -> np.ndarray:
    """Cells as floats; what is no plain figure is not a number. Both 1.234,5 and 1,234.5 are understood where unmistakable."""
    text = pc.replace_substring(pc.utf8_trim_whitespace(cells), "−", "-")
    text = pc.replace_substring_regex(text, r"^(-?\d{1,3})[.](\d{3}),(\d+)$", r"\1\2,\3") if decimal == "," else pc.replace_substring_regex(text, r"^(-?\d{1,3}),(\d{3})[.](\d+)$", r"\1\2.\3")
    if decimal == ",":
        text = pc.replace_substring(text, ",", ".")
    text = pc.replace_substring_regex(text, r"\s?%$", "")
    good = pc.match_substring_regex(text, r"^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$")
    text = pc.if_else(good, pc.replace_substring_regex(text, r"^\+", ""), pa.scalar(None, pa.string()))
    return pc.cast(text, pa.float64()).to_numpy(zero_copy_only=False)


def _field(parts, name: str) -> np.ndarray:
    text = pc.struct_field(parts, name)
    text = pc.if_else(pc.equal(text, ""), pa.scalar(None, pa.string()), text)
    text = pc.replace_substring_regex(text, "[,:]", ".")
    return pc.cast(text, pa.float64()).to_numpy(zero_copy_only=False)


def _time_of_day(parts) -> np.ndarray:
    hours, minutes, seconds = _field(parts, "h"), _field(parts, "m"), _field(parts, "s")
    seconds = np.nan_to_num(seconds)
    half = pc.utf8_lower(pc.struct_field(parts, "half")).to_pandas().to_numpy(dtype=object)
    has_half = np.array([x in ("a", "p") for x in half]) if len(half) and any(x in ("a", "p") for x in half[:50]) else np.zeros(len(half), bool)
    if has_half.any():
        late = np.array([x == "p" for x in half])
        hours = np.where(has_half, np.mod(hours, 12) + 12 * late, hours)
    total = hours * 3600 + minutes * 60 + seconds
    zone = pc.struct_field(parts, "zone").to_pandas()
    if zone.nunique() > 1:  # the clock changed its zone within the log
        offset = zone.str.extract(r"([+-])(\d{2}):?(\d{2})")
        total = total - np.nan_to_num(((offset[1].astype(float) * 60 + offset[2].astype(float)) * 60 * offset[0].map({"+": 1, "-": -1})).to_numpy(dtype=float))
    return np.where((minutes < 60) & (seconds < 61), total, np.nan)


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
    calm = lambda d: (np.nanmax(np.abs(np.diff(d[np.isfinite(d)])), initial=0.0) if np.isfinite(d).any() else np.inf)  # noqa: E731
    return day_first if calm(day_first) <= calm(month_first) else month_first


def _civil(year: np.ndarray, month: np.ndarray, day: np.ndarray) -> np.ndarray:
    year = np.where(year < 100, year + 2000, year)
    good = np.isfinite(year) & (month >= 1) & (month <= 12) & (day >= 1) & (day <= 31) & (year >= 1970) & (year < 2200)
    y, m, d = (np.where(good, x, 1).astype(np.int64) for x in (np.where(good, year, 1970), month, day))
    start = ((y - 1970) * 12 + m - 1).astype("datetime64[M]")
    when = start.astype("datetime64[D]") + (d - 1)
    good &= when.astype("datetime64[M]") == start  # 31 April is no day
    return np.where(good, when.astype(np.int64).astype(float), np.nan)


def _dated(cells: Cells) -> np.ndarray:
    text = pc.utf8_trim_whitespace(cells)
    parts = pc.extract_regex(text, rf"^{_DATE}[T ,]+{_HMS}$")
    if parts.null_count > 0.5 * max(1, len(cells) - text.null_count) + text.null_count:
        moments = pd.to_datetime(text.to_pandas().str.slice(0, 40), errors="coerce", utc=True, format="mixed")
        return (moments - pd.Timestamp(0, tz="UTC")).dt.total_seconds().to_numpy(dtype=float)
    a, b, c = (_field(parts, name) for name in "abc")
    dotted = pc.any(pc.match_substring_regex(text, r"^\d{1,2}\.\d{1,2}\.")).as_py()
    return days_from(a, b, c, bool(dotted)) * DAY_S + _time_of_day(parts)


def _in_cells(cells: Cells) -> np.ndarray:
    parts = pc.extract_regex(pc.utf8_trim_whitespace(cells), _WITH_UNIT)
    units = pc.struct_field(parts, "unit").to_pandas().map(FACTORS).to_numpy(dtype=float)
    return _field(parts, "value") * units


def seconds(cells: Cells, unit: str, decimal: str) -> np.ndarray:
    """Seconds of a text column in a unit of time; not a number where a cell holds no time."""
    if unit == CLOCK:
        found = _clock(cells)
        return found if np.isfinite(found).any() else _dated(cells)
    if unit == DATED:
        return _dated(cells)
    if unit == IN_CELL:
        return _in_cells(cells)
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
    has = lambda pattern: sum(bool(v) for v in pc.match_substring_regex(pa.array(filled), pattern).to_pylist()) > len(filled) / 2  # noqa: E731
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
