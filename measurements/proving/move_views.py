"""What is next on a job, and the buttons that move it."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import PermissionDenied
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from measurements.proving import moves
from measurements.proving.next_steps import standing_of
from shop.jobs.access import job_or_404
from shop.jobs.moves import MoveRefused
from shop.jobs.stages import STAGE_LABEL


def _context(request, job, **more):
    standing = standing_of(job)
    may_step = not standing.step.permission or request.user.has_perm(standing.step.permission)
    return {"section": "jobs", "job": job, "standing": standing, "may_step": may_step, **more}


@permission_required("shop.view_jobcard", raise_exception=True)
@require_GET
def next_panel(request, pk):
    return render(request, "measurements/proving/_next.html", _context(request, job_or_404(pk)))


@permission_required("shop.view_jobcard", raise_exception=True)
@require_GET
def next_page(request, pk):
    return render(request, "measurements/proving/next.html", _context(request, job_or_404(pk)))


@permission_required("shop.move_jobcard", raise_exception=True)
@require_POST
def move(request, pk):
    job, to, reason = job_or_404(pk), request.POST.get("to", ""), request.POST.get("reason", "")
    if job.stage == to:  # the second of a double submit
        return redirect("shop:job", pk)
    try:
        moves.move_on(job, to, request.user, reason)
    except (MoveRefused, PermissionDenied) as refused:
        why = [m.text for m in refused.missing] if isinstance(refused, MoveRefused) else [str(refused)]
        status = 422 if isinstance(refused, MoveRefused) else 403
        context = _context(request, job, refused=why, typed_reason=reason, typed_to=STAGE_LABEL.get(to, to))
        return render(request, "measurements/proving/next.html", context, status=status)
    messages.success(request, f"The job is now: {STAGE_LABEL[to]}.")
    return redirect("shop:job", pk)
