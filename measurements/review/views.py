"""The owner's review: all pairings, one pairing, and the table as CSV."""

from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from measurements.review.forms import DEFAULT_MONTHS, ReviewForm
from measurements.review.outcomes import plunger_class_mm
from measurements.review.pages import (
    CSV_COLUMNS,
    PairingRow,
    at_risk_table,
    cases_of,
    csv_rows,
    failures_of,
    survival_chart,
    survival_figure,
)
from measurements.review.review import Key, Pairing, cases, curve_of, pairings
from sizing.catalogue.models import Turbo
from sizing.tables.csv_io import write_table

owner_only = permission_required("measurements.view_review", raise_exception=True)


def _survival(row: Pairing) -> float:
    left = row.left
    return -1.0 if left.too_few or left.survival is None else left.survival


def _known(value: float | None) -> float:
    return float("-inf") if value is None else value


SORTS = {
    "turbo": lambda row: (row.turbo_name, row.key.plunger_mm, row.key.has_cooler),
    "fitted": lambda row: row.fitted,
    "service": lambda row: row.service_months,
    "failures": lambda row: row.failures,
    "survival": _survival,
    "gain": lambda row: _known(row.gain_kw.value),
    "heat": lambda row: _known(row.in_hand_c.lowest),
}
DEFAULT_SORT = "-fitted"
PAGE_SIZE = 50


def _wanted(rows: list[Pairing], asked: dict) -> list[Pairing]:
    words = asked.get("q", "").lower().split()
    rows = [row for row in rows if all(word in row.turbo_name.lower() for word in words)]
    if asked.get("cooler"):
        rows = [row for row in rows if row.key.has_cooler == (asked["cooler"] == "with")]
    if asked.get("plunger") is not None:
        plunger_mm = float(plunger_class_mm(asked["plunger"]))
        rows = [row for row in rows if row.key.plunger_mm == plunger_mm]
    if asked.get("least") is not None:
        rows = [row for row in rows if row.fitted >= asked["least"]]
    sort = asked.get("sort", "")
    sort = sort if sort.lstrip("-") in SORTS else DEFAULT_SORT
    return sorted(rows, key=SORTS[sort.lstrip("-")], reverse=sort.startswith("-"))


def _asked(request) -> tuple[ReviewForm, dict]:
    form = ReviewForm({"months": f"{DEFAULT_MONTHS:.0f}", **request.GET.dict()}, label_suffix="")
    form.is_valid()
    return form, {"months": DEFAULT_MONTHS, **form.cleaned_data}


@owner_only
@require_GET
def review(request):
    form, asked = _asked(request)
    every = pairings(cases(), asked["months"])
    rows = _wanted(every, asked)
    page = Paginator(rows, PAGE_SIZE).get_page(request.GET.get("page"))
    context = {
        "section": "review", "form": form, "any_pairing": bool(every), "months": asked["months"],
        "page": page, "rows": [PairingRow(pairing) for pairing in page], "pairing_count": len(rows),
        "sort": request.GET.get("sort") or DEFAULT_SORT, "job_count": sum(row.fitted for row in rows),
    }  # fmt: skip
    return render(request, "measurements/review/review.html", context, status=422 if form.errors else 200)


@owner_only
@require_GET
def review_csv(request):
    """The table as it is shown, in stored units; an unknown is an empty cell."""
    form, asked = _asked(request)
    if form.errors:
        words = " ".join(error for errors in form.errors.values() for error in errors)
        return HttpResponse(words, status=422, content_type="text/plain; charset=utf-8")
    rows = _wanted(pairings(cases(), asked["months"]), asked)
    table = write_table(CSV_COLUMNS, csv_rows(rows, asked["months"]))
    response = HttpResponse(table, content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = 'attachment; filename="pairings.csv"'
    return response


@owner_only
@require_GET
def pairing(request, turbo, plunger_tenths, cooler):
    """One pairing: its survival, the jobs behind it, and what failed."""
    fitted = get_object_or_404(Turbo, pk=turbo)
    key = Key(turbo, plunger_tenths / 10, cooler == "cooler")
    found = cases(turbo)
    rows = (found.plunger_mm == key.plunger_mm) & (found.has_cooler == key.has_cooler)
    if not rows.any():
        raise Http404("Nothing was fitted with this turbo and pump setting.")
    summary = next(row for row in pairings(found) if row.key == key)
    curve = curve_of(found, rows)
    jobs = found.job[rows].tolist()
    page = Paginator(cases_of(found, rows), PAGE_SIZE).get_page(request.GET.get("page"))
    chart = None if curve.too_few else survival_chart(curve)
    context = {
        "section": "review", "turbo": fitted, "pairing": PairingRow(summary), "curve": curve, "page": page,
        "failures": failures_of(jobs),
        "chart": chart, "figure": survival_figure(chart, curve) if chart else None,
        "at_risk": [] if curve.too_few else at_risk_table(curve),
    }  # fmt: skip
    return render(request, "measurements/review/review_pairing.html", context)
