"""What a log can and cannot show, as codes with their values. Pure."""

from measurements.logs.parsing.checks import logged_together
from measurements.logs.parsing.file import CLOCKS, Log, ReadColumn
from measurements.logs.parsing.long import left_out
from measurements.logs.parsing.names import CLOCK, DATED, SPEED, channel_figure, channel_name
from measurements.logs.pulls.pulls import (
    BOOST_SEEN_KPA,
    FULL_LOAD_PCT,
    FULL_PEDAL_PCT,
    GAP_SECONDS,
    LEAST_SECONDS,
    Search,
)
from sizing.said import Said

NO_POWER = Said("log.no_power")
AT_REST = ("air_pressure_kpa", "air_temperature_c")  # stand still in any short log


def _top(log: Log, quantity: str) -> float | None:
    _, values = log.series(quantity)
    return float(values.max()) if len(values) else None


def _boost(log: Log) -> Said:
    boost = _top(log, "boost_kpa")
    if boost is None:
        return Said("log.boost_not_logged")
    return Said("log.boost_never_above", {"boost": channel_figure("boost_kpa", boost)})


def _why_no_load(log: Log, search: Search) -> Said:
    if SPEED not in log.table:
        return Said("log.no_speed")
    if not search.judged_by:
        why = Said("log.no_pedal_or_load") if "boost_kpa" not in log.table else _boost(log)
        return Said("log.not_told_from_it", {"why": why})
    top = _top(log, search.judged_by)
    values = {"channel": channel_name(search.judged_by, small=True), "boost": _boost(log)}
    least = FULL_PEDAL_PCT if search.judged_by == "pedal_pct" else FULL_LOAD_PCT
    if search.short_run_ups:
        return Said("log.run_ups", {**values, "count": search.short_run_ups, "seconds": LEAST_SECONDS})
    if search.judged_by == "boost_kpa":
        return Said("log.boost_not_held", {"boost": values["boost"], "seconds": LEAST_SECONDS})
    if top is not None and top < least:
        return Said("log.never_full", {**values, "top_pct": top})
    return Said("log.full_only_slow", values)


def verdict_on_load(log: Log, search: Search) -> Said:
    """What is said first: how many pulls, or why there is none."""
    if not search.pulls:
        return Said("log.no_load", {"why": _why_no_load(log, search)})
    pulls = Said("log.pulls", {"count": len(search.pulls), "channel": channel_name(search.judged_by, small=True)})
    boost = _top(log, "boost_kpa")
    if boost is not None and boost < BOOST_SEEN_KPA:
        return Said("log.pulls_without_boost", {"pulls": pulls, "boost": _boost(log)})
    return pulls


def plot_title(first: Said) -> Said:
    """What the plot of a log shows, from what is said of it first."""
    if first.code == "log.no_load":
        return Said("log.no_load_title")
    pulls = first.values["pulls"] if first.code == "log.pulls_without_boost" else first.kept()
    return Said("log.pulls_title", pulls["values"]) if pulls["code"] == "log.pulls" else first


def _about_column(column: ReadColumn) -> list[Said]:
    slug, lines = column.quantity, []
    about = {"channel": channel_name(slug)}

    def add(code: str, **values: object) -> None:
        lines.append(Said(f"column.{code}", {**about, **values}))

    if column.left_out:
        low, high = column.left_out_low or 0.0, column.left_out_high or 0.0
        ends = {"low": low, "high": high, "unit": {"way": "channel_unit", "of": slug}}
        add("not_possible" if low == high else "not_possible_range", count=column.left_out, **ends)
    if column.sentinel is not None:
        add("sentinel", count=column.sentinel_count, sentinel=column.sentinel)
    if column.unreadable:
        add("no_figure", count=column.unreadable)
    if column.spikes:
        at, value = max(column.spikes, key=lambda spike: abs(spike[1]))
        found = {"value": channel_figure(slug, value), "at_s": at}
        if len(column.spikes) > 1:
            add("spikes", **found, more=len(column.spikes) - 1)
        else:
            add("spike", **found)
    if column.counter:
        add("counter")
    elif column.never_moves and column.lowest is not None and slug not in AT_REST:
        add("never_moves", value=channel_figure(slug, column.lowest), values=column.value_count)
    for stuck in column.stuck[:2]:
        stretch = {"from_s": stuck.start_s, "to_s": stuck.end_s, "values": stuck.count}
        add("stuck", value=channel_figure(slug, stuck.value), **stretch)
    return lines


