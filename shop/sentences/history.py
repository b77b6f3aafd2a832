"""What the history of a job says, by code: the part that this floor writes."""

from django.utils.translation import gettext_lazy as _

from shop.follow_up.models import Failure, FollowUp
from shop.jobs.models import JobCard
from shop.jobs.stages import STAGES
from shop.safety.notes import CHECKS
from shop.survey.models import Survey
from sizing.said import add_sentences, add_ways
from sizing.ways import add_words

add_words(
    stage=STAGES,
    job_field=[(field.name, field.verbose_name) for field in JobCard._meta.fields],
    safety_check=[(check.slug, check.title) for check in CHECKS],
    survey_verdict=Survey.VERDICTS,
    follow_up_way=FollowUp.WAYS,
    failed_part=Failure.PARTS,
)
add_ways(meter=lambda value, unit: f"{value:g} {unit}".rstrip())

add_sentences(
    {
        "job.opened": _("job card opened: %(wish)s"),
        "job.changed": "%(changes)s",
        "job.change": _("%(field)s: %(before)s to %(after)s"),
        "job.empty": _("empty"),
        "job.photo": _("photo added"),
        "job.photo_of": _("photo added: %(caption)s"),
        "job.moved": _("%(from)s to %(to)s"),
        "job.moved_because": _("%(from)s to %(to)s: %(reason)s"),
        "job.moved_past": _("%(from)s to %(to)s, past: %(missing)s"),
        "plan.added": _("plan %(position)s added: %(title)s"),
        "plan.chosen": _("plan %(position)s is the current one: %(reason)s"),
        "survey.stored": _("survey says %(verdict)s"),
        "survey.stored_because": _("survey says %(verdict)s: %(why)s"),
        "quote.written": _("quote %(number)s written: %(total)s"),
        "quote.given": _("quote %(number)s given to the customer"),
        "quote.agreed": _("quote %(number)s agreed by %(by)s"),
        "quote.declined": _("quote %(number)s declined by %(by)s"),
        "job.handed_over": _("handed over to %(received_by)s"),
        "fitting.fitted": _("fitted: %(turbo)s with a %(plunger_mm)g mm plunger"),
        "fitting.part": _("fitted: %(quantity)d x %(part)s"),
        "safety.signed": _("safety check signed: %(check)s"),
        "safety.signed_with_note": _("safety check signed: %(check)s. %(note)s"),
        "follow_up.told": _("%(way)s: %(text)s"),
        "follow_up.told_at": _("%(way)s at %(meter)s: %(text)s"),
        "failure.told": _("failed: %(part)s; cause: %(cause)s; said by %(said_by)s"),
        "failure.told_at": _("failed: %(part)s at %(meter)s; cause: %(cause)s; said by %(said_by)s"),
        "failure.cause_not_known": _("not known"),
    }
)
