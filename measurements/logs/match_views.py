"""Matching the columns of a log: how the text is laid out, what each column is, and what would come of it."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from measurements.access import log_or_404
from measurements.logs.forms import LayoutForm, MatchForm
from measurements.logs.matches import layout_of, mapping_of, match_of, recording_of, remembered_columns
from measurements.logs.models import LogFile
from measurements.logs.parsing.dialect import Layout, LayoutRefused
from measurements.logs.parsing.match import without_unit
from measurements.logs.parsing.parts import Recording
from measurements.logs.reading import read_log, stretches_of
from sizing.tables.refused import FileRefused


def _looked_at(log: LogFile, recording: Recording, mapping) -> dict:
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


def _like(log: LogFile) -> list[LogFile]:
    """Recordings of the same file with the same header that wait to be matched."""
    return [row for row in log.siblings() if row.state == "received" and row.header_mark == log.header_mark]


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
def log_match(request, pk):
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
            read_log(log, form.mapping(), request.user, layout=layout)
            for line in _read_alike(log, recording, form, layout, request.user) if request.POST.get("alike") else []:
                messages.error(request, line)
            return redirect("measurements:log", pk)
        except FileRefused as refused:
            form.add_error(None, str(refused))
    return render(
        request,
        "measurements/logs/log_match.html",
        _shown(log, recording, layout, laid, form),
        status=422 if form.errors or laid.errors else 200,
    )


def _shown(log: LogFile, recording: Recording, layout: Layout, laid: LayoutForm, form: MatchForm) -> dict:
    mapping = form.mapping() if form.is_bound and form.is_valid() else None if form.is_bound else form.proposed()
    match = match_of(log.header_mark)
    return {
        "section": "jobs", "job": log.job, "log": log, "form": form, "laid": laid, "recording": recording, "dialect": recording.dialect,
        "layout": layout.words(), "alike": _like(log), "rows": list(form.rows(recording.dialect.first_rows, without_unit(recording.dialect))),
        "match": match if match and match.layout == layout.said() else None, "looked": _looked_at(log, recording, mapping) if mapping else None,
    }  # fmt: skip


def _read_alike(log: LogFile, recording: Recording, form: MatchForm, layout: Layout, by) -> list[str]:
    """Those that wait with the same header. One that was found to be laid out otherwise keeps what was found."""
    refused = []
    for row in _like(log):
        try:
            same = recording_of(row).found_as == recording.found_as
            read_log(row, form.mapping(), by, layout=layout if same else None)
        except FileRefused as error:
            refused.append(f"{row}: {error}")
    return refused
