"""Starting a proving run and deciding it."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone

from measurements.proving.models import ProvingRun
from measurements.verdict.run import run_verdict
from shop.access.models import Person
from shop.jobs.events import record_event
from shop.jobs.models import JobCard
from shop.jobs.plans import attach_plan
from shop.safety.notes import missing_sign_offs
from sizing.plans.actions import copy_plan
from sizing.plans.models import Plan
from sizing.said import Refused, Said, listed
from sizing.ways import word


class RunRefused(Refused):
    pass


def _wrong_stage(job: JobCard) -> Said:
    return Said("run.wrong_stage", {"stage": word("stage", job.stage)})


def in_the_way(job: JobCard) -> list[Said]:
    """What stands in the way of a run besides signatures. A job that is fitting becomes proving with its first run."""
    reasons = []
    if job.stage not in ("fitting", "proving"):
        reasons.append(_wrong_stage(job))
    if not job.fitments.exists():
        reasons.append(Said("move.no_fitment"))
    if not job.job_plans.filter(is_current=True).exists():
        reasons.append(Said("run.no_plan"))
    return reasons


def why_no_run(job: JobCard) -> list[Said]:
    """What stands in the way of starting a proving run."""
    reasons = []
    if job.stage != "proving":
        reasons.append(_wrong_stage(job))
    unsigned = missing_sign_offs(job)
    if unsigned:
        reasons.append(Said("move.unsigned", {"checks": [word("safety_check", check.slug) for check in unsigned]}))
    if not job.job_plans.filter(is_current=True).exists():
        reasons.append(Said("run.no_plan"))
    return reasons


@transaction.atomic
def start_run(job: JobCard, by: Person, at: datetime | None = None, plan: Plan | None = None) -> ProvingRun:
    """Start the next proving run of the current plan; while one is open, that one is returned.

    `plan` is given when somebody began without network, against the plan of the job that was current for them.
    """
    job = JobCard.objects.select_for_update().get(pk=job.pk)
    reasons = why_no_run(job)
    if reasons:
        raise RunRefused("run.not_yet", reasons=listed(reasons))
    last = ProvingRun.objects.of(job).last()
    if last and not last.is_decided:
        return last
    at = at or timezone.now()
    plan = plan or job.job_plans.select_related("plan").get(is_current=True).plan
    run = ProvingRun.objects.create(
        job=job, plan=plan, number=last.number + 1 if last else 1, started_by=by, started_at=at
    )
    record_event(job, "proving", Said("proving.started", {"run": run.number, "plan": str(plan)}), by, at)
    return run


@transaction.atomic
def decide(
    run: ProvingRun, decision: str, reason: str, by: Person, at: datetime | None = None, next_title: str = ""
) -> ProvingRun:
    """End a proving run with a decision, its reason and the worst verdict of the run as it stands now.

    'next' also writes the draft of the next stage: a copy of the plan, added to the job, not yet its current one.
    """
    run = ProvingRun.objects.select_for_update(of=("self",)).with_plan().get(pk=run.pk)
    reason = reason.strip()
    if run.decision:
        if (run.decision, run.reason) == (decision, reason):
            return run
        raise RunRefused("run.decided", run=run.number, decision=word("run_decision", run.decision))
    if decision not in dict(ProvingRun.DECISIONS):
        raise RunRefused("run.choose")
    if not reason:
        raise RunRefused("run.say_why")
    if decision != "change" and not run.points.exists():
        raise RunRefused("run.nothing_read")
    at = at or timezone.now()
    run.decision, run.reason, run.decided_by, run.decided_at = decision, reason, by, at
    run.verdict = run_verdict(run)
    run.save(update_fields=["decision", "reason", "decided_by", "decided_at", "verdict"])
    verdict = word("verdict", run.verdict) if run.verdict else Said("verdict.none")
    told = {"run": run.number, "verdict": verdict, "decision": word("run_decision", decision), "reason": reason}
    record_event(run.job, "decision", Said("proving.decided", told), by, at)
    if decision == "next":
        title = next_title.strip() or f"{run.plan.title}, next stage"
        attach_plan(run.job, copy_plan(run.plan, title[:120], at=at), by, at=at)
    return run
