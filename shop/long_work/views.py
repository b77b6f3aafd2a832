"""How far long work has come, what came of it, and trying again."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import FileResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_POST
from django_htmx.http import HttpResponseClientRedirect

from shop.long_work.kinds import WorkRefused
from shop.long_work.models import LOST_S, Work, WorkerSeen
from shop.long_work.queue import ask_again
from sizing.said import Said

SHOWN = 50


def _work_or_404(request, pk: int) -> Work:
    """Of whoever asked for it, and of the owner; in either case only for those who may do such work."""
    work = get_object_or_404(Work.objects.select_related("by"), pk=pk)
    mine = work.by_id == request.user.pk or request.user.has_perm("shop.change_workshop")
    if not mine or not request.user.has_perm(work.of_kind.permission):
        raise PermissionDenied("This was asked for by somebody else.")
    return work


def _context(work: Work) -> dict:
    unseen_s = WorkerSeen.last_seen_s() if work.is_under_way else 0.0
    return {
        "section": "", "work": work, "ahead": Work.objects.under_way().filter(pk__lt=work.pk).count(),
        "nobody_works": unseen_s is None or unseen_s > LOST_S,
        "nobody_since": WorkerSeen.objects.order_by("-at").first(),
    }  # fmt: skip


@require_GET
def work(request, pk):
    row = _work_or_404(request, pk)
    if row.state == "done" and row.leads_to:
        for line in row.said:
            messages.success(request, str(Said.of(line)))
        Work.objects.filter(pk=pk).update(said=[])  # said once
        name, *args = row.leads_to
        return redirect(name, *args)
    return render(request, "shop/long_work/work.html", _context(row))


@require_GET
def work_panel(request, pk):
    """Asked for once a second by a page that is open; when it has ended the whole page is shown anew."""
    row = _work_or_404(request, pk)
    if not row.is_under_way and request.htmx:
        return HttpResponseClientRedirect(row.get_absolute_url())
    return render(request, "shop/long_work/_work.html", _context(row))


@require_POST
def work_again(request, pk):
    row = _work_or_404(request, pk)
    try:
        return redirect(ask_again(row, request.user))
    except WorkRefused as refused:
        messages.error(request, str(refused))
        return redirect(row)


@require_GET
def work_file(request, pk):
    row = _work_or_404(request, pk)
    try:
        file = row.made.open("rb") if row.made else None
    except FileNotFoundError:
        file = None
    if file is None:
        messages.error(request, "This file is not kept any more. Ask for it again on the page where it was made.")
        return redirect("shop:works")
    return FileResponse(file, as_attachment=True, filename=row.made_name)


@require_GET
def works(request):
    """What was asked for last: the owner sees everybody's."""
    rows = Work.objects.select_related("by")
    if not request.user.has_perm("shop.change_workshop"):
        rows = rows.filter(by=request.user)
    return render(request, "shop/long_work/works.html", {"section": "", "works": rows[:SHOWN]})
