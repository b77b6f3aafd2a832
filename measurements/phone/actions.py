"""Signing, starting a run and its steps as a phone does them: pressed without network, stored once when it arrives.

What may be done is the same as at the desk: nobody passes over a missing signature, and the time is that of the press.
"""

import uuid
from datetime import datetime
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils import timezone

from measurements.phone.models import Act
from measurements.proving.actions import RunRefused, start_run
from measurements.proving.models import ProvingRun
from measurements.proving.moves import move_on
from measurements.readings.refusal import Conflict, ReadingRefused
from shop.access.models import Person
from shop.jobs.events import record_event
from shop.jobs.models import JobCard
from shop.jobs.moves import MoveRefused
from shop.safety.actions import sign_off
from shop.safety.models import SafetySignOff
from shop.safety.notes import CHECK, sign_off_round
from sizing.said import Said
from sizing.ways import moment


class NotAllowed(ReadingRefused):
    """This person, or a box, may not do it."""


def _once(
    act_id: uuid.UUID,
    kind: str,
    job: JobCard,
    content: dict[str, Any],
    by: Person,
    taken_at: datetime,
    device_at: datetime | None,
) -> tuple[Act, bool]:
    """The row of this act and whether it is new; what was stored under the id with other content is a conflict."""
    act, is_new = Act.objects.get_or_create(
        pk=act_id,
        defaults={
            "kind": kind, "job": job, "content": content, "by": by, "taken_at": taken_at, "device_at": device_at,
            "received_at": timezone.now(),
        },
    )  # fmt: skip
    if not is_new and (act.kind, act.job_id, act.content) != (kind, job.pk, content):
        raise Conflict({"": Said("refused.stored_otherwise")})
    return act, is_new


def _must(by: Person, permission: str, code: str) -> None:
    if not by.has_perm(permission):
        raise NotAllowed({"": Said(code)})


def _set(act: Act, **fields: Any) -> None:
    for name, value in fields.items():
        setattr(act, name, value)
    act.save(update_fields=list(fields))


@transaction.atomic
def sign_on_phone(
    job: JobCard, check_slug: str, round_number: int, by: Person, act_id: uuid.UUID, note: str = "",
    taken_at: datetime | None = None, device_at: datetime | None = None,
) -> tuple[Act, SafetySignOff | None]:  # fmt: skip
    """Sign one check of the fitment that the phone showed. After another fitment it must be looked at again."""
    job, now = JobCard.objects.select_for_update().get(pk=job.pk), timezone.now()
    _must(by, "shop.add_safetysignoff", "act.may_not_sign")
    taken_at, content = taken_at or now, {"check": check_slug, "round": round_number, "note": note.strip()}
    act, is_new = _once(act_id, "sign_off", job, content, by, taken_at, device_at)
    if not is_new:
        return act, SafetySignOff.objects.filter(job=job, round=round_number, check_slug=check_slug).first()
    if check_slug not in CHECK:
        raise ReadingRefused({"check": Said("act.no_such_check", {"name": check_slug, "allowed": list(CHECK)})})
    if job.stage == "called_off":
        raise ReadingRefused({"": Said("refused.called_off")})
    fitted = job.fitments.last()
    if fitted is None:
        raise ReadingRefused({"": Said("act.nothing_fitted")})
    if round_number != sign_off_round(job):
        raise ReadingRefused({"round": Said("act.fitted_since", {"fitted_at": moment(fitted.at)})})
    # A press before the fitment was stored is the work of a clock that was set; then the moment of arrival counts.
    at = taken_at if taken_at >= fitted.at else now
    _set(act, taken_at=at)
    return act, sign_off(job, check_slug, by, at, note.strip())


@transaction.atomic
def start_on_phone(
    job: JobCard,
    plan_id: int,
    by: Person,
    act_id: uuid.UUID,
    taken_at: datetime | None = None,
    device_at: datetime | None = None,
) -> Act:
    """Start a proving run against the plan that the phone showed; a job that is fitting becomes proving first."""
    job, now = JobCard.objects.select_for_update().get(pk=job.pk), timezone.now()
    _must(by, "measurements.add_provingrun", "act.may_not_start")
    act, is_new = _once(act_id, "start", job, {"plan": plan_id}, by, taken_at or now, device_at)
    if not is_new:
        return act
    row = job.job_plans.select_related("plan").filter(plan_id=plan_id).first()
    if row is None:
        raise ReadingRefused({"plan": Said("act.plan_of_another_job", {"plan": str(plan_id)})})
    at = max([act.taken_at, *_not_before(job)])
    try:
        if job.stage == "fitting":
            move_on(job, "proving", by, at=at)
            job.refresh_from_db()
        run = start_run(job, by, at, row.plan)
    except (MoveRefused, RunRefused) as error:
        raise ReadingRefused({"": Said("act.not_started", {"why": error.said})}) from error
    except PermissionDenied as error:
        raise NotAllowed({"": error.args[0]}) from error
    _set(act, run=run, taken_at=at)
    return act


def _not_before(job: JobCard) -> list[datetime]:
    """A run begins after what was fitted, after the signatures for it, and after the last one was decided."""
    fitted, signature = job.fitments.last(), job.sign_offs.filter(round=sign_off_round(job)).last()
    decided = ProvingRun.objects.of(job).filter(decided_at__isnull=False).last()
    return [row for row in (fitted and fitted.at, signature and signature.at, decided and decided.decided_at) if row]


@transaction.atomic
def record_run_step(
    job: JobCard, run: ProvingRun, step: str, by: Person, act_id: uuid.UUID, seconds: float = 0.0,
    taken_at: datetime | None = None, device_at: datetime | None = None,
) -> Act:  # fmt: skip
    """Write down a step of a run that is no reading: that oil cannot be read, or the idling before switching off, in seconds."""
    _must(by, "measurements.add_reading", "act.may_not_read")
    content = {"step": step, "seconds": seconds}
    act, is_new = _once(act_id, "run_step", job, content, by, taken_at or timezone.now(), device_at)
    if not is_new:
        return act
    if step not in Act.STEPS:
        raise ReadingRefused({"step": Said("act.no_such_step", {"name": step, "allowed": list(Act.STEPS)})})
    if run.job_id != job.pk:
        raise ReadingRefused({"run": Said("refused.run_of_another_job")})
    _set(act, run=run)
    timed = {"seconds": seconds} if step == "cool_down" else {}
    record_event(job, "proving", Said(f"proving.{step}", {"run": run.number, **timed}), by, act.taken_at)
    return act
