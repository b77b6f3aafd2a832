"""Entering a full-load curve."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from measurements.bench.curves.actions import record_curve
from measurements.bench.curves.forms import CurveForm
from measurements.phone.sheet import usual_phase
from measurements.proving.models import ProvingRun
from measurements.readings.actions import ReadingRefused
from shop.jobs.access import job_or_404
from shop.safety.notes import FIRST, hazards_before


@permission_required("measurements.add_powercurve", raise_exception=True)
@require_http_methods(["GET", "POST"])
def curve(request, pk):
    job = job_or_404(pk)
    form = CurveForm(request.POST or None, request.FILES or None, initial={"phase": usual_phase(job)})
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        run = ProvingRun.objects.of(job).last() if data["phase"] == "after" else None
        try:
            record_curve(
                job, data["phase"], data["kind"], data["points"], request.user, run, data["uncertainty_pct"], data["note"],
                instrument=data["instrument"],
            )  # fmt: skip
            messages.success(request, "Stored: the full-load curve.")
            return redirect("measurements:before_after", pk)
        except ReadingRefused as refused:
            form.take_refusal(refused)
    context = {"section": "jobs", "job": job, "form": form, "hazards": hazards_before("dyno"), "first": FIRST}
    return render(request, "measurements/bench/curves/curve.html", context, status=422 if form.errors else 200)
