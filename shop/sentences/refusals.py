"""Why a move, a plan or a quote is refused, by code."""

from django.utils.translation import gettext_lazy as _

from shop.papers.models import Quote
from sizing.plans.facts import FACTS
from sizing.said import add_sentences
from sizing.ways import add_words

add_words(quote_state=Quote.STATES, fact=[(name, fact.label) for name, fact in FACTS.items()])

add_sentences(
    {
        "move.refused": "%(missing)s",
        "work.not_again": _("This cannot be tried again. Begin anew on the page where you asked for it."),
        "work.job_gone": _("The job card is not there any more."),
        "move.no_survey": _("The survey sheet has not been filled in."),
        "move.survey_unfit": _("The survey says: not fit."),
        "move.survey_unfit_because": _("The survey says: not fit. %(why)s"),
        "move.no_plan": _("There is no current plan."),
        "move.no_agreed_quote": _("No quote has been agreed by the customer."),
        "move.no_fitment": _("It is not recorded which turbo and plunger were fitted."),
        "move.unsigned": _("Safety checks not signed: %(checks)s."),
        "move.not_from_here": _("A job that is %(from)s cannot become %(to)s."),
        "move.only_owner": _("Only the owner may move a job past something that is missing."),
        "move.say_why": _("Say in a few words why."),
        "plan.say_why": _("Say in a few words why this plan is taken."),
        "plan.facts_missing": _(
            "A plan cannot be worked out without: %(facts)s. A guess or a range will do; say that it is one."
        ),
        "plan.needs.displacement_l": _("displacement (or bore, stroke and cylinders)"),
        "plan.needs.cylinder_count": _("cylinders"),
        "plan.needs.rated_power_kw": _("rated power"),
        "plan.needs.rated_speed_rpm": _("rated speed"),
        "plan.needs.injection": _("injection, indirect or direct"),
        "fact.unknown": _("There is no fact '%(name)s'."),
        "fact.ends_swapped": _("%(fact)s: the range runs from %(low)g to %(high)g. Swap the two ends."),
        "quote.no_line": _("A quote needs at least one line."),
        "quote.not_now": _("Quote %(number)s is %(state)s; this can be done only while it is %(allowed)s."),
        "quote.say_who": _("Say who agreed or declined for the customer."),
    }
)
