"""Handing the vehicle over: the record, and the sheet that goes with it."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from measurements.long_work.papers import is_large_sheet, pdf_name
from measurements.papers.forms import HandOverForm
from measurements.papers.sheet import NoPdf, sheet_context, sheet_pdf
from measurements.proving.moves import hand_over_job, missing_for_move
from shop.jobs.access import job_or_404
from shop.jobs.moves import MoveRefused
from shop.long_work.queue import about_job, ask
from shop.papers.models import HandOver
from shop.safety.notes import hazards_before


@permission_required("shop.view_jobcard", raise_exception=True)
@require_http_methods(["GET", "POST"])
def hand_over(request, pk):
    job = job_or_404(pk)
    missing = missing_for_move(job, "handed_over")
    may_override = request.user.has_perm("shop.override_jobcard")
    form = HandOverForm(request.POST or None, job=job, needs_reason=bool(missing) and may_override)
    may = request.user.has_perm("shop.hand_over_jobcard") and job.stage == "proving" and (not missing or may_override)
    if request.method == "POST":
        if not request.user.has_perm("shop.hand_over_jobcard"):
            raise PermissionDenied("Handing over is for the front desk and the owner.")
        if HandOver.objects.filter(job=job).exists():  # the second of a double submit
            return redirect("measurements:hand_over", pk)
        if form.is_valid() and _handed_over(request, job, form):
            return redirect("measurements:hand_over", pk)
    context = {
        "section": "jobs", "job": job, "form": form, "missing": missing, "may": may, "hazards": hazards_before("hand_over"),
        "done": HandOver.objects.filter(job=job).select_related("by").first(),
    }  # fmt: skip
    return render(
        request, "measurements/papers/hand_over.html", context, status=422 if request.method == "POST" else 200
    )


def _handed_over(request, job, form) -> bool:
    data = form.cleaned_data
    try:
        hand_over_job(
            job,
            data["on"],
            data["received_by"],
            request.user,
            data.get("meter_reading"),
            data["note"],
            reason=data.get("reason", ""),
        )
    except MoveRefused as refused:
        form.add_error(None, str(refused))
        return False
    messages.success(request, "The job is handed over. Print the sheet and go through it with the customer.")
    return True


@permission_required("shop.view_jobcard", raise_exception=True)
@require_GET
def sheet(request, pk):
    return render(request, "measurements/papers/sheet.html", {"section": "jobs", **sheet_context(job_or_404(pk))})


@permission_required("shop.view_jobcard", raise_exception=True)
@require_GET
def pdf(request, pk):
    job = job_or_404(pk)
    if is_large_sheet(job):
        return redirect(ask("sheet_pdf", request.user, about_job(job), job=job.pk, number=job.number))
    try:
        data = sheet_pdf(job)
    except NoPdf:
        messages.warning(request, "This machine cannot make a PDF. Print this page from the browser instead.")
        return redirect("measurements:hand_over_sheet", pk)
    return HttpResponse(
        data, content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{pdf_name(job)}"'}
    )