def dropped(log: Log) -> list[tuple[int, str]]:
    """Rows that were left out: how many, and the code of why. Counted over the whole text, where it holds several stretches."""
    rows = [
        (log.short_rows, "another_width_last_cut_off" if log.cut_off_end else "another_width"),
        (log.timeless_rows, "no_time"),
        (log.blank_rows, "no_value"),
        (log.end_rows, "ends"),
    ]
    return [(count, why) for count, why in rows if count]


def _about_clock(log: Log) -> list[Said]:
    lines = []
    if log.stretches > 1:
        stretch = {"count": log.stretches - 1, "stretch": log.stretch, "stretches": log.stretches}
        lines.append(Said("clock.starts_again", stretch))
    if log.clock_back:
        lines.append(Said("clock.backwards", {"count": log.clock_back}))
    if log.clock_repeats:
        lines.append(Said("clock.repeats", {"count": log.clock_repeats}))
    if log.began_at_s < 0 and log.clock_unit not in (CLOCK, DATED):
        lines.append(Said("clock.before_trigger", {"began_at_s": log.began_at_s}))
    if log.midnights:
        lines.append(Said("clock.midnights", {"count": log.midnights}))
    if log.clocks > 1:
        lines.append(Said("clock.several", {"clocks": log.clocks}))
    if log.pauses:
        at, long = log.pauses[0]
        length = {"way": "duration", "seconds": long}
        lines.append(Said("clock.pauses", {"count": len(log.pauses), "longest": length, "at_s": at}))
    return lines


def boost_over_speed_refusal(log: Log) -> Said | None:
    """Why no curve of boost over engine speed may be drawn; None when both were logged together, or one not at all."""
    (boost, _), (speed, _) = log.series("boost_kpa"), log.series(SPEED)
    if not len(boost) or not len(speed):
        return None
    share = logged_together(boost, speed, GAP_SECONDS)
    if share == 0:
        return Said("log.boost_never_with_speed")
    return Said("log.boost_partly_with_speed", {"share_pct": 100 * share}) if share < 0.9 else None


def _cannot_carry(log: Log) -> list[Said]:
    power = [] if "torque_nm" in log.table or "power_kw" in log.table else [NO_POWER]
    return power + [said for said in [boost_over_speed_refusal(log)] if said]


def refusals(log: Log, search: Search) -> list[Said]:
    """Claims that this log cannot carry, each with its reason."""
    return [*([] if search.pulls else [verdict_on_load(log, search)]), *_cannot_carry(log)]


def _about_rates(log: Log) -> list[Said]:
    """A log of a bus holds one frame a row: blank cells are no fault, but a curve between two channels may be."""
    sparse = [c for c in log.columns if c.quantity not in CLOCKS and c.value_count < 0.7 * log.row_count]
    if not sparse:
        return []
    least, most = min(sparse, key=lambda c: c.value_count), max(sparse, key=lambda c: c.value_count)
    values = {
        "least": least.value_count, "least_channel": channel_name(least.quantity, small=True),
        "most": most.value_count, "most_channel": channel_name(most.quantity, small=True), "rows": log.row_count,
    }  # fmt: skip
    return [Said("log.different_rates", values)]


def findings(log: Log, search: Search) -> list[Said]:
    lines = [verdict_on_load(log, search), *_cannot_carry(log)]
    if search.pulls and search.short_run_ups:
        lines.append(Said("log.short_run_ups", {"count": search.short_run_ups, "seconds": LEAST_SECONDS}))
    if log.boost_from:
        lines.append(log.boost_from)
    lines += [left_out(count, why) for count, why in dropped(log)]
    if log.padded_rows:
        lines.append(Said("log.padded_rows", {"count": log.padded_rows}))
    about_columns = [said for column in log.columns for said in _about_column(column)]
    return lines + _about_clock(log) + _about_rates(log) + about_columns
