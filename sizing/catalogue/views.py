"""Lists of the catalogue, and the page of one thing."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from sizing.access import item_or_404, kind_or_404, posted, sheet_or_404
from sizing.catalogue.actions import export_csv, retire
from sizing.catalogue.forms import FilterForm, PlungerForm, item_form
from sizing.catalogue.kinds import KINDS
from sizing.catalogue.models import Plunger, Pump
from sizing.catalogue.show import fact_groups, form_sections, list_row, map_state
from sizing.drawing.map_lines import speed_lines
from sizing.drawing.plots import map_chart

PAGE_ROWS = 50


@require_GET
@permission_required("sizing.view_turbo", raise_exception=True)
def items(request, slug="turbo"):
    kind = kind_or_404(slug)
    form = FilterForm(kind, request.GET)
    is_clear = form.is_valid()
    page = Paginator(form.found(kind.model.objects.for_list()), PAGE_ROWS).get_page(request.GET.get("page"))
    query = request.GET.copy()
    query.pop("page", None)
    context = {
        "section": "catalogue",
        "kind": kind,
        "kinds": KINDS.values(),
        "form": form,
        "page": page,
        "query": query.urlencode(),
        "rows": [list_row(kind, item) for item in page],
        "plunger_sheet": kind.slug == "pump",
    }
    return render(request, "sizing/catalogue/items.html", context, status=200 if is_clear else 422)


@require_GET
@permission_required("sizing.view_turbo", raise_exception=True)
def export(request, slug):
    sheet = sheet_or_404(slug)
    kind = KINDS["pump" if slug == "plunger" else slug]
    form = FilterForm(kind, request.GET)
    form.is_valid()
    things = form.found(kind.model.objects.all())
    if slug == "plunger":
        things = Plunger.objects.of(things)
    response = HttpResponse(export_csv(sheet, things), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{sheet.many.replace(" ", "-")}.csv"'
    return response


@require_GET
@permission_required("sizing.view_turbo", raise_exception=True)
def item(request, slug, pk):
    kind, thing = item_or_404(slug, pk)
    return render(request, "sizing/catalogue/item.html", _item_context(kind, thing))


def _item_context(kind, thing, plunger_form=None):
    context = {"section": "catalogue", "kind": kind, "item": thing, "groups": fact_groups(kind, thing)}
    if kind.slug == "turbo":
        points = list(thing.map_points.all())
        lines = len(speed_lines(points))
        state = map_state(thing.map_temperature_k, thing.map_pressure_kpa)
        title = (
            f"{lines} speed lines, labelled in rpm; left of the dotted edge the compressor surges. Reference: {state}"
        )
        context["map"] = map_chart(points, title) if points else None
        context["points"] = points
    if kind.slug == "pump":
        context["plungers"] = thing.plungers.all()
        context["plunger_form"] = plunger_form or PlungerForm(initial={"pump": thing})
    return context


@require_http_methods(["GET", "POST"])
@permission_required("sizing.add_turbo", raise_exception=True)
def add(request, slug):
    kind = kind_or_404(slug)
    return _edit(request, kind, item_form(kind)(posted(request)))


@require_http_methods(["GET", "POST"])
@permission_required("sizing.change_turbo", raise_exception=True)
def edit(request, slug, pk):
    kind, thing = item_or_404(slug, pk)
    return _edit(request, kind, item_form(kind)(posted(request), instance=thing))


def _edit(request, kind, form):
    if request.method == "POST" and form.is_valid():
        thing = form.save()
        messages.success(request, f"{thing} is in the catalogue.")
        return redirect(thing)
    context = {
        "section": "catalogue",
        "kind": kind,
        "form": form,
        "item": form.instance if form.instance.pk else None,
        "sections": form_sections(kind, form),
    }
    return render(request, "sizing/catalogue/item_form.html", context, status=422 if request.method == "POST" else 200)


@require_POST
@permission_required("sizing.change_turbo", raise_exception=True)
def retire_item(request, slug, pk):
    _, thing = item_or_404(slug, pk)
    retire(thing, request.POST.get("retired") == "yes")
    messages.success(request, f"{thing} is {'retired' if thing.retired else 'offered again'}.")
    return redirect(thing)


@require_POST
@permission_required("sizing.change_turbo", raise_exception=True)
def add_plunger(request, pk):
    pump = get_object_or_404(Pump, pk=pk)
    form = PlungerForm({**request.POST.dict(), "pump": pump.pk})
    if form.is_valid():
        plunger = form.save()
        messages.success(request, f"Plunger of {plunger.diameter_mm:g} mm added.")
        return redirect(pump)
    return render(request, "sizing/catalogue/item.html", _item_context(KINDS["pump"], pump, form), status=422)


@require_http_methods(["GET", "POST"])
@permission_required("sizing.change_turbo", raise_exception=True)
def edit_plunger(request, pk):
    plunger = get_object_or_404(Plunger.objects.select_related("pump"), pk=pk)
    data = {**request.POST.dict(), "pump": plunger.pump_id} if request.method == "POST" else None
    form = PlungerForm(data, instance=plunger)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, f"Plunger of {plunger.diameter_mm:g} mm changed.")
        return redirect(plunger.pump)
    context = {
        "section": "catalogue",
        "kind": KINDS["pump"],
        "form": form,
        "item": plunger.pump,
        "plunger": plunger,
        "sections": [("", form.visible_fields())],
    }
    return render(request, "sizing/catalogue/item_form.html", context, status=422 if request.method == "POST" else 200)


@require_POST
@permission_required("sizing.change_turbo", raise_exception=True)
def retire_plunger(request, pk):
    plunger = get_object_or_404(Plunger.objects.select_related("pump"), pk=pk)
    retire(plunger, request.POST.get("retired") == "yes")
    messages.success(request, f"{plunger} is {'retired' if plunger.retired else 'offered again'}.")
    return redirect(plunger.pump)
