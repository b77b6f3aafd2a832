"""Moving a job along its stages. What the floors above need is asked by them and handed in as `also_missing`."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction

from shop.access.models import Person
from shop.jobs.events import record_event
from shop.jobs.models import JobCard, JobEvent
from shop.jobs.stages import ORDER, moves_from
from shop.safety.notes import missing_sign_offs
from sizing.said import Refused, Said, listed
from sizing.ways import word


@dataclass(frozen=True)
class Missing:
    """Something a move needs and does not have. What is `firm` cannot be passed over by anyone."""

    said: Said
    firm: bool = False

    @property
    def text(self) -> str:
        return str(self.said)


class MoveRefused(Refused):
    def __init__(self, missing: Sequence[Missing]):
        self.missing = list(missing)
        super().__init__("move.refused", missing=listed(m.said for m in missing))


def _survey(job: JobCard) -> list[Missing]:
    survey = job.surveys.last()
    if survey is None:
        return [Missing(Said("move.no_survey"))]
    if survey.verdict == "unfit":
        why = survey.repairs.strip()
        return [Missing(Said("move.survey_unfit_because", {"why": why}) if why else Said("move.survey_unfit"))]
    return []


def _plan(job: JobCard) -> list[Missing]:
    return [] if job.job_plans.filter(is_current=True).exists() else [Missing(Said("move.no_plan"))]


def _quote(job: JobCard) -> list[Missing]:
    return [] if job.quotes.filter(state="agreed").exists() else [Missing(Said("move.no_agreed_quote"))]


def _fitment(job: JobCard) -> list[Missing]:
    missing = [] if job.fitments.exists() else [Missing(Said("move.no_fitment"))]
    unsigned = missing_sign_offs(job)
    if unsigned:
        checks = [word("safety_check", c.slug) for c in unsigned]
        missing.append(Missing(Said("move.unsigned", {"checks": checks}), firm=True))
    return missing


NEEDS = {"surveyed": _survey, "planned": _plan, "agreed": _quote, "proving": _fitment}


def missing_for(job: JobCard, to: str) -> list[Missing]:
    """What a move forward still needs, as far as this floor can see."""
    forward = to in ORDER and job.stage in ORDER and ORDER.index(to) == ORDER.index(job.stage) + 1
    return NEEDS[to](job) if forward and to in NEEDS else []


def _from_to(stage: str, to: str) -> dict[str, Any]:
    return {"from": word("stage", stage), "to": word("stage", to)}


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
        raise MoveRefused([Missing(Said("move.not_from_here", _from_to(job.stage, to)), firm=True)])
    missing = [*missing_for(job, to), *also_missing]
    reason = reason.strip()
    if any(m.firm for m in missing) or (missing and not reason):
        raise MoveRefused(missing)
    if missing and not by.has_perm("shop.override_jobcard"):
        raise PermissionDenied(Said("move.only_owner"))
    backwards = to == "called_off" or (to in ORDER and ORDER.index(to) < ORDER.index(job.stage))
    if backwards and not reason:
        raise MoveRefused([Missing(Said("move.say_why"))])
    said = Said("job.moved", _from_to(job.stage, to))
    if missing:
        said = Said("job.moved_past", {**said.values, "missing": listed(m.said for m in missing)})
    elif reason:
        said = Said("job.moved_because", {**said.values, "reason": reason})
    from_stage, job.stage = job.stage, to
    job.version += 1
    job.save(update_fields=["stage", "version"])
    return record_event(
        job, "move", said, by, at, from_stage=from_stage, to_stage=to, override_reason=reason if missing else ""
    )
