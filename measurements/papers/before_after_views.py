"""Before and after on one page."""

from django.contrib.auth.decorators import permission_required
from django.shortcuts import render
from django.views.decorators.http import require_GET

from measurements.papers.before_after import BeforeAfter, before_after_of
from measurements.papers.curve_plots import curve_chart
from shop.jobs.access import job_or_404
from sizing.units.figures import figure

PLOTTED = ("torque_nm", "power_kw")


def title_of(page: BeforeAfter, slug: str) -> str:
    """The plot's answer as a sentence."""
    name = "torque" if slug == "torque_nm" else "power"
    tops = [(c, c.top_torque if slug == "torque_nm" else c.top_power) for c in (page.before, page.after) if c]
    said = [f"{figure(top, slug)} at {speed:,.0f} rpm {c.row.phase}" for c, (top, speed) in tops]
    return f"Highest {name}: {', '.join(said)}"


@permission_required("measurements.view_reading", raise_exception=True)
@require_GET
def before_after(request, pk):
    number_asked = request.GET.get("run", "")
    page = before_after_of(job_or_404(pk), int(number_asked) if number_asked.isdigit() else None)
    charts = [curve_chart(page, slug, title_of(page, slug)) for slug in PLOTTED if page.curves]
    context = {"section": "jobs", "job": page.job, "page": page, "charts": [c for c in charts if c]}
    return render(request, "measurements/papers/before_after.html", context)
