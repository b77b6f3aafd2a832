"""Moving a job along its stages. What the floors above need is asked by them and handed in as `also_missing`."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import PermissionDenied
from django.db import transaction

from shop.access.models import Person
from shop.jobs.events import record_event
from shop.jobs.models import JobCard, JobEvent
from shop.jobs.stages import ORDER, STAGE_LABEL, moves_from
from shop.safety.notes import missing_sign_offs


@dataclass(frozen=True)
class Missing:
    """Something a move needs and does not have. What is `firm` cannot be passed over by anyone."""

    text: str
    firm: bool = False


class MoveRefused(ValueError):
    def __init__(self, missing: Sequence[Missing]):
        self.missing = list(missing)
        super().__init__(" ".join(m.text for m in missing))


def _survey(job: JobCard) -> list[Missing]:
    survey = job.surveys.last()
    if survey is None:
        return [Missing("The survey sheet has not been filled in.")]
    if survey.verdict == "unfit":
        return [Missing(f"The survey says: not fit. {survey.repairs}".strip())]
    return []


def _plan(job: JobCard) -> list[Missing]:
    return [] if job.job_plans.filter(is_current=True).exists() else [Missing("There is no current plan.")]


def _quote(job: JobCard) -> list[Missing]:
    return [] if job.quotes.filter(state="agreed").exists() else [Missing("No quote has been agreed by the customer.")]


def _fitment(job: JobCard) -> list[Missing]:
    missing = [] if job.fitments.exists() else [Missing("It is not recorded which turbo and plunger were fitted.")]
    unsigned = missing_sign_offs(job)
    if unsigned:
        missing.append(Missing(f"Safety checks not signed: {', '.join(c.title for c in unsigned)}.", firm=True))
    return missing


NEEDS = {"surveyed": _survey, "planned": _plan, "agreed": _quote, "proving": _fitment}


def missing_for(job: JobCard, to: str) -> list[Missing]:
    """What a move forward still needs, as far as this floor can see."""
    forward = to in ORDER and job.stage in ORDER and ORDER.index(to) == ORDER.index(job.stage) + 1
    return NEEDS[to](job) if forward and to in NEEDS else []


@transaction.atomic
def move_job(
    job: JobCard,
    to: str,
    by: Person,
    reason: str = "",
    also_missing: Sequence[Missing] = (),
    at: datetime | None = None,
) -> JobEvent:
    """Move a job, or raise MoveRefused with everything that is missing.

    The owner may pass over what is missing with a written reason; safety sign-offs nobody may pass over.
    """
    job = JobCard.objects.select_for_update().get(pk=job.pk)
    if to not in moves_from(job.stage):
        raise MoveRefused(
            [Missing(f"A job that is {job.stage_label} cannot become {STAGE_LABEL.get(to, to)}.", firm=True)]
        )
    missing = [*missing_for(job, to), *also_missing]
    reason = reason.strip()
    if any(m.firm for m in missing) or (missing and not reason):
        raise MoveRefused(missing)
    if missing and not by.has_perm("shop.override_jobcard"):
        raise PermissionDenied("Only the owner may move a job past something that is missing.")
    backwards = to == "called_off" or (to in ORDER and ORDER.index(to) < ORDER.index(job.stage))
    if backwards and not reason:
        raise MoveRefused([Missing("Say in a few words why.", firm=False)])
    text = f"{job.stage_label} to {STAGE_LABEL[to]}"
    if missing:
        text += f", past: {' '.join(m.text for m in missing)}"
    elif reason:
        text += f": {reason}"
    from_stage, job.stage = job.stage, to
    job.version += 1
    job.save(update_fields=["stage", "version"])
    return record_event(
        job, "move", text, by, at, from_stage=from_stage, to_stage=to, override_reason=reason if missing else ""
    )
