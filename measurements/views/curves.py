"""Before and after on one page, and entering a full-load curve."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from measurements.access import job_or_404
from measurements.actions.curves import record_curve
from measurements.actions.readings import ReadingRefused
from measurements.before_after import BeforeAfter
from measurements.before_after import before_after as before_after_of
from measurements.curve_plots import chart, figure
from measurements.forms.proving import CurveForm
from measurements.models import ProvingRun
from measurements.sheet import usual_phase
from shop.safety_notes import FIRST, hazards_before
from sizing.templatetags.quantities import number, unit

PLOTTED = ("torque_nm", "power_kw")


def title_of(page: BeforeAfter, slug: str) -> str:
    """The plot's answer as a sentence."""
    name = "torque" if slug == "torque_nm" else "power"
    tops = [(c, c.top_torque if slug == "torque_nm" else c.top_power) for c in (page.before, page.after) if c]
    said = [f"{number(top, slug)} {unit(slug)} at {speed:,.0f} rpm {c.row.phase}" for c, (top, speed) in tops]
    return f"Highest {name}: {', '.join(said)}"


@permission_required("measurements.view_reading", raise_exception=True)
@require_GET
def before_after(request, pk):
    number_asked = request.GET.get("run", "")
    page = before_after_of(job_or_404(pk), int(number_asked) if number_asked.isdigit() else None)
    drawn = [
        (slug, chart(page, slug), figure(page, slug, title_of(page, slug)), title_of(page, slug))
        for slug in PLOTTED
        if page.curves
    ]
    context = {"section": "jobs", "job": page.job, "page": page, "drawn": [d for d in drawn if d[1]]}
    return render(request, "measurements/before_after.html", context)


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
    return render(request, "measurements/curve.html", context, status=422 if form.errors else 200)
