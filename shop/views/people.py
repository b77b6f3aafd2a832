"""Customers, vehicles, the workshop's own page, its people, and the safety notes."""

import tempfile
from pathlib import Path

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required, permission_required
from django.db.models import Count
from django.http import FileResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shop.actions.facts import current_facts
from shop.actions.people import add_person
from shop.actions.second_factor import has_second_factor
from shop.backups import BackupError, write_backup
from shop.forms.jobs import CustomerForm, VehicleForm
from shop.forms.people import PersonForm, WorkshopForm
from shop.listing import Listing
from shop.models import Backup, Customer, Person, Vehicle
from shop.safety_notes import CHECKS, FIRST, HAZARDS


@permission_required("shop.view_customer", raise_exception=True)
@require_GET
def customers(request):
    found = Customer.objects.annotate(vehicle_count=Count("vehicles"))
    listing = Listing(request, found, {"name": ("name",), "vehicles": ("vehicle_count", "name")}, "name")
    return render(request, "shop/customers.html", {"section": "customers", "listing": listing})


@permission_required("shop.view_customer", raise_exception=True)
@require_GET
def customer(request, pk):
    row = get_object_or_404(Customer.objects.prefetch_related("vehicles__jobs"), pk=pk)
    return render(request, "shop/customer.html", {"section": "customers", "customer": row})


def _edit(request, form, title: str, back: str, section: str):
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "Stored.")
        return redirect(back)
    context = {"section": section, "form": form, "title": title, "back": back}
    return render(request, "shop/edit.html", context, status=422 if form.errors else 200)


@permission_required("shop.change_customer", raise_exception=True)
@require_http_methods(["GET", "POST"])
def customer_edit(request, pk):
    row = get_object_or_404(Customer, pk=pk)
    return _edit(
        request,
        CustomerForm(request.POST or None, instance=row),
        f"Change {row.name}",
        row.get_absolute_url(),
        "customers",
    )


@permission_required("shop.view_jobcard", raise_exception=True)
@require_GET
def vehicle(request, pk):
    row = get_object_or_404(Vehicle.objects.select_related("customer"), pk=pk)
    context = {
        "section": "jobs",
        "vehicle": row,
        "facts": list(current_facts(row).values()),
        "jobs": row.jobs.select_related("opened_by"),
        "history": row.facts.select_related("by").newest_first(),
    }
    return render(request, "shop/vehicle.html", context)


@permission_required("shop.change_vehicle", raise_exception=True)
@require_http_methods(["GET", "POST"])
def vehicle_edit(request, pk):
    row = get_object_or_404(Vehicle, pk=pk)
    return _edit(
        request, VehicleForm(request.POST or None, instance=row), f"Change {row}", row.get_absolute_url(), "jobs"
    )


@permission_required("shop.change_workshop", raise_exception=True)
@require_http_methods(["GET", "POST"])
def workshop(request):
    form = WorkshopForm(request.POST or None, instance=request.workshop)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "Stored.")
        return redirect("shop:workshop")
    context = {
        "section": "workshop",
        "form": form,
        "people": Person.objects.prefetch_related("groups"),
        "no_second_step": not has_second_factor(request.user),
        "last_backup": Backup.objects.select_related("by").first(),
    }
    return render(request, "shop/workshop.html", context, status=422 if form.errors else 200)


@permission_required("shop.add_backup", raise_exception=True)
@require_POST
def backup(request):
    """The whole workshop as one file to keep elsewhere."""
    folder = tempfile.TemporaryDirectory()
    file = Path(folder.name) / f"workshop-{timezone.localtime():%Y-%m-%d-%H%M}.zip"
    try:
        write_backup(file, request.user)
    except BackupError as error:
        messages.error(request, str(error))
        return redirect("shop:workshop")
    answer = FileResponse(file.open("rb"), as_attachment=True, filename=file.name)
    folder.cleanup()  # the open file outlives its name
    return answer


@permission_required("shop.add_person", raise_exception=True)
@require_http_methods(["GET", "POST"])
def person_new(request):
    form = PersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        add_person(**form.cleaned_data)
        messages.success(request, f"{form.cleaned_data['full_name']} can log in now.")
        return redirect("shop:workshop")
    context = {"section": "workshop", "form": form, "title": "Add a person", "back": "/workshop/"}
    return render(request, "shop/edit.html", context, status=422 if form.errors else 200)


@permission_required("shop.change_person", raise_exception=True)
@require_POST
def person_switch(request, pk):
    """Let a person in or keep them out. Nobody locks themselves out."""
    person = get_object_or_404(Person, pk=pk)
    if person == request.user:
        messages.error(request, "You cannot shut out yourself.")
    else:
        person.is_active = not person.is_active
        person.save(update_fields=["is_active"])
    return redirect("shop:workshop")


@login_not_required
@require_GET
def safety(request):
    return render(
        request, "shop/safety.html", {"section": "safety", "first": FIRST, "hazards": HAZARDS, "checks": CHECKS}
    )
