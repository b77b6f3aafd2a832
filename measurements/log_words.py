"""What a log can and cannot show, in words. Pure; figures are written by the functions that the caller hands in."""

from collections.abc import Callable

from .log_file import Log
from .log_names import CHANNELS, TIME
from .pulls import BOOST_SEEN_KPA, FULL_LOAD_PCT, FULL_PEDAL_PCT, LEAST_SECONDS, Search

NO_LOAD = "No load, not a boost test"


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
    return f"{NO_LOAD}: {label} was at its top only while the engine was not yet turning fast; {_boost_words(log, show)}."


def _about_columns(log: Log, show: Callable[[float, str], str]) -> list[str]:
    lines = []
    for column in log.columns:
        label, unit = CHANNELS[column.quantity].label, CHANNELS[column.quantity].unit
        if column.left_out:
            low, high = column.left_out_low or 0.0, column.left_out_high or 0.0
            what = f"{low:g} {unit}" if low == high else f"{low:g} to {high:g} {unit}"
            lines.append(f"{label}: {column.left_out} value{'s' if column.left_out > 1 else ''} left out as not possible ({what}).")
        if column.unreadable:
            lines.append(f"{label}: {column.unreadable} cell{'s' if column.unreadable > 1 else ''} held no figure and were left out.")
        if column.spikes:
            at, value = max(column.spikes, key=lambda spike: abs(spike[1]))
            more = f" and {len(column.spikes) - 1} more" if len(column.spikes) > 1 else ""
            lines.append(f"{label}: a lonely sample of {show(value, column.quantity)} at {at:.2f} s{more}, kept as it is; do not take it for a real value.")
    return lines


def _about_rates(log: Log) -> list[str]:
    """A log of a bus holds one frame a row: blank cells are no fault, but a curve between two channels may be."""
    sparse = [c for c in log.columns if c.quantity != TIME and c.value_count < 0.7 * log.row_count]
    if not sparse:
        return []
    least, most = min(sparse, key=lambda c: c.value_count), max(sparse, key=lambda c: c.value_count)
    return [
        f"The channels were logged at different rates: from {least.value_count} values ({CHANNELS[least.quantity].label.lower()}) to "
        f"{most.value_count} ({CHANNELS[most.quantity].label.lower()}) in {log.row_count} rows; nothing between them was made up."
    ]


def findings(log: Log, search: Search, show: Callable[[float, str], str]) -> list[str]:
    lines = [verdict_on_load(log, search, show)]
    if "torque_nm" not in log.table and "power_kw" not in log.table:
        lines.append("No torque in Nm and no power was logged, so nothing is said about power.")
    if search.pulls and search.short_run_ups:
        lines.append(f"{search.short_run_ups} shorter run-up{'s' if search.short_run_ups > 1 else ''} under {LEAST_SECONDS:g} s left aside.")
    if log.boost_from:
        lines.append(log.boost_from)
    if log.short_rows:
        lines.append(f"{log.short_rows} row{'s' if log.short_rows > 1 else ''} with another number of cells than the header left out.")
    if log.clock_back:
        lines.append(f"The clock runs backwards {log.clock_back} time{'s' if log.clock_back > 1 else ''}: several recordings in one file, or rows out of order.")
    if log.clock_repeats:
        lines.append(f"The same time stands in {log.clock_repeats} row{'s' if log.clock_repeats > 1 else ''} that follow another.")
    return lines + _about_rates(log) + _about_columns(log, show)
