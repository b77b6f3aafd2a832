"""Why readings, findings, tests, runs and moves are refused, by code."""

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from measurements.bench.smoke.standard import PROCEDURES
from measurements.guided.sheets import SHEET
from measurements.proving.models import ProvingRun
from sizing.said import add_sentences, add_ways
from sizing.units import figures
from sizing.units.quantities import QUANTITIES
from sizing.ways import add_words, small_label


def _sheet_item(sheet: str, item: str, place: int = 0, small: bool = False) -> str:
    label = SHEET[sheet].item(item).label
    return f"{small_label(label) if small else gettext(label)}{f' {place}' if place else ''}"


def _sheet_range(sheet: str, item: str) -> str:
    found = SHEET[sheet].item(item)
    return figures.span(found.low, found.high, found.quantity)


add_words(
    run_decision=ProvingRun.DECISIONS,
    smoke_procedure=[(p.slug, p.label) for p in PROCEDURES.values()],
    guided_sheet=[(sheet.slug, sheet.title) for sheet in SHEET.values()],
)
add_ways(
    range_reason=lambda of: gettext(QUANTITIES[of].why),
    sheet_item=_sheet_item,
    sheet_figure=lambda sheet, item, value: figures.figure(value, SHEET[sheet].item(item).quantity),
    sheet_range=_sheet_range,
)

