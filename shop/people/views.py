"""Customers and vehicles."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.db.models import Count
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from shop.people.forms import CustomerForm, VehicleForm
from shop.people.models import Customer, Vehicle
from shop.survey.actions import current_facts
from shop.web.listing import Listing


@permission_required("shop.view_customer", raise_exception=True)
@require_GET
def customers(request):
    found = Customer.objects.annotate(vehicle_count=Count("vehicles"))
    listing = Listing(request, found, {"name": ("name",), "vehicles": ("vehicle_count", "name")}, "name")
    return render(request, "shop/people/customers.html", {"section": "customers", "listing": listing})


@permission_required("shop.view_customer", raise_exception=True)
@require_GET
def customer(request, pk):
    row = get_object_or_404(Customer.objects.prefetch_related("vehicles__jobs"), pk=pk)
    return render(request, "shop/people/customer.html", {"section": "customers", "customer": row})


def _edit(request, form, title: str, back: str, section: str):
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "Stored.")
        return redirect(back)
    context = {"section": section, "form": form, "title": title, "back": back}
    return render(request, "shop/people/edit.html", context, status=422 if form.errors else 200)


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
    return render(request, "shop/people/vehicle.html", context)


@permission_required("shop.change_vehicle", raise_exception=True)
@require_http_methods(["GET", "POST"])
def vehicle_edit(request, pk):
    row = get_object_or_404(Vehicle, pk=pk)
    return _edit(
        request, VehicleForm(request.POST or None, instance=row), f"Change {row}", row.get_absolute_url(), "jobs"
    )
