"""Matching the columns of a log: how the text is laid out, what each column is, and what would come of it."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from measurements.access import log_or_404
from measurements.logs.forms import LayoutForm, MatchForm
from measurements.logs.matches import layout_of, mapping_of, match_of, recording_of, remembered_columns
from measurements.logs.models import LogFile
from measurements.logs.parsing.dialect import Layout, LayoutRefused
from measurements.logs.parsing.file import Mapping
from measurements.logs.parsing.match import without_unit
from measurements.logs.parsing.parts import Recording
from measurements.logs.reading import read_log, read_waiting_alike, stretches_of, waiting_alike
from measurements.long_work.logs import is_large, mapping_to
from shop.access.requests import PersonRequest
from shop.long_work.queue import about_job, ask
from sizing.tables.refused import FileRefused


def _looked_at(log: LogFile, recording: Recording, mapping: Mapping) -> dict[str, Any]:
    """What would come of it if it were read so: nothing is stored."""
    try:
        stretches = stretches_of(log, recording, mapping)
    except FileRefused as refused:
        return {"refused": str(refused)}
    mine = next((s for s in stretches if s.table.stretch == log.stretch), stretches[0])
    return {
        "table": mine.table,
        "lines": [*recording.told, *mine.told],
        "stretches": len(stretches),
        "first": log.stretch == 1,
    }


def _laid_out(log: LogFile, laid: LayoutForm) -> tuple[Recording, Layout]:
    """The recording as the form asks for it; as it was said last where it cannot be laid out so, with the reason."""
    layout = laid.layout()
    try:
        recording = recording_of(log, layout)
    except LayoutRefused as refused:
        laid.add_error(None, str(refused))
        recording, layout = recording_of(log), laid.said
    laid.tell(recording.found_as, recording.is_long)
    return recording, layout


def _columns(log: LogFile, recording: Recording, layout: Layout) -> list[tuple[str, str, str]]:
    header = recording.dialect.header
    if layout == layout_of(log):
        known = mapping_of(log)
        pairs = [known.get(i, ("", "")) for i in range(len(header))]
    else:
        pairs = remembered_columns(recording.dialect, log.header_mark, layout)
    return [(name, *pair) for name, pair in zip(header, pairs, strict=True)]


@permission_required("measurements.add_logfile", raise_exception=True)
@require_http_methods(["GET", "POST"])
def log_match(request: PersonRequest, pk: int) -> HttpResponse:
    log = log_or_404(pk)
    laid = LayoutForm(request.POST if request.method == "POST" else request.GET, said=layout_of(log))
    try:
        recording, layout = _laid_out(log, laid)
    except FileRefused as refused:
        return render(
            request, "measurements/logs/log.html", {"section": "jobs", "job": log.job, "log": log, "why": str(refused)}
        )
    form = MatchForm(request.POST or None, columns=_columns(log, recording, layout))
    if request.method == "POST" and form.is_valid() and laid.is_valid() and "look" not in request.POST:
        try:
            return _read(request, log, form.mapping(), layout)
        except FileRefused as refused:
            form.add_error(None, str(refused))
    return render(
        request,
        "measurements/logs/log_match.html",
        _shown(log, recording, layout, laid, form),
        status=422 if form.errors or laid.errors else 200,
    )


def _read(request: PersonRequest, log: LogFile, mapping: Mapping, layout: Layout) -> HttpResponse:
    alike = bool(request.POST.get("alike"))
    if is_large(log.name, log.size_bytes):
        given: dict[str, Any] = {
            "log": log.pk,
            "name": log.name,
            "mapping": mapping_to(mapping),
            "layout": layout.said(),
            "alike": alike,
        }
        return redirect(ask("log_reading", request.user, about_job(log.job), **given))
    read_log(log, mapping, request.user, layout=layout)
    for line in read_waiting_alike(log, mapping, layout, request.user) if alike else []:
        messages.error(request, str(line))
    return redirect("measurements:log", log.pk)


def _shown(log: LogFile, recording: Recording, layout: Layout, laid: LayoutForm, form: MatchForm) -> dict[str, Any]:
    look = form.is_bound or not is_large(log.name, log.size_bytes)  # a large one only when somebody asks for it
    mapping = form.mapping() if form.is_bound and form.is_valid() else None if form.is_bound else form.proposed()
    match = match_of(log.header_mark)
    return {
        "section": "jobs", "job": log.job, "log": log, "form": form, "laid": laid, "recording": recording, "dialect": recording.dialect,
        "layout": layout.words(), "alike": waiting_alike(log), "rows": list(form.rows(recording.dialect.first_rows, without_unit(recording.dialect))),
        "match": match if match and match.layout == layout.said() else None, "looked": _looked_at(log, recording, mapping) if mapping and look else None, "unlooked": not look,
    }  # fmt: skip
