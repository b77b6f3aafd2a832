"""Logs of a job: upload, look at what was found, export, take back."""

from pathlib import PurePath
from typing import Any

import pandas as pd
from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import FileResponse, Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from measurements.access import log_or_404
from measurements.logs.actions import KnownLog, name_instruments, receive_log, undo_file, undo_log
from measurements.logs.alike import beside, laid_words
from measurements.logs.forms import LogInstrumentsForm, LogUploadForm
from measurements.logs.matches import bytes_of, understood
from measurements.logs.models import LogColumn, LogFile, LogFileQuerySet
from measurements.logs.parsing.names import CHANNELS, Channel
from measurements.logs.parsing.parts import Understood
from measurements.logs.plots import log_figure, strips
from measurements.logs.pulls.checks import judge_pulls
from measurements.logs.reading import read_alike, unmatched_of
from measurements.logs.words import plot_title
from measurements.long_work.logs import export_name, is_large, is_large_export, page_of_received, written
from measurements.papers.curve_plots import pulls_chart
from measurements.phone.sheet import usual_phase
from measurements.sentences.logs import show_channel
from measurements.verdict.findings import current_plan
from measurements.verdict.limit_table import plan_limits
from shop.access.requests import PersonRequest
from shop.jobs.access import job_or_404
from shop.jobs.models import JobCard
from shop.long_work.models import Work, WorkQuerySet
from shop.long_work.queue import about_job, ask
from sizing.tables.refused import FileRefused


def _of(job: JobCard) -> LogFileQuerySet:
    return LogFile.objects.of(job).select_related("by", "run").prefetch_related("pulls")


def _works(job: JobCard) -> WorkQuerySet:
    return Work.objects.shown_with(about_job(job)).filter(kind__in=["log_import", "log_reading"])


@permission_required("measurements.view_reading", raise_exception=True)
@require_http_methods(["GET", "POST"])
def logs(request: PersonRequest, pk: int) -> HttpResponse:
    job = job_or_404(pk)
    form = LogUploadForm(request.POST or None, request.FILES or None, initial={"phase": usual_phase(job)})
    if request.method == "POST" and request.user.has_perm("measurements.add_logfile") and form.is_valid():
        file, phase = form.cleaned_data["file"], form.cleaned_data["phase"]
        name = PurePath(file.name).name
        if is_large(name, file.size):
            return redirect(
                ask("log_import", request.user, about_job(job), received=file, job=job.pk, phase=phase, name=name)
            )
        try:
            log = receive_log(job, phase, name, file.read(), request.user)
            return redirect(page_of_received(log), log.pk)
        except KnownLog as known:
            form.add_error("file", str(known))
        except FileRefused as refused:
            form.add_error("file", f"{file.name}: {refused}")
    context = {"section": "jobs", "job": job, "logs": _of(job), "form": form, "works": _works(job)}
    status = 403 if request.method == "POST" and not request.user.has_perm("measurements.add_logfile") else 422
    return render(request, "measurements/logs/logs.html", context, status=status if request.method == "POST" else 200)


@permission_required("measurements.view_reading", raise_exception=True)
@require_GET
def logs_panel(request: PersonRequest, pk: int) -> HttpResponse:
    job = job_or_404(pk)
    return render(request, "measurements/logs/_logs.html", {"job": job, "logs": _of(job), "works": _works(job)})


@permission_required("measurements.add_logfile", raise_exception=True)
@require_http_methods(["GET", "POST"])
def log_recordings(request: PersonRequest, pk: int) -> HttpResponse:
    """A file that holds several recordings: which of them are kept."""
    log = log_or_404(pk)
    rows = sorted([log, *log.siblings()], key=lambda row: (row.recording, row.stretch))
    if request.method == "POST":
        keep = set(request.POST.getlist("keep"))
        kept = [row for row in rows if str(row.pk) in keep]
        if kept:
            for row in rows:
                if str(row.pk) not in keep:
                    undo_log(row, request.user)
            return redirect("measurements:log_match", kept[0].pk)
    found = understood(bytes_of(log)) if log.state != "refused" else Understood()
    parts = dict(enumerate(found.recordings, start=1))
    context = {
        "section": "jobs", "job": log.job, "log": log, "rows": [(row, parts.get(row.recording)) for row in rows], "not_logs": found.refused,
        "nothing_kept": request.method == "POST",
    }  # fmt: skip
    return render(
        request, "measurements/logs/log_recordings.html", context, status=422 if request.method == "POST" else 200
    )


def _shown_column(column: LogColumn) -> tuple[LogColumn, Channel, str, str]:
    low, high = (show_channel(v, column.quantity) if v is not None else "none" for v in (column.lowest, column.highest))
    return column, CHANNELS[column.quantity], low, high


