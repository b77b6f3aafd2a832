"""Readings of a job at the desk."""

from django.contrib.auth.decorators import permission_required
from django.shortcuts import render
from django.views.decorators.http import require_GET

from measurements.readings.models import Point
from measurements.readings.tables import sections_of
from measurements.verdict.bench_tests import all_tests
from measurements.verdict.causes import health_of
from measurements.verdict.findings import current_plan
from shop.jobs.access import job_or_404


def _withdrawn(job):
    """Points that were taken back: they count nowhere, and nobody should wonder where they went."""
    return list(Point.everything.of(job).withdrawn())


@permission_required("measurements.view_reading", raise_exception=True)
@require_GET
def readings(request, pk):
    job = job_or_404(pk)
    sections, tests = sections_of(job, current_plan(job)), all_tests(job, {}).before()
    baseline = [f for part in sections if part.phase == "before" for f in part.findings]
    health = health_of([*baseline, *tests.findings], with_figures=True) if baseline or tests.smoke else None
    context = {
        "section": "jobs",
        "job": job,
        "sections": sections,
        "health": health,
        "tests_before": tests,
        "withdrawn": _withdrawn(job),
    }
    return render(request, "measurements/readings/readings.html", context)


@permission_required("measurements.view_reading", raise_exception=True)
@require_GET
def readings_panel(request, pk):
    """The baseline and what was read last; the page has everything."""
    job = job_or_404(pk)
    sections = sections_of(job, current_plan(job))
    shown = sections if len(sections) <= 2 else [sections[0], sections[-1]]
    context = {"job": job, "sections": shown, "left_out": len(sections) - len(shown), "withdrawn": _withdrawn(job)[:5]}
    return render(request, "measurements/readings/_readings.html", context)