add_sentences(
    {
        "refused.called_off": _("This job was called off; nothing more is recorded for it."),
        "refused.run_of_another_job": _("That proving run is of another job."),
        "refused.stored_otherwise": _("This was stored before with another content."),
        "reading.not_possible": _(
            "%(quantity)s: %(value)s %(unit)s is not physically possible. Allowed: %(low)s to %(high)s %(unit)s."
        ),
        "reading.not_possible_because": _(
            "%(quantity)s: %(value)s %(unit)s is not physically possible. "
            "Allowed: %(low)s to %(high)s %(unit)s (%(why)s)."
        ),
        "reading.no_such_quantity": _("'%(name)s' is not a quantity that is measured here."),
        "reading.after_the_fit": _("The turbo was fitted on %(fitted_on)s: this reading is one after the fit."),
        "reading.no_run": _("After the fit a reading belongs to a proving run. Start one first."),
        "reading.run_decided": _("Proving run %(run)s has been decided already. Start another one first."),
        "reading.no_such_phase": _("'%(name)s' is neither before nor after the fit."),
        "reading.nothing_typed": _("Nothing was typed yet: fill in at least one reading."),
        "reading.stored_otherwise": _(
            "These readings were stored before with other figures. Open the page anew, or correct the stored one."
        ),
        "reading.decided_on": _("Proving run %(run)s was decided on these readings. Correct the reading instead."),
        "reading.id_took_back_another": _("This id has taken back another point."),
        "reading.corrected_meanwhile": _("This reading was corrected meanwhile. Look at what stands there now."),
        "reading.say_why": _("Say in a few words why it is corrected."),
        "reading.same_value": _("That is the value that stands there already."),
        "intake.no_job": _("There is no job %(id)s here."),
        "intake.not_here": _("There is no %(what)s %(id)s here."),
        "intake.no_start": _("The start of this proving run is not stored here. Once it is, send this again."),
        "intake.not_for_a_box": _("A box cannot sign safety checks or start a run: somebody who has looked does."),
        "intake.no_such_place": _("'%(name)s' is not a place of an engine. Allowed: %(allowed)s."),
        "intake.no_such_reading": _("That reading is not stored here, so there is nothing to take back."),
        "intake.say_which_run": _("Say which proving run, or which start."),
        "act.may_not_sign": _("This log-in may not sign safety checks."),
        "act.may_not_start": _("This log-in may not start a proving run."),
        "act.may_not_read": _("This log-in may not take readings."),
        "act.no_such_check": _("'%(name)s' is not a safety check. Allowed: %(allowed)s."),
        "act.nothing_fitted": _("Record what was fitted first: the checks belong to a fitment."),
        "act.fitted_since": _("Something else was fitted on %(fitted_at)s: look again, then sign for that."),
        "act.plan_of_another_job": _("Plan %(plan)s is not a plan of this job."),
        "act.not_started": _("The proving run was not started. %(why)s"),
        "act.no_such_step": _("'%(name)s' is not a step of a run. Allowed: %(allowed)s."),
        "sheet.no_such_sheet": _("There is no sheet '%(name)s'. There are: %(allowed)s."),
        "sheet.no_such_item": _("'%(name)s' does not stand on the sheet '%(sheet)s'. There are: %(allowed)s."),
        "sheet.say_which_one": _("%(item)s: say which one, from 1 on."),
        "sheet.only_one": _("%(item)s: there is only one."),
        "sheet.no_such_choice": _("%(item)s: '%(name)s' is not a choice. Allowed: %(allowed)s."),
        "sheet.a_number": _("none, a number is wanted"),
        "sheet.no_number": _("%(item)s: choose one, a number says nothing here."),
        "sheet.not_possible": _("%(item)s: %(value)s is not possible. Allowed: %(allowed)s."),
        "sheet.another_photo": _("Another photo was stored under this id before."),
        "run.wrong_stage": _("The job is %(stage)s; a proving run belongs to a job that is proving."),
        "run.no_plan": _("There is no current plan to prove."),
        "run.not_yet": "%(reasons)s",
        "run.decided": _("Proving run %(run)s was decided already: %(decision)s."),
        "run.choose": _("Choose what is to happen after this run."),
        "run.say_why": _("Write the reason for the decision."),
        "run.nothing_read": _("Nothing was read in this run, so it cannot be kept on its strength."),
        "move.no_baseline": _(
            "There is no baseline: before the strip, read boost, exhaust temperature or smoke at least once, "
            "or enter a power curve. Afterwards it cannot be made up for."
        ),
        "move.no_run": _("There has been no proving run."),
        "move.run_not_decided": _("Proving run %(run)s has not been decided."),
        "move.run_to_be_repeated": _("Proving run %(run)s ended with '%(decision)s'; the next run is missing."),
        "move.nothing_read": _("Nothing was read in proving run %(run)s."),
        "move.beyond_stop": _("Beyond a stop limit in proving run %(run)s. %(what)s"),
        "move.hand_over_there": _("Who takes the vehicle is written on the hand-over page; hand it over there."),
        "curve.say_how": _("Say how the curve was found."),
        "curve.two_speeds": _("A curve needs at least two speeds."),
        "curve.speed_twice": _("%(speed_rpm)g rpm stands there twice; one of the two has to go."),
        "curve.plus_or_minus": _("Plus or minus: allowed is 0 to 50 %%."),
        "curve.no_instrument": _(
            "Only a curve from a brake or from rollers names the instrument it was read with. Leave it empty."
        ),
        "curve.wrong_instrument": _("%(instrument)s reads neither torque nor power. Choose one that does."),
        "curve.too_coarse": _(
            "%(instrument)s is trusted with ± %(half).0f Nm at %(speed)s rpm, more than half of %(torque).0f Nm: "
            "it carries no curve there."
        ),
        "dyno.stored_otherwise": _("This run was stored before with another record. Open the page anew."),
        "dyno.too_coarse": _(
            "Plus or minus %(widest_pct).0f %% at its worst speed: this run carries no curve. "
            "Cut it to the pull, or measure more exactly."
        ),
        "dyno.no_torque": _("The run gives no torque at some speed: cut the record to the pull at full load."),
        "smoke.limit_in_opacity": _("This procedure judges opacity on a stated path: choose a limit in opacity."),
        "smoke.limit_of_another": _("'%(limit)s' is a limit of the %(procedure)s. Choose one of this procedure."),
        "smoke.rated_power": _(
            "'%(limit)s' holds for the standard path by rated power: give the engine's rated power."
        ),
        "smoke.of_another_job": _("This test was begun on another job. Open the page anew."),
        "smoke.not_warm": _(
            "Oil temperature: %(oil)s is not warm. Warm it up to %(warm)s, or say below that this is "
            "its usual running temperature."
        ),
        "smoke.opacity_too_dark": _(
            "Opacity %(opacity)g %% on %(path_mm).0f mm is %(k).1f m⁻¹. Allowed: up to 10 m⁻¹; check the path."
        ),
        "smoke.stored_otherwise": _(
            "This snap was stored before with another figure. Open the page anew, or correct the stored one."
        ),
        "smoke.complete": _("This test is complete. Begin another one."),
        "smoke.type_it": _("Type what the meter showed at the top of the snap."),
        "smoke.corrected_meanwhile": _("This snap was corrected meanwhile. Look at what stands there now."),
    }
)
