"""The list of jobs, the job card and its page."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.db import transaction
from django.db.models import F
from django.http import FileResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from shop.jobs.actions import EditCrossed, add_photo, change_job, open_job
from shop.jobs.forms import JobForm, PhotoForm
from shop.jobs.models import JobCard, JobPhoto, JobPlan
from shop.jobs.stages import ORDER, STAGES
from shop.people.forms import CustomerForm, VehicleForm
from shop.people.models import Customer, Vehicle
from shop.safety.notes import CHECKS, signed
from shop.survey.actions import current_facts
from shop.web.listing import Listing
from shop.web.once import once, post_id
from shop.web.qr import qr_svg
from sizing.plans.models import Plan

SORTS = {
    "number": ("number",),
    "due": (F("due_on"),),
    "customer": ("vehicle__customer__name",),
    "vehicle": ("vehicle__registration",),
    "stage": ("stage", "number"),
}


@permission_required("shop.view_jobcard", raise_exception=True)
@require_GET
def home(request):
    stage = request.GET.get("stage", "open")
    jobs = JobCard.objects.with_people().in_state(stage)
    listing = Listing(request, jobs, SORTS, "-number")
    context = {
        "section": "jobs",
        "listing": listing,
        "stage": stage,
        "stages": STAGES,
        "today": timezone.localdate(),
        "any_job": listing.page.paginator.count or JobCard.objects.exists(),
    }
    return render(request, "shop/jobs/home.html", context)


@permission_required("shop.view_jobcard", raise_exception=True)
@require_GET
def job(request, pk):
    card = get_object_or_404(JobCard.objects.with_people(), pk=pk)
    context = {
        "section": "jobs",
        "job": card,
        "track": _track(card),
        "facts": list(current_facts(card.vehicle).values()),
        "survey": card.surveys.last(),
        "job_plans": card.job_plans.select_related("plan__turbo", "plan__cooler"),
        "quotes": card.quotes.prefetch_related("lines"),
        "fitments": card.fitments.select_related("turbo", "cooler", "air_cleaner", "pump"),
        "parts": card.fitted_parts.all(),
        "checks": [(check, signed(card).get(check.slug)) for check in CHECKS] if card.fitments.exists() else [],
        "photos": card.photos.all(),
        "follow_ups": card.follow_ups.all(),
        "failures": card.failures.all(),
        "events": card.events.select_related("by").order_by("-at", "-pk"),
    }
    return render(request, "shop/jobs/job.html", context)


def _track(card: JobCard) -> list[tuple[str, str]]:
    if card.stage == "called_off":
        return [(label, "") for _, label in STAGES[:-1]] + [("called off", "here")]
    here = ORDER.index(card.stage)
    return [(label, "done" if i < here else "here" if i == here else "") for i, (_, label) in enumerate(STAGES[:-1])]


@permission_required("shop.add_jobcard", raise_exception=True)
@require_http_methods(["GET", "POST"])
def job_new(request):
    """Walk-in: customer, vehicle and wish on one sheet; or a new job for a vehicle that is known."""
    vehicle = (
        get_object_or_404(Vehicle, pk=request.GET["vehicle"]) if request.GET.get("vehicle", "").isdigit() else None
    )
    customer = vehicle.customer if vehicle else None
    if not customer and request.GET.get("customer", "").isdigit():
        customer = get_object_or_404(Customer, pk=request.GET["customer"])
    data = request.POST or None
    forms = {
        "customer_form": None if customer else CustomerForm(data, prefix="customer"),
        "vehicle_form": None if vehicle else VehicleForm(data, prefix="vehicle"),
        "job_form": JobForm(data, prefix="job"),
    }
    wanted = [form for form in forms.values() if form]
    # All are asked, so that every mistake is said at once.
    checked = [form.is_valid() for form in wanted]
    valid = request.method == "POST" and all(checked)
    if valid:
        with once(request, "job") as slot:
            if slot.is_new:
                slot.store(_open(forms, customer, vehicle, request.user).pk)
        return redirect("shop:job", slot.stored)
    context = {"section": "jobs", "customer": customer, "vehicle": vehicle, "post_id": post_id(request), **forms}
    return render(request, "shop/jobs/job_new.html", context, status=422 if request.method == "POST" else 200)


@transaction.atomic
def _open(forms, customer, vehicle, by) -> JobCard:
    customer = customer or forms["customer_form"].save()
    if vehicle is None:
        vehicle = forms["vehicle_form"].save(commit=False)
        vehicle.customer = customer
        vehicle.save()
    return open_job(vehicle, by=by, **forms["job_form"].cleaned_data)


@permission_required("shop.change_jobcard", raise_exception=True)
@require_http_methods(["GET", "POST"])
def job_edit(request, pk):
    card = get_object_or_404(JobCard, pk=pk)
    version = int(request.POST.get("version", card.version)) if request.POST.get("version", "1").isdigit() else 0
    form = JobForm(request.POST or None, instance=JobCard.objects.get(pk=pk))
    crossed = None
    if request.method == "POST" and form.is_valid():
        try:
            change_job(card, version, form.cleaned_data, request.user)
            return redirect("shop:job", pk)
        except EditCrossed as error:
            crossed = [
                (form.fields[name].label or name, form.cleaned_data[name], getattr(error.current, name))
                for name in form.cleaned_data
                if form.cleaned_data[name] != getattr(error.current, name)
            ]
            version = error.current.version
    context = {"section": "jobs", "job": card, "form": form, "version": version, "crossed": crossed}
    status = 409 if crossed is not None else 422 if form.errors else 200
    return render(request, "shop/jobs/job_edit.html", context, status=status)


@permission_required("shop.view_jobcard", raise_exception=True)
@require_GET
def job_print(request, pk):
    """The printed job card, with a code that leads a phone to this job."""
    card = get_object_or_404(JobCard.objects.with_people(), pk=pk)
    address = request.build_absolute_uri(card.get_absolute_url())
    context = {
        "job": card,
        "address": address,
        "qr": qr_svg(address),
        "facts": list(current_facts(card.vehicle).values()),
        "survey": card.surveys.last(),
        "overrides": card.events.exclude(override_reason="").select_related("by"),
    }
    return render(request, "shop/jobs/job_print.html", context)


@permission_required("shop.add_jobphoto", raise_exception=True)
@require_http_methods(["GET", "POST"])
def photo_new(request, pk):
    card = get_object_or_404(JobCard, pk=pk)
    form = PhotoForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        add_photo(card, form.cleaned_data["image"], form.cleaned_data["caption"], request.user)
        messages.success(request, "The photo is stored.")
        return redirect("shop:job", pk)
    context = {
        "section": "jobs",
        "job": card,
        "form": form,
        "title": "Add a photo",
        "button": "Store the photo",
        "is_upload": True,
    }
    return render(request, "shop/jobs/job_form.html", context, status=422 if form.errors else 200)


@permission_required("shop.view_jobcard", raise_exception=True)
@require_GET
def photo(request, pk):
    """Photos are served by the app, so that only people who are logged in see them."""
    row = get_object_or_404(JobPhoto, pk=pk)
    return FileResponse(
        row.image.open("rb"), headers={"X-Content-Type-Options": "nosniff", "Cache-Control": "private, max-age=86400"}
    )


@permission_required("shop.view_jobcard", raise_exception=True)
@require_GET
def job_of_plan(request, plan_pk):
    found = JobPlan.objects.filter(plan_id=plan_pk).first()
    if found is None:
        plan = get_object_or_404(Plan, pk=plan_pk)
        messages.info(request, f"No job has the plan {plan}.")
        return redirect(plan)
    return redirect("shop:job", found.job_id)
