"""What a phone says by itself, by code: it is sent these words with its pages, and fills in the values."""

from django.utils.translation import gettext_lazy as _

from sizing.said import add_sentences

add_sentences(
    {
        "phone.point": _("%(speed)s, %(load)s %% load"),
        "phone.pick_step": _("Pick a step, or type the speed at which the engine was held."),
        "phone.say_load": _("Say the load at that speed: 0 %% is no load, 100 %% is full load."),
        "phone.no_reading_typed": _("Nothing was typed yet: fill in at least one reading."),
        "phone.full_load_waits": _(
            "Full load waits for warm oil, %(warm)s or more (common practice): type it too, or write down that it cannot be read."
        ),
        "phone.kept_to_compare": _("Kept to compare with."),
        "phone.nothing_to_compare": _("Nothing in the plan to compare this with."),
        "phone.look_first": _("Look at first"),
        "phone.undo": _("Undo"),
        "phone.taken_back_of": _("Taken back: %(what)s"),
        "phone.not_taken_back": _("It was not taken back and counts."),
        "phone.taken_back": _("Taken back. It does not count; the history keeps it."),
        "phone.struck": _("taken back"),
        "phone.last": _("Last: %(value)s at %(point)s"),
        "phone.saved": _("Saved on this phone."),
        "phone.stored_at_once": _("Sent and stored. This phone keeps nothing by itself."),
        "phone.expect": _("%(quantity)s: expect %(low)s to %(high)s"),
        "phone.at_least": _("%(quantity)s: at least %(limit)s (%(source)s)"),
        "phone.at_most": _("%(quantity)s: at most %(limit)s (%(source)s)"),
        "phone.hold_then_read": _("Hold, then read: %(seconds)s s"),
        "phone.settled": _("Settled: read now"),
        "phone.hold": _("Hold: %(seconds)s s"),
        "phone.sent": _("Sent and stored."),
        "phone.refused_stays": _("Refused: it stays on this phone."),
        "phone.not_saved": _("Not saved."),
        "phone.still_here": _("What you typed is still here."),
        "phone.signed": _("signed, %(check)s"),
        "phone.run_started": _("proving run started"),
        "phone.run": _("Proving run %(run)s, against the plan “%(plan)s”"),
        "phone.run_not_sent": _(
            "Proving run started on this phone at %(clock)s, not sent yet, against the plan “%(plan)s”"
        ),
        "phone.signed_by_you": _("Signed by you at %(clock)s."),
        "phone.signed_not_sent": _("Signed by you at %(clock)s, kept on this phone, not sent yet."),
        "phone.refused": _("Refused: %(why)s"),
        "phone.not_signed": _("Not signed yet: %(checks)s."),
        "phone.who_starts": _("A technician or the owner starts the proving run."),
        "phone.start_refused": _("%(why)s When that is done, send the start and its readings again from the outbox."),
        "phone.has_idled": _("Written down: it idled before it was switched off."),
        "phone.idled_enough": _("Idled long enough: switch off now."),
        "phone.leave_idling": _("Leave it idling, no load."),
        "phone.idled": _("idled %(seconds)s s before switching off"),
        "phone.idled_short": _(
            "Written down: %(seconds)s s. Oil that stands still in a hot turbo burns to coke (common practice: two to five minutes of idling)."
        ),
        "phone.oil_unreadable": _("oil temperature cannot be read"),
        "phone.nothing_typed": _("Nothing was typed yet."),
        "phone.below_usual": _("below the usual %(low)s to %(high)s"),
        "phone.above_usual": _("above the usual %(low)s to %(high)s"),
        "phone.stands_there": _("Stands there: %(what)s"),
        "phone.not_taken_back_because": _("Not taken back: %(why)s"),
        "phone.photo_of": _("%(what)s: photo"),
        "phone.photo_saved": _("The photo is saved on this phone."),
        "phone.photo_stored": _("The photo is stored."),
        "phone.answers_missing": _("The workshop computer did not answer for each entry."),
        "phone.nothing_reached": _("The workshop computer cannot be reached, and this phone refuses to keep anything."),
        "phone.answered": _("The workshop computer answered %(status)s."),
        "phone.keeps_nothing": _("This phone keeps nothing: readings are sent at once"),
        "phone.what_is_here": _("What is on this phone"),
        "phone.waiting": _("%(count)s saved here, not sent"),
        "phone.count_refused": _("%(count)s refused"),
        "phone.all_sent": _("All sent"),
        "phone.log_in_again": _("Log in again to send; nothing is lost."),
        "phone.of_others": _("%(count)s belong to somebody else's log-in and wait for it."),
        "phone.not_secured": _(
            "This address is not secured (no TLS), so this page cannot start without network. While it is open, what you save is kept on this phone."
        ),
        "phone.ready": _("Ready without network."),
        "phone.not_all_kept": _("Not all pages could be kept for use without network."),
        "phone.page_not_kept": _(
            "This phone does not keep the page for use without network. What you save is kept while it is open."
        ),
        "phone.group_waiting": _("Saved here, not sent"),
        "phone.group_refused": _("Refused"),
        "phone.group_removed": _("Left out by hand"),
        "phone.group_sent": _("Sent"),
        "phone.of_another": _("Belongs to another log-in and is sent only after that one."),
        "phone.verdict": _("Verdict: %(verdict)s"),
        "phone.send_again": _("Send again"),
        "phone.leave_out": _("Leave it out"),
        "phone.put_back": _("Put it back"),
        "phone.refuses_to_keep": _("This phone refuses to keep anything, so readings are sent at once."),
        "phone.send_all_again": _("Send all refused again"),
        "phone.newest": _("The newest %(count)s are shown."),
        "phone.nothing_here": _("Nothing yet. What you save at the engine will stand here."),
    }
)