@permission_required("measurements.view_reading", raise_exception=True)
@require_GET
def log(request: PersonRequest, pk: int) -> HttpResponse:
    row = log_or_404(pk)
    others = beside(row)
    context = {
        "section": "jobs",
        "job": row.job,
        "log": row,
        "beside": others,
        "laid": laid_words(row.layout) if row.layout else "",
        "follow": [other for other in others if other.may_follow],
    }
    if row.state == "read":
        table = pd.read_parquet(row.table.open("rb"))
        plan = row.run.plan if row.run else current_plan(row.job)
        pulls = list(row.pulls.all())
        context |= {
            "findings": row.told,
            "columns": [_shown_column(c) for c in row.columns.all() if c.quantity],
            "unused": [c for c in row.columns.all() if not c.quantity],
            "pulls": judge_pulls(pulls, plan, row.phase),
            "pulls_chart": pulls_chart(
                [(f"{i}", p.boost_curve) for i, p in enumerate(pulls, 1)], plan if row.phase == "after" else None
            ),
            "instruments": LogInstrumentsForm(log=row)
            if pulls and request.user.has_perm("measurements.add_logfile")
            else None,
            "strips": strips(table, pulls, plan_limits(plan, row.phase) if plan else []),
            "figure": log_figure(table, pulls, str(plot_title(row.told[0]))),
        }
    return render(request, "measurements/logs/log.html", context)


@permission_required("measurements.add_logfile", raise_exception=True)
@require_POST
def log_instruments(request: PersonRequest, pk: int) -> HttpResponse:
    row = log_or_404(pk)
    form = LogInstrumentsForm(request.POST, log=row)
    if form.is_valid():
        name_instruments(row, form.chosen(), request.user)
        messages.success(request, "Stored: with what the columns were read.")
    else:
        for errors in form.errors.values():
            messages.error(request, " ".join(map(str, errors)))
    return redirect("measurements:log", pk)


@permission_required("measurements.add_logfile", raise_exception=True)
@require_POST
def log_alike(request: PersonRequest, pk: int) -> HttpResponse:
    """Read the other recordings of the file again as this one was read."""
    row = log_or_404(pk)
    chosen = [other.log for other in beside(row) if other.may_follow]
    try:
        for line in read_alike(row, chosen, request.user):
            messages.success(request, str(line))
    except FileRefused as refused:
        messages.error(request, str(refused))
    return redirect("measurements:log", pk)


def _kind(name: str) -> str:
    """Never anything that a browser would open as a page."""
    return {".csv": "text/csv", ".txt": "text/plain", ".log": "text/plain", ".tsv": "text/tab-separated-values"}.get(
        PurePath(name).suffix.lower(), "application/octet-stream"
    )


@permission_required("measurements.view_reading", raise_exception=True)
@require_GET
def log_file(request: PersonRequest, pk: int) -> FileResponse:
    """The file as it was received."""
    row = log_or_404(pk)
    return FileResponse(row.file.open("rb"), as_attachment=True, filename=row.name, content_type=_kind(row.name))


def _exported(request: PersonRequest, pk: int, suffix: str, content_type: str) -> HttpResponseBase:
    """A file of the columns as read; with the unmatched ones as they stand in the file when asked for."""
    row = log_or_404(pk)
    if row.state != "read":
        raise Http404  # there are no columns yet, only the file as received
    with_raw = bool(request.GET.get("raw"))
    if is_large_export(row, with_raw):
        given: dict[str, Any] = {"log": row.pk, "name": row.name, "suffix": suffix, "with_raw": with_raw}
        return redirect(ask("log_export", request.user, about_job(row.job), **given))
    table = pd.read_parquet(row.table.open("rb"))
    try:
        raw = unmatched_of(row, table) if with_raw else {}
    except FileRefused as refused:
        messages.error(request, str(refused))
        return redirect("measurements:log", pk)
    name = export_name(row, suffix, bool(raw))
    return FileResponse(written(row, table, raw, suffix), as_attachment=True, filename=name, content_type=content_type)


@permission_required("measurements.view_reading", raise_exception=True)
@require_GET
def log_csv(request: PersonRequest, pk: int) -> HttpResponseBase:
    return _exported(request, pk, "csv", "text/csv; charset=utf-8")


@permission_required("measurements.view_reading", raise_exception=True)
@require_GET
def log_parquet(request: PersonRequest, pk: int) -> HttpResponseBase:
    return _exported(request, pk, "parquet", "application/vnd.apache.parquet")


@permission_required("measurements.add_logfile", raise_exception=True)
@require_POST
def log_undo(request: PersonRequest, pk: int) -> HttpResponse:
    row = log_or_404(pk)
    if request.POST.get("whole"):
        many = undo_file(row, request.user)
        messages.success(
            request,
            f"Taken back: {row.name}, {many} recording{'s' if many > 1 else ''}. The file is kept; send it again to use it.",
        )
    else:
        undo_log(row, request.user)
        messages.success(request, f"Taken back: {row}. The file is kept; send it again to use it.")
    return redirect("measurements:logs", row.job_id)
