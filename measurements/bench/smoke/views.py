"""The guided smoke test, for the phone first, and the owner's table of limits."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from measurements.bench.smoke.actions import add_examples, add_snap, correct_snap, start_smoke_test
from measurements.bench.smoke.forms import LimitForm, SnapCorrectionForm, SnapForm, StartForm
from measurements.bench.smoke.models import SmokeLimit, SmokeSnap, SmokeTest
from measurements.bench.smoke.page import SmokePage, rated_power_kw
from measurements.phone.kept_views import phone_page
from measurements.phone.sheet import usual_phase
from measurements.readings.actions import ReadingRefused
from shop.jobs.access import job_or_404
from shop.safety.notes import FIRST, hazards_before


@phone_page
@permission_required("measurements.add_reading", raise_exception=True)
@require_http_methods(["GET", "POST"])
def smoke_test(request, pk):
    """Begin a test, and see those that were made."""
    job = job_or_404(pk)
    form = StartForm(request.POST or None, initial={"phase": usual_phase(job), "rated_power_kw": rated_power_kw(job)})
    if request.method == "POST" and form.is_valid():
        try:
            test = start_smoke_test(job, by=request.user, **form.recorded())
            return redirect("measurements:smoke_snaps", test.pk)
        except ReadingRefused as refused:
            form.take_refusal(refused)
    tests = [SmokePage(test) for test in SmokeTest.objects.of(job).with_snaps()]
    context = {"job": job, "form": form, "tests": tests, "hazards": hazards_before("smoke"), "first": FIRST}
    return render(request, "measurements/bench/smoke/smoke_test.html", context, status=422 if form.errors else 200)


def _test_or_404(pk) -> SmokeTest:
    return get_object_or_404(SmokeTest.objects.with_snaps().select_related("job__vehicle"), pk=pk)


@phone_page
@permission_required("measurements.add_reading", raise_exception=True)
@require_http_methods(["GET", "POST"])
def smoke_snaps(request, pk):
    page = SmokePage(_test_or_404(pk))
    form = SnapForm(request.POST or None, test=page.test, is_clearing=page.is_clearing)
    if request.method == "POST" and form.is_valid():
        try:
            add_snap(page.test, form.cleaned_data["value"], request.user, form.cleaned_data["snap_id"])
            return redirect("measurements:smoke_snaps", pk)
        except ReadingRefused as refused:
            form.take_refusal(refused)
    context = {"job": page.test.job, "page": page, "form": form, "hazards": hazards_before("smoke"), "first": FIRST}
    return render(request, "measurements/bench/smoke/smoke_snaps.html", context, status=422 if form.errors else 200)


@phone_page
@permission_required("measurements.add_reading", raise_exception=True)
@require_http_methods(["GET", "POST"])
def smoke_correct(request, pk):
    snap = get_object_or_404(SmokeSnap.objects.select_related("test__job__vehicle"), pk=pk)
    form = SnapCorrectionForm(request.POST or None, test=snap.test)
    if request.method == "POST" and form.is_valid():
        try:
            correct_snap(snap, form.cleaned_data["value"], form.cleaned_data["reason"], request.user)
            return redirect("measurements:smoke_snaps", snap.test_id)
        except ReadingRefused as refused:
            form.take_refusal(refused)
    context = {"job": snap.test.job, "snap": snap, "form": form}
    return render(request, "measurements/bench/smoke/smoke_correct.html", context, status=422 if form.errors else 200)


@permission_required("measurements.view_reading", raise_exception=True)
@require_GET
def smoke_limits(request):
    context = {"section": "instruments", "rows": SmokeLimit.objects.all()}
    return render(request, "measurements/bench/smoke/smoke_limits.html", context)


@permission_required("measurements.change_smokelimit", raise_exception=True)
@require_http_methods(["GET", "POST"])
def smoke_limit(request, pk=None):
    """Add one or change one; the name is taken once, so sending the form twice adds one."""
    row = get_object_or_404(SmokeLimit, pk=pk) if pk else None
    form = LimitForm(request.POST or None, instance=row)
    if request.method == "POST" and form.is_valid():
        messages.success(request, f"Stored: {form.save()}.")
        return redirect("measurements:smoke_limits")
    return render(
        request,
        "measurements/bench/smoke/smoke_limit.html",
        {"section": "instruments", "form": form},
        status=422 if form.errors else 200,
    )


@permission_required("measurements.add_smokelimit", raise_exception=True)
@require_POST
def smoke_examples(request):
    messages.success(request, f"{add_examples()} published examples added; rows that stood there are as they were.")
    return redirect("measurements:smoke_limits")
