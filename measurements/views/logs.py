"""Logs of a job: upload, match the columns, look at what was found, take back."""

from pathlib import PurePath

import pandas as pd
from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import FileResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from measurements.access import job_or_404, log_or_404
from measurements.actions.logs import KnownLog, bytes_of, read_log, receive_log, show_channel, undo_log
from measurements.findings import current_plan
from measurements.forms.logs import LogUploadForm, MatchForm
from measurements.log_dialect import LogRefused, find_dialect
from measurements.log_names import CHANNELS
from measurements.log_plots import figure, strips
from measurements.models import LogFile
from measurements.plan_side import plan_limits
from measurements.pull_checks import judge_pulls
from measurements.sheet import usual_phase
from shop.models import JobCard


def _of(job: JobCard):
    return LogFile.objects.of(job).select_related("by", "run").prefetch_related("pulls")


@permission_required("measurements.view_reading", raise_exception=True)
@require_http_methods(["GET", "POST"])
def logs(request, pk):
    job = job_or_404(pk)
    form = LogUploadForm(request.POST or None, request.FILES or None, initial={"phase": usual_phase(job)})
    if request.method == "POST" and request.user.has_perm("measurements.add_logfile") and form.is_valid():
        file = form.cleaned_data["file"]
        try:
            log = receive_log(job, form.cleaned_data["phase"], PurePath(file.name).name, file.read(), request.user)
            return redirect("measurements:log_match", log.pk)
        except KnownLog as known:
            form.add_error("file", str(known))
        except LogRefused as refused:
            form.add_error("file", f"{file.name}: {refused}")
    context = {"section": "jobs", "job": job, "logs": _of(job), "form": form}
    status = 403 if request.method == "POST" and not request.user.has_perm("measurements.add_logfile") else 422
    return render(request, "measurements/logs.html", context, status=status if request.method == "POST" else 200)


@permission_required("measurements.view_reading", raise_exception=True)
@require_GET
def logs_panel(request, pk):
    job = job_or_404(pk)
    return render(request, "measurements/_logs.html", {"job": job, "logs": _of(job)})


@permission_required("measurements.add_logfile", raise_exception=True)
@require_http_methods(["GET", "POST"])
def log_match(request, pk):
    log = log_or_404(pk)
    form = MatchForm(request.POST or None, log=log)
    if request.method == "POST" and form.is_valid():
        try:
            read_log(log, form.mapping(), request.user)
            return redirect("measurements:log", pk)
        except LogRefused as refused:
            form.add_error(None, str(refused))
    dialect = find_dialect(bytes_of(log))
    context = {
        "section": "jobs", "job": log.job, "log": log, "form": form, "dialect": dialect, "rows": list(form.rows(dialect.first_rows)),
    }  # fmt: skip
    return render(request, "measurements/log_match.html", context, status=422 if form.errors else 200)


def _shown_column(column):
    ends = [show_channel(v, column.quantity) if v is not None else "none" for v in (column.lowest, column.highest)]
    return column, CHANNELS[column.quantity], *ends


@permission_required("measurements.view_reading", raise_exception=True)
@require_GET
def log(request, pk):
    row = log_or_404(pk)
    context = {"section": "jobs", "job": row.job, "log": row}
    if row.state == "read":
        table = pd.read_parquet(row.table.open("rb"))
        plan = row.run.plan if row.run else current_plan(row.job)
        pulls = list(row.pulls.all())
        context |= {
            "findings": row.finding.splitlines(),
            "columns": [_shown_column(c) for c in row.columns.all() if c.quantity],
            "unused": [c for c in row.columns.all() if not c.quantity],
            "pulls": judge_pulls(pulls, plan, row.phase),
            "strips": strips(table, pulls, plan_limits(plan, row.phase) if plan else []),
            "figure": figure(table, pulls, row.finding.split(".")[0].split(":")[0]),
        }
    return render(request, "measurements/log.html", context)


@permission_required("measurements.view_reading", raise_exception=True)
@require_GET
def log_file(request, pk):
    """The file as it was received."""
    row = log_or_404(pk)
    return FileResponse(row.file.open("rb"), as_attachment=True, filename=row.name, content_type="text/csv")


@permission_required("measurements.add_logfile", raise_exception=True)
@require_POST
def log_undo(request, pk):
    row = undo_log(log_or_404(pk), request.user)
    messages.success(request, f"Taken back: {row.name}. The file is kept; send it again to use it.")
    return redirect("measurements:logs", row.job_id)
