"""What a log can and cannot show, in words. Pure; figures are written by the functions that the caller hands in."""

from collections.abc import Callable

from measurements.logs.parsing.checks import logged_together
from measurements.logs.parsing.file import CLOCKS, Column, Log
from measurements.logs.parsing.names import CHANNELS, CLOCK, DATED, SPEED
from measurements.logs.pulls.pulls import (
    BOOST_SEEN_KPA,
    FULL_LOAD_PCT,
    FULL_PEDAL_PCT,
    GAP_SECONDS,
    LEAST_SECONDS,
    Search,
)

NO_LOAD = "No load, not a boost test"
NO_POWER = "No torque in Nm and no power was logged, so nothing is said about power."
AT_REST = ("air_pressure_kpa", "air_temperature_c")  # stand still in any short log


def _top(log: Log, quantity: str) -> float | None:
    _, values = log.series(quantity)
    return float(values.max()) if len(values) else None


def _boost_words(log: Log, show: Callable[[float, str], str]) -> str:
    boost = _top(log, "boost_kpa")
    if boost is None:
        return "boost was not logged"
    return f"boost never rose above {show(boost, 'boost_kpa')}"


def verdict_on_load(log: Log, search: Search, show: Callable[[float, str], str]) -> str:
    """The first sentence: how many pulls, or why there is none."""
    if search.pulls:
        many = len(search.pulls)
        text = f"{many} pull{'s' if many > 1 else ''} at full load found, told by {CHANNELS[search.judged_by].label.lower()}."
        boost = _top(log, "boost_kpa")
        if boost is not None and boost < BOOST_SEEN_KPA:
            text += f" But {_boost_words(log, show)}: nothing can be said of boost under load from it."
        return text
    if SPEED not in log.table:
        return (
            f"{NO_LOAD}: no engine speed was logged, so no pull can be found and nothing is said of boost over speed."
        )
    if not search.judged_by:
        why = "there is no pedal or load column" if "boost_kpa" not in log.table else _boost_words(log, show)
        return f"{NO_LOAD}: {why}, so no stretch of full load can be told from it."
    top = _top(log, search.judged_by)
    label = CHANNELS[search.judged_by].label.lower()
    least = FULL_PEDAL_PCT if search.judged_by == "pedal_pct" else FULL_LOAD_PCT
    if search.short_run_ups:
        many = search.short_run_ups
        return (
            f"{NO_LOAD}: {label} reached its top {many} time{'s' if many > 1 else ''}, but never for {LEAST_SECONDS:g} s. "
            f"That is a run-up without load; {_boost_words(log, show)}."
        )
    if search.judged_by == "boost_kpa":
        return f"{NO_LOAD}: {_boost_words(log, show)}, and never stayed near its top for {LEAST_SECONDS:g} s."
    if top is not None and top < least:
        return f"{NO_LOAD}: {label} never rose above {top:g} %, and {_boost_words(log, show)}."
    return (
        f"{NO_LOAD}: {label} was at its top only while the engine was not yet turning fast; {_boost_words(log, show)}."
    )


def _many(count: int, what: str) -> str:
    return f"{count:,} {what}{'' if count == 1 else 's'}"


