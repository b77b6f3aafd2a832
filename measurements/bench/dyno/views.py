"""Torque and power from a brake, a drum or a road run: choose, enter, see what it comes to."""

from urllib.parse import urlencode

from django.contrib.auth.decorators import permission_required
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from measurements.bench.dyno.actions import record_dyno
from measurements.bench.dyno.correction import STANDARDS, altitude_note
from measurements.bench.dyno.forms import FORMS
from measurements.bench.dyno.models import DynoTest
from measurements.bench.dyno.work_forms import WORK
from measurements.phone.sheet import usual_phase
from measurements.readings.actions import ReadingRefused
from measurements.readings.gauges import curve_gauge_notes
from shop.jobs.access import job_or_404
from shop.safety.notes import FIRST, hazards_before
from shop.survey.actions import current_facts
from shop.workshop.models import Workshop

WAYS = [
    ("brake", "Brake", "Enter a brake run", "Engine or power take-off held by a brake: torque is read, power follows."),
    (
        "drum",
        "Rollers (inertia drum)",
        "Enter a run on rollers",
        "The vehicle speeds up rollers of known inertia; a run-down gives the losses.",
    ),
    (
        "road",
        "Road run",
        "Enter a road run",
        "A weighed vehicle speeds up in one gear on a level, quiet road. Least exact of the three.",
    ),
]


def _altitude_note() -> str:
    workshop = Workshop.objects.first()
    return altitude_note(workshop.altitude_m) if workshop else ""


def _usual(job) -> dict:
    """What is known of the engine, where it is one figure and no range."""
    facts = current_facts(job.vehicle)
    known = {
        n: facts[n].low for n in ("displacement_l", "cylinder_count") if n in facts and facts[n].low == facts[n].high
    }
    return {
        "phase": usual_phase(job),
        **{n: int(v) if n == "cylinder_count" else v for n, v in known.items() if v is not None},
    }


@permission_required("measurements.add_powercurve", raise_exception=True)
@require_GET
def dyno(request, pk):
    job = job_or_404(pk)
    tests = DynoTest.objects.filter(curve__job=job).select_related("curve__run", "curve__by").order_by("curve__at")
    context = {
        "section": "jobs",
        "job": job,
        "ways": WAYS,
        "tests": tests,
        "works": WORK.items(),
        "note": _altitude_note(),
        "hazards": hazards_before("dyno"),
        "first": FIRST,
    }
    return render(request, "measurements/bench/dyno/dyno.html", context)


@permission_required("measurements.add_powercurve", raise_exception=True)
@require_http_methods(["GET", "POST"])
def dyno_new(request, pk, kind):
    if kind not in FORMS:
        raise Http404
    job = job_or_404(pk)
    given = {name: value for name, value in request.GET.items() if name in FORMS[kind].base_fields}
    form = FORMS[kind](request.POST or None, request.FILES or None, initial=_usual(job) | given)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            test = record_dyno(
                job, data["phase"], form.curve, form.record, request.user, data["test_id"], form.setup(), form.air(), form.basis(),
                form.run_down_bytes, data["note"], instrument=data.get("instrument"), instrument_ratio=form.instrument_ratio(),
            )  # fmt: skip
            return redirect("measurements:dyno_test", test.pk)
        except ReadingRefused as refused:
            form.take_refusal(refused)
    way = next(w for w in WAYS if w[0] == kind)
    context = {
        "section": "jobs",
        "job": job,
        "form": form,
        "way": way,
        "note": _altitude_note(),
        "hazards": hazards_before("dyno"),
        "first": FIRST,
    }
    return render(request, "measurements/bench/dyno/dyno_new.html", context, status=422 if form.errors else 200)


@permission_required("measurements.view_reading", raise_exception=True)
@require_GET
def dyno_test(request, pk):
    test = get_object_or_404(
        DynoTest.objects.select_related("curve__job__vehicle", "curve__run", "curve__by", "curve__instrument"), pk=pk
    )
    standard = STANDARDS.get(test.standard)
    context = {
        "section": "jobs", "job": test.curve.job, "test": test, "curve": test.curve, "points": test.curve.points.all(), "standard": standard,
        "engine_class": standard.engine_class(test.engine_class) if standard else None, "notes": test.notes, "gauge_notes": curve_gauge_notes(test.curve), "note": _altitude_note(),
    }  # fmt: skip
    return render(request, "measurements/bench/dyno/dyno_test.html", context)


@permission_required("measurements.add_powercurve", raise_exception=True)
@require_http_methods(["GET", "POST"])
def dyno_work(request, pk, what):
    """Work out what a run needs to know. Nothing is stored; the answer goes on into the form of the run."""
    if what not in WORK:
        raise Http404
    job = job_or_404(pk)
    form = WORK[what](request.POST or None, request.FILES or None)
    done = request.method == "POST" and form.is_valid()
    go_on = f"{reverse('measurements:dyno_new', args=[pk, form.kind])}?{urlencode(form.prefill)}" if done else ""
    context = {
        "section": "jobs",
        "job": job,
        "form": form,
        "done": done,
        "go_on": go_on,
        "hazards": hazards_before("dyno"),
        "first": FIRST,
    }
    return render(request, "measurements/bench/dyno/dyno_work.html", context, status=422 if form.errors else 200)
