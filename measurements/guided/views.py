"""The guided sheets at the vehicle: survey, benches, leak test, smoke, oil feed."""

import uuid

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from measurements.guided.actions import record_entry, record_sheet_photo
from measurements.guided.bench_address import bench_address
from measurements.guided.entries import cylinder_count, photos_of, standing_entries
from measurements.guided.forms import GuidedForm, item_rows
from measurements.guided.sheets import SHEET, SHEETS
from measurements.guided.survey_findings import survey_address, survey_findings
from measurements.phone.kept_views import phone_page
from measurements.readings.actions import ReadingRefused
from measurements.verdict.findings import current_plan
from shop.jobs.access import job_or_404
from shop.jobs.forms import PhotoForm
from shop.safety.notes import FIRST, hazards_before
from sizing.plans.models import Plan


def _sheet_or_404(slug: str):
    if slug not in SHEET:
        raise Http404
    return SHEET[slug]


@phone_page
@gzip_page
@permission_required("measurements.add_reading", raise_exception=True)
@require_http_methods(["GET", "POST"])
def guided_sheet(request, pk, slug):
    job, sheet = job_or_404(pk), _sheet_or_404(slug)
    form = GuidedForm(
        request.POST or None, sheet=sheet, cylinders=cylinder_count(job), current=standing_entries(job, slug)
    )
    if request.method == "POST" and form.is_valid():
        try:
            for item, place, value, choice in form.found():
                entry_id = uuid.uuid5(form.cleaned_data["batch_id"], f"{item.slug}:{place}")
                record_entry(job, slug, item.slug, place, value, choice, request.user, entry_id)
            messages.success(request, "Stored.")
            return redirect(sheet.leads_to, pk) if sheet.leads_to else redirect("measurements:guided_sheet", pk, slug)
        except ReadingRefused as refused:
            form.add_error(None, str(refused))
    context = {
        "plan": current_plan(job) if slug == "pump_bench" and request.user.has_perm("sizing.view_plan") else None,
        "job": job, "guided": sheet, "form": form, "others": [s for s in SHEETS if s.slug != slug], "photos": photos_of(job, slug),
        "hazards": hazards_before(sheet.before), "first": FIRST, "photo_id": uuid.uuid4(),
        "data": {"job": job.pk, "number": job.number, "sheet": slug, "title": sheet.title, "items": item_rows(form), "printed_at": timezone.now()},
    }  # fmt: skip
    response = render(request, "measurements/guided/guided_sheet.html", context, status=422 if form.errors else 200)
    response["X-Sheet"] = "ready"
    return response


@permission_required("shop.add_survey", raise_exception=True)
@require_GET
def survey_sheet(request, pk):
    """Leads to the shop's survey sheet, filled with what was found at the engine."""
    job = job_or_404(pk)
    if not survey_findings(job):
        messages.info(request, "Nothing was found at the engine yet: the sheet is empty.")
    return redirect(survey_address(job))


@permission_required("sizing.view_plan", raise_exception=True)
@require_GET
def bench_of_plan(request, plan_pk):
    """Leads to the plan's bench sheet, filled with the lines that the guided sheet of its job holds."""
    plan = get_object_or_404(Plan, pk=plan_pk)
    address, found = bench_address(plan)
    if not found:
        messages.info(request, "The job's pump bench sheet has no full-load delivery yet.")
    return redirect(address)


@permission_required("measurements.add_reading", raise_exception=True)
@require_POST
def guided_photo(request, pk, slug):
    """Without script; with it the outbox sends the photo."""
    job, sheet = job_or_404(pk), _sheet_or_404(slug)
    form = PhotoForm({"caption": ""}, request.FILES)
    try:
        if form.is_valid():
            record_sheet_photo(
                job, sheet.slug, form.cleaned_data["image"], request.user, uuid.UUID(request.POST.get("photo_id", ""))
            )
            messages.success(request, "The photo is stored.")
        else:
            messages.error(request, " ".join(text for texts in form.errors.values() for text in texts))
    except ReadingRefused as refused:
        messages.error(request, str(refused))
    except ValueError:
        messages.error(request, "The photo came without its id. Open the page anew and send it again.")
    return redirect("measurements:guided_sheet", pk, slug)
