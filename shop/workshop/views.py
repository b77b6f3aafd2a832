"""The workshop's own page, and its backup."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from shop.access.actions import has_second_factor
from shop.access.models import Person
from shop.long_work.queue import ask
from shop.workshop.forms import WorkshopForm
from shop.workshop.models import Backup


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
    return render(request, "shop/workshop/workshop.html", context, status=422 if form.errors else 200)


@permission_required("shop.add_backup", raise_exception=True)
@require_POST
def backup(request):
    """The whole workshop as one file to keep elsewhere: always by the worker, it grows with every photo and log."""
    return redirect(ask("backup", request.user))
