"""What a log can and cannot show, by code, and what became of it."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from django.utils.translation import gettext, ngettext_lazy
from django.utils.translation import gettext_lazy as _

from measurements.logs.parsing.names import CHANNELS
from sizing.said import add_sentences, add_ways
from sizing.units.figures import figure
from sizing.units.quantities import QUANTITIES
from sizing.ways import small_label

_exactly: ContextVar[bool] = ContextVar("figures_of_logs_exactly", default=False)


@contextmanager
def exactly() -> Iterator[None]:
    """Figures of logs in stored units with all their digits, for the shell."""
    token = _exactly.set(True)
    try:
        yield
    finally:
        _exactly.reset(token)


def show_channel(value: float, slug: str) -> str:
    """A value of a log in words: in the shop's unit when the shop has one for it."""
    return figure(value, slug) if slug in QUANTITIES and not _exactly.get() else f"{value:g} {CHANNELS[slug].unit}"


def _duration(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 120 else f"{seconds / 60:.1f} min"


add_ways(
    channel=lambda of, small=False: small_label(CHANNELS[of].label) if small else gettext(CHANNELS[of].label),
    channel_figure=lambda of, value: show_channel(value, of),
    channel_unit=lambda of: CHANNELS[of].unit,
    duration=_duration,
)

add_sentences(
    {
        "log.pulls": ngettext_lazy(
            "%(count)s pull at full load found, told by %(channel)s.",
            "%(count)s pulls at full load found, told by %(channel)s.",
            "count",
        ),
        "log.pulls_title": ngettext_lazy(
            "%(count)s pull at full load found, told by %(channel)s",
            "%(count)s pulls at full load found, told by %(channel)s",
            "count",
        ),
        "log.pulls_without_boost": _("%(pulls)s But %(boost)s: nothing can be said of boost under load from it."),
        "log.boost_not_logged": _("boost was not logged"),
        "log.boost_never_above": _("boost never rose above %(boost)s"),
        "log.no_load": _("No load, not a boost test: %(why)s"),
        "log.no_load_title": _("No load, not a boost test"),
        "log.no_speed": _(
            "no engine speed was logged, so no pull can be found and nothing is said of boost over speed."
        ),
        "log.no_pedal_or_load": _("there is no pedal or load column"),
        "log.not_told_from_it": _("%(why)s, so no stretch of full load can be told from it."),
        "log.run_ups": ngettext_lazy(
            "%(channel)s reached its top %(count)s time, but never for %(seconds)g s. "
            "That is a run-up without load; %(boost)s.",
            "%(channel)s reached its top %(count)s times, but never for %(seconds)g s. "
            "That is a run-up without load; %(boost)s.",
            "count",
        ),
        "log.boost_not_held": _("%(boost)s, and never stayed near its top for %(seconds)g s."),
        "log.never_full": _("%(channel)s never rose above %(top_pct)g %%, and %(boost)s."),
        "log.full_only_slow": _(
            "%(channel)s was at its top only while the engine was not yet turning fast; %(boost)s."
        ),
        "log.no_power": _("No torque in Nm and no power was logged, so nothing is said about power."),
        "log.boost_never_with_speed": _(
            "Boost and engine speed were never logged together, so there is no boost over engine speed."
        ),
        "log.boost_partly_with_speed": _(
            "Only %(share_pct).0f %% of the boost was logged together with engine speed; "
            "boost over engine speed stands on that part alone."
        ),
        "log.short_run_ups": ngettext_lazy(
            "%(count)s shorter run-up under %(seconds)g s left aside.",
            "%(count)s shorter run-ups under %(seconds)g s left aside.",
            "count",
        ),
        "log.boost_from_manifold": _(
            "Boost is the absolute manifold pressure less %(air_kpa).1f kPa of air (%(where)s)."
        ),
        "air.as_logged": _("as logged"),
        "air.standard": _("standard air at the altitude of the workshop"),
        "log.rows_left_out": ngettext_lazy(
            "%(count)s row %(why)s left out.", "%(count)s rows %(why)s left out.", "count"
        ),
        "row.another_width": _("with another number of cells than the header"),
        "row.another_width_last_cut_off": _(
            "with another number of cells than the header, the cut-off last one among them"
        ),
        "row.no_time": _("without a time that can be read"),
        "row.no_value": _("without a value in any matched column"),
        "row.no_time_or_channel": _("without a time or a channel"),
        "row.ends": _("of minima and maxima at the top, which are no readings"),
        "log.padded_rows": ngettext_lazy(
            "%(count)s row shorter than the header: what is missing at the end was taken as empty.",
            "%(count)s rows shorter than the header: what is missing at the end was taken as empty.",
            "count",
        ),
        "log.readings_without_figure": ngettext_lazy(
            "%(count)s reading held no figure and was left out.",
            "%(count)s readings held no figure and were left out.",
            "count",
        ),
        "log.long_form": _("Long form: %(readings)s readings of %(channels)s channels brought into %(rows)s rows."),
        "log.different_rates": _(
            "The channels were logged at different rates: from %(least)d values (%(least_channel)s) to "
            "%(most)d (%(most_channel)s) in %(rows)d rows; nothing between them was made up."
        ),
        "clock.starts_again": ngettext_lazy(
            "The clock starts again %(count)s time: this is recording %(stretch)s of %(stretches)s.",
            "The clock starts again %(count)s times: this is recording %(stretch)s of %(stretches)s.",
            "count",
        ),
        "clock.backwards": ngettext_lazy(
            "The clock runs backwards %(count)s time: rows out of order, read in the order of their times.",
            "The clock runs backwards %(count)s times: rows out of order, read in the order of their times.",
            "count",
        ),
        "clock.repeats": ngettext_lazy(
            "The same time stands in %(count)s row that follow another: "
            "the clock is too coarse for them, or rows came twice.",
            "The same time stands in %(count)s rows that follow another: "
            "the clock is too coarse for them, or rows came twice.",
            "count",
        ),
        "clock.before_trigger": _(
            "The clock began at %(began_at_s)g s, before a trigger; times here are counted from the first row."
        ),
        "clock.midnights": ngettext_lazy(
            "The clock passed midnight %(count)s time; a day was added from there on.",
            "The clock passed midnight %(count)s times; a day was added from there on.",
            "count",
        ),
        "clock.several": _(
            "%(clocks)s columns of time, one for each group of channels; nothing was drawn between them."
        ),
        "clock.pauses": ngettext_lazy(
            "%(count)s pause in the log, the longest of %(longest)s from %(at_s).1f s; nothing in it was made up.",
            "%(count)s pauses in the log, the longest of %(longest)s from %(at_s).1f s; nothing in it was made up.",
            "count",
        ),
        "column.not_possible": ngettext_lazy(
            "%(channel)s: %(count)s value left out as not possible (%(low)g %(unit)s).",
            "%(channel)s: %(count)s values left out as not possible (%(low)g %(unit)s).",
            "count",
        ),
        "column.not_possible_range": ngettext_lazy(
            "%(channel)s: %(count)s value left out as not possible (%(low)g to %(high)g %(unit)s).",
            "%(channel)s: %(count)s values left out as not possible (%(low)g to %(high)g %(unit)s).",
            "count",
        ),
        "column.sentinel": ngettext_lazy(
            "%(channel)s: %(count)s cell of %(sentinel)g left out: loggers write it for 'no reading', "
            "and it stands far from all other values.",
            "%(channel)s: %(count)s cells of %(sentinel)g left out: loggers write it for 'no reading', "
            "and it stands far from all other values.",
            "count",
        ),
        "column.no_figure": ngettext_lazy(
            "%(channel)s: %(count)s cell held no figure and was left out.",
            "%(channel)s: %(count)s cells held no figure and were left out.",
            "count",
        ),
        "column.spike": _(
            "%(channel)s: a lonely sample of %(value)s at %(at_s).2f s, kept as it is; do not take it for a real value."
        ),
        "column.spikes": _(
            "%(channel)s: a lonely sample of %(value)s at %(at_s).2f s and %(more)s more, kept as it is; "
            "do not take it for a real value."
        ),
        "column.counter": _(
            "%(channel)s: it counts up by the same step and starts again at the top: "
            "a counter of the logger, no measurement. Match another column."
        ),
        "column.never_moves": _(
            "%(channel)s: it stood at %(value)s in all of its %(values)s values: at rest, stuck, or not connected."
        ),
        "column.stuck": _(
            "%(channel)s: it stood still at %(value)s from %(from_s).1f to %(to_s).1f s (%(values)s values): "
            "perhaps stuck."
        ),
        "place.file": "%(name)s",
        "place.sheet": _("sheet %(name)s"),
        "place.recording": _("recording %(recording)s from line %(line)d"),
        "place.stretch": _("clock start %(stretch)s of %(stretches)s"),
        "log.read_again": _("%(log)s: read again."),
        "log.clock_goes_on": _("%(log)s: taken back, since the clock does not start again there when matched so."),
    }
)
