"""What the history of a job says, by code: the part that this floor writes."""

from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext_lazy

from measurements.bench.curves.models import PowerCurve
from measurements.guided.sheets import STATES, YES_NO
from measurements.readings.models import Point
from sizing.said import add_sentences, add_ways
from sizing.units.figures import figure
from sizing.units.quantities import QUANTITIES
from sizing.ways import add_words, small_label

add_words(phase=Point.PHASES, curve_kind=PowerCurve.KINDS, sheet_choice=[*STATES, *YES_NO])
add_ways(
    reading=lambda of, value: f"{small_label(QUANTITIES[of].label)} {figure(value, of)}",
    point=lambda speed_rpm, load_pct: str(
        _("%(speed).0f rpm, %(load).0f %% load") % {"speed": speed_rpm, "load": load_pct}
    ),
)

add_sentences(
    {
        "where.before_the_fit": _("before the fit"),
        "where.proving_run": _("proving run %(run)s"),
        "where.after_hand_over": _("after hand-over"),
        "reading.read": _("read, %(where)s, at %(point)s: %(readings)s"),
        "reading.sent": _("sent by %(box)s, %(where)s, at %(point)s: %(readings)s"),
        "reading.taken_back": _("taken back at %(point)s: %(readings)s"),
        "reading.corrected": _("corrected at %(point)s: %(quantity)s %(before)s to %(after)s: %(reason)s"),
        "verdict.none": _("no verdict"),
        "sheet.found": _("%(sheet)s: %(item)s, %(what)s"),
        "sheet.taken_back": _("taken back"),
        "proving.started": _("proving run %(run)s started, against the plan '%(plan)s'"),
        "proving.oil_unreadable": _(
            "proving run %(run)s: oil temperature cannot be read; warmed up by coolant, load and time"
        ),
        "proving.cool_down": _("proving run %(run)s: %(seconds).0f s at idle before switching off"),
        "proving.decided": _("proving run %(run)s, %(verdict)s: %(decision)s. %(reason)s"),
        "curve.stored": _(
            "power curve, %(phase)s, %(kind)s: %(torque)s at %(torque_at_rpm).0f rpm, "
            "%(power)s at %(power_at_rpm).0f rpm"
        ),
        "curve.stored_with": _(
            "power curve, %(phase)s, %(kind)s: %(torque)s at %(torque_at_rpm).0f rpm, "
            "%(power)s at %(power_at_rpm).0f rpm, read with %(instrument)s"
        ),
        "smoke.begun": _("smoke test begun, %(phase)s: oil %(oil)s, limit '%(limit)s'"),
        "smoke.begun_without_limit": _("smoke test begun, %(phase)s: oil %(oil)s, no limit chosen"),
        "smoke.corrected": _("smoke test, snap %(snap)s corrected: %(before)s to %(after)g %(unit)s: %(reason)s"),
        "smoke.no_figure": _("no figure"),
        "smoke.ended": _("smoke test, %(phase)s: %(verdict)s. %(what)s"),
        "log.received": _("log received: %(log)s, %(bytes)s bytes"),
        "log.received_with_recordings": _("log received: %(log)s, %(bytes)s bytes, %(recordings)s recordings"),
        "log.received_unreadable": _("log received that cannot be read: %(log)s. %(why)s"),
        "log.read": _("log read: %(log)s. %(finding)s"),
        "log.taken_back": _("log taken back: %(log)s"),
        "log.read_with": _("log %(log)s: read %(columns)s"),
        "log.column_with": _("%(column)s with %(instrument)s"),
        "log.no_instrument": _("an instrument nobody named"),
    }
)

# What the snaps of a smoke test come to.
add_sentences(
    {
        "smoke.more_snaps": ngettext_lazy(
            "%(count)s more measured snap before anything is said.",
            "%(count)s more measured snaps before anything is said.",
            "count",
        ),
        "smoke.apart": _("The last three lie %(spread).2f %(unit)s apart, allowed is %(allowed)g"),
        "smoke.apart_and_falling": _(
            "The last three lie %(spread).2f %(unit)s apart, allowed is %(allowed)g, "
            "but they fall from one to the next: the exhaust is still clearing"
        ),
        "smoke.against": _("mean of the last three %(mean).2f %(unit)s ± %(uncertainty).2f, limit %(limit)g %(unit)s"),
        "smoke.unsteady_so_far": _("%(apart)s. Make another snap; the last three count."),
        "smoke.no_mean": _("%(apart)s. After %(snaps)d snaps there is no mean to trust."),
        "smoke.no_limit": _("No limit was chosen, so there is a mean and no verdict."),
        "smoke.above_so_far": _(
            "Above the limit so far (%(against)s). Make another snap, up to %(most)d; the last three count."
        ),
        "smoke.no_verdict": _(
            "%(apart)s. After %(snaps)d snaps there is no verdict: warm engine and meter, look at both, begin again."
        ),
        "smoke.met": _("Limit met: %(against)s."),
        "smoke.met_in_doubt": _("Limit met: %(against)s; the meter's error reaches across the limit."),
        "smoke.not_met": _("Limit not met: %(against)s."),
        "smoke.not_met_in_doubt": _("Limit not met: %(against)s; the meter's error reaches across the limit."),
    }
)
