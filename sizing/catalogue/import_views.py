"""A CSV into the catalogue, and a compressor map onto a turbo: upload, look at what it would do, confirm."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from sizing.access import posted, sheet_or_404, turbo_or_404
from sizing.catalogue.actions import PreviewOutdated, import_rows, preview_import
from sizing.catalogue.import_forms import ConfirmForm, UploadForm
from sizing.catalogue.map_actions import export_map, read_map, replace_map
from sizing.catalogue.map_forms import MapConfirmForm, MapUploadForm
from sizing.catalogue.map_units import UNITS
from sizing.catalogue.show import map_lines, map_state, sheet_columns
from sizing.drawing.plots import map_chart
from sizing.tables.named import table_text
from sizing.tables.refused import FileRefused


@require_http_methods(["GET", "POST"])
@permission_required("sizing.change_turbo", raise_exception=True)
def import_sheet(request, slug):
    sheet = sheet_or_404(slug)
    form = UploadForm(posted(request), request.FILES or None)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data["file"].read()
        try:
            return _show_preview(request, sheet, preview_import(sheet, data), data)
        except FileRefused as error:
            form.add_error("file", str(error))
    context = {"section": "catalogue", "sheet": sheet, "form": form, "columns": sheet_columns(sheet)}
    return render(request, "sizing/catalogue/import.html", context, status=422 if request.method == "POST" else 200)


def _show_preview(request, sheet, preview, data, status=200):
    form = ConfirmForm(initial={"text": table_text(data), "digest": preview.digest})
    context = {"section": "catalogue", "sheet": sheet, "preview": preview, "form": form, "is_changed": status == 409}
    return render(request, "sizing/catalogue/import_preview.html", context, status=status)


@require_POST
@permission_required("sizing.change_turbo", raise_exception=True)
def confirm_import(request, slug):
    sheet = sheet_or_404(slug)
    form = ConfirmForm(request.POST)
    if not form.is_valid():
        messages.error(request, str(FileRefused("file.did_not_come")))
        return redirect("sizing:import", slug)
    data = form.cleaned_data["text"].encode()
    try:
        done = import_rows(sheet, data, form.cleaned_data["digest"])
    except PreviewOutdated as outdated:
        return _show_preview(request, sheet, outdated.preview, data, status=409)
    except FileRefused as error:
        messages.error(request, str(error))
        return redirect("sizing:import", slug)
    left_out = len({refusal.line for refusal in done.refused})
    text = f"{len(done.added)} added, {len(done.changed)} changed, {done.same_count} as they were, {left_out} left out."
    messages.success(request, text)
    return redirect("sizing:items", "pump" if slug == "plunger" else slug)


@require_http_methods(["GET", "POST"])
@permission_required("sizing.change_turbo", raise_exception=True)
def import_map(request, pk):
    turbo = turbo_or_404(pk)
    form = MapUploadForm(turbo, posted(request), request.FILES or None)
    context = {"section": "catalogue", "item": turbo, "form": form, "columns": UNITS.items()}
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data["file"].read()
        try:
            preview = read_map(data, form.settings)
            if not preview.refused:
                return _show_map(request, turbo, preview, form, table_text(data))
            context["refused"] = preview.refused
        except FileRefused as error:
            form.add_error(error.field, str(error))
    return render(request, "sizing/catalogue/map_import.html", context, status=422 if request.method == "POST" else 200)


def _show_map(request, turbo, preview, form, text):
    title = f"{len(preview.lines)} speed lines with {len(preview.points)} points; none cross"
    said = form.settings
    context = {
        "section": "catalogue",
        "item": turbo,
        "preview": preview,
        "chart": map_chart(preview.points, title),
        "lines": map_lines(preview),
        "form": MapConfirmForm(initial={**form.cleaned_data, "text": text}),
        "given": form.cleaned_data,
        "state": map_state(said.temperature_k, said.pressure_kpa),
        "had_map": turbo.map_points.exists(),
    }
    return render(request, "sizing/catalogue/map_preview.html", context)


@require_POST
@permission_required("sizing.change_turbo", raise_exception=True)
def confirm_map(request, pk):
    turbo = turbo_or_404(pk)
    form = MapConfirmForm(request.POST)
    try:
        if not form.is_valid():
            raise FileRefused("file.did_not_come")
        preview = read_map(form.cleaned_data["text"].encode(), form.settings)
        if preview.refused:
            raise FileRefused("file.has_changed")
    except FileRefused as error:
        messages.error(request, str(error))
        return redirect("sizing:import_map", pk)
    replace_map(turbo, preview.points, form.settings.temperature_k, form.settings.pressure_kpa)
    messages.success(request, f"Map with {len(preview.lines)} speed lines stored.")
    return redirect(turbo)


@require_GET
@permission_required("sizing.view_turbo", raise_exception=True)
def map_csv(request, pk):
    turbo = turbo_or_404(pk)
    response = HttpResponse(export_map(turbo), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="compressor-map-{turbo.pk}.csv"'
    return response