def _when(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 120 else f"{seconds / 60:.1f} min"


def _about_column(column: Column, show: Callable[[float, str], str]) -> list[str]:
    channel, lines = CHANNELS[column.quantity], []
    if column.left_out:
        low, high = column.left_out_low or 0.0, column.left_out_high or 0.0
        what = f"{low:g} {channel.unit}" if low == high else f"{low:g} to {high:g} {channel.unit}"
        lines.append(f"{_many(column.left_out, 'value')} left out as not possible ({what}).")
    if column.sentinel is not None:
        lines.append(
            f"{_many(column.sentinel_count, 'cell')} of {column.sentinel:g} left out: loggers write it for 'no reading', and it stands far from all other values."
        )
    if column.unreadable:
        lines.append(
            f"{_many(column.unreadable, 'cell')} held no figure and {'was' if column.unreadable == 1 else 'were'} left out."
        )
    if column.spikes:
        at, value = max(column.spikes, key=lambda spike: abs(spike[1]))
        more = f" and {len(column.spikes) - 1} more" if len(column.spikes) > 1 else ""
        lines.append(
            f"a lonely sample of {show(value, column.quantity)} at {at:.2f} s{more}, kept as it is; do not take it for a real value."
        )
    if column.counter:
        lines.append(
            "it counts up by the same step and starts again at the top: a counter of the logger, no measurement. Match another column."
        )
    elif column.never_moves and column.lowest is not None and column.quantity not in AT_REST:
        lines.append(
            f"it stood at {show(column.lowest, column.quantity)} in all of its {column.value_count:,} values: at rest, stuck, or not connected."
        )
    for stuck in column.stuck[:2]:
        lines.append(
            f"it stood still at {show(stuck.value, column.quantity)} from {stuck.start_s:.1f} to {stuck.end_s:.1f} s ({stuck.count:,} values): perhaps stuck."
        )
    return [f"{channel.label}: {line}" for line in lines]


def _about_columns(log: Log, show: Callable[[float, str], str]) -> list[str]:
    return [line for column in log.columns for line in _about_column(column, show)]


def dropped(log: Log) -> list[tuple[int, str]]:
    """Rows that were left out: how many, and why. Counted over the whole text, where it holds several stretches."""
    rows = [
        (
            log.short_rows,
            "with another number of cells than the header"
            + (", the cut-off last one among them" if log.cut_off_end else ""),
        ),
        (log.timeless_rows, "without a time that can be read"),
        (log.blank_rows, "without a value in any matched column"),
        (log.end_rows, "of minima and maxima at the top, which are no readings"),
    ]
    return [(count, why) for count, why in rows if count]


def _about_clock(log: Log) -> list[str]:
    lines = []
    if log.stretches > 1:
        lines.append(
            f"The clock starts again {log.stretches - 1} time{'s' if log.stretches > 2 else ''}: this is recording {log.stretch} of {log.stretches}."
        )
    if log.clock_back:
        lines.append(
            f"The clock runs backwards {_many(log.clock_back, 'time')}: rows out of order, read in the order of their times."
        )
    if log.clock_repeats:
        lines.append(
            f"The same time stands in {_many(log.clock_repeats, 'row')} that follow another: the clock is too coarse for them, or rows came twice."
        )
    if log.began_at_s < 0 and log.clock_unit not in (CLOCK, DATED):
        lines.append(
            f"The clock began at {log.began_at_s:g} s, before a trigger; times here are counted from the first row."
        )
    if log.midnights:
        lines.append(f"The clock passed midnight {_many(log.midnights, 'time')}; a day was added from there on.")
    if log.clocks > 1:
        lines.append(f"{log.clocks} columns of time, one for each group of channels; nothing was drawn between them.")
    if log.pauses:
        at, long = log.pauses[0]
        lines.append(
            f"{_many(len(log.pauses), 'pause')} in the log, the longest of {_when(long)} from {at:.1f} s; nothing in it was made up."
        )
    return lines


def boost_over_speed_refusal(log: Log) -> str:
    """Why no curve of boost over engine speed may be drawn; empty when both were logged together, or one not at all."""
    (boost, _), (speed, _) = log.series("boost_kpa"), log.series(SPEED)
    if not len(boost) or not len(speed):
        return ""
    share = logged_together(boost, speed, GAP_SECONDS)
    if share == 0:
        return "Boost and engine speed were never logged together, so there is no boost over engine speed."
    if share < 0.9:
        return f"Only {100 * share:.0f} % of the boost was logged together with engine speed; boost over engine speed stands on that part alone."
    return ""


def refusals(log: Log, search: Search, show: Callable[[float, str], str]) -> list[str]:
    """Claims that this log cannot carry, each with its reason."""
    lines = [] if search.pulls else [verdict_on_load(log, search, show)]
    if "torque_nm" not in log.table and "power_kw" not in log.table:
        lines.append(NO_POWER)
    return lines + [line for line in [boost_over_speed_refusal(log)] if line]


def _about_rates(log: Log) -> list[str]:
    """A log of a bus holds one frame a row: blank cells are no fault, but a curve between two channels may be."""
    sparse = [c for c in log.columns if c.quantity not in CLOCKS and c.value_count < 0.7 * log.row_count]
    if not sparse:
        return []
    least, most = min(sparse, key=lambda c: c.value_count), max(sparse, key=lambda c: c.value_count)
    return [
        f"The channels were logged at different rates: from {least.value_count} values ({CHANNELS[least.quantity].label.lower()}) to "
        f"{most.value_count} ({CHANNELS[most.quantity].label.lower()}) in {log.row_count} rows; nothing between them was made up."
    ]


def findings(log: Log, search: Search, show: Callable[[float, str], str]) -> list[str]:
    lines = [
        verdict_on_load(log, search, show),
        *(line for line in refusals(log, search, show) if not line.startswith(NO_LOAD)),
    ]
    if search.pulls and search.short_run_ups:
        lines.append(
            f"{search.short_run_ups} shorter run-up{'s' if search.short_run_ups > 1 else ''} under {LEAST_SECONDS:g} s left aside."
        )
    if log.boost_from:
        lines.append(log.boost_from)
    lines += [f"{_many(count, 'row')} {why} left out." for count, why in dropped(log)]
    if log.padded_rows:
        lines.append(
            f"{_many(log.padded_rows, 'row')} shorter than the header: what is missing at the end was taken as empty."
        )
    return lines + _about_clock(log) + _about_rates(log) + _about_columns(log, show)
