"""The sheet beside the engine: one hand, one screen."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import HttpResponseRedirect
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_http_methods, require_POST

from measurements.access import reading_or_404
from measurements.guided.sheets import SHEETS
from measurements.phone.data import sheet_data
from measurements.phone.kept_views import phone_page
from measurements.phone.sheet import (
    PHASES,
    ReadingSheet,
    gauges,
    reading_sheet_of,
    usual_phase,
    usual_places_and_gauges,
)
from measurements.proving.actions import RunRefused, start_run, why_no_run
from measurements.readings.actions import ReadingRefused, correct_reading, record_point
from measurements.readings.forms import CorrectionForm, PointForm
from shop.jobs.access import job_or_404
from shop.safety.notes import FIRST, hazards_before
from sizing.physics.limits.values import WORST_FIRST


def _form(request, sheet: ReadingSheet) -> PointForm:
    defaults = usual_places_and_gauges(sheet.job, sheet.phase)
    return PointForm(
        request.POST or None, steps=sheet.steps, instruments=gauges(), defaults=defaults, phase=sheet.phase,
        initial={"step": sheet.next_step},
    )  # fmt: skip


def _saved(request, sheet: ReadingSheet):
    """The verdict of the point that was saved last, when the address asks for it."""
    try:
        return sheet.verdict_of(UUID(request.GET.get("saved", "")))
    except ValueError:
        return None


@phone_page
@gzip_page  # on slow networks the page is what is waited for; Django pads it against guessing from its length
@permission_required("measurements.add_reading", raise_exception=True)
@require_http_methods(["GET", "POST"])
def phone(request, pk):
    job = job_or_404(pk)
    phase = request.POST.get("phase") or request.GET.get("phase", "")
    sheet = reading_sheet_of(job, phase if phase in PHASES else usual_phase(job))
    form = _form(request, sheet)
    if request.method == "POST" and form.is_valid():
        try:
            point = record_point(job, sheet.phase, by=request.user, **form.recorded())
            return HttpResponseRedirect(
                f"{reverse('measurements:phone', args=[pk])}?phase={sheet.phase}&saved={point.pk}"
            )
        except ReadingRefused as refused:
            form.take_refusal(refused.errors)
    saved = _saved(request, sheet)
    context = {
        "job": job, "sheet": sheet, "form": form, "saved": saved, "hazards": hazards_before("proving"), "first": FIRST,
        "why_no_run": why_no_run(job) if sheet.phase == "after" and sheet.run is None else [],
        "data": (data := sheet_data(sheet, request.user)), "start": data["start"], "guided": SHEETS, "verdicts": WORST_FIRST,
    }  # fmt: skip
    if saved and saved.is_stop:
        return render(request, "measurements/phone/phone_stop.html", context)
    response = render(request, "measurements/phone/phone.html", context, status=422 if form.errors else 200)
    if sheet.phase == "before" or sheet.run:
        response["X-Sheet"] = "ready"  # the worker may show it before it has asked again
    return response


@permission_required("measurements.add_provingrun", raise_exception=True)
@require_POST
def start(request, pk):
    job = job_or_404(pk)
    back = "measurements:proving" if request.POST.get("from") == "proving" else "measurements:phone"
    try:
        run = start_run(job, request.user)
        messages.success(request, f"Proving run {run.number} has begun.")
    except RunRefused as refused:
        messages.error(request, str(refused))
    return redirect(back, pk)


@phone_page
@permission_required("measurements.add_reading", raise_exception=True)
@require_http_methods(["GET", "POST"])
def correct(request, pk):
    reading = reading_or_404(pk)
    point = reading.point
    form = CorrectionForm(request.POST or None, reading=reading)
    if request.method == "POST" and form.is_valid():
        try:
            correct_reading(reading, form.cleaned_data["value"], form.cleaned_data["reason"], request.user)
            return redirect(
                f"{reverse('measurements:phone', args=[point.job_id])}?phase={point.phase}&saved={point.pk}"
            )
        except ReadingRefused as refused:
            for name, text in refused.errors.items():
                form.add_error(name if name in form.fields else None, text)
    context = {"job": point.job, "point": point, "reading": reading, "form": form}
    return render(request, "measurements/readings/correct.html", context, status=422 if form.errors else 200)
