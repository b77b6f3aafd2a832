"""The workshop's own page, and its backup."""

import tempfile
from pathlib import Path

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import FileResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from shop.access.actions import has_second_factor
from shop.access.models import Person
from shop.workshop.backups import BackupError, write_backup
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
