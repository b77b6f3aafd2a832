"""Single questions with single answers. Everything stands in the address, so an answer can be kept and sent."""

from django.contrib.auth.decorators import permission_required
from django.http import Http404
from django.shortcuts import render
from django.views.decorators.http import require_GET

from sizing.calculators.forms import CalculatorForm, UnitForm
from sizing.calculators.rows import answer_rows, unit_rows
from sizing.calculators.table import CALCULATORS

may_see = permission_required("sizing.view_plan", raise_exception=True)


def _worked_out(request, slug):
    """Context of a calculator, and whether what was typed can be answered."""
    if slug not in CALCULATORS:
        raise Http404(f"There is no calculator '{slug}'.")
    row = CALCULATORS[slug]
    form = CalculatorForm(row, request.GET or None)
    is_clear = not form.is_bound or form.is_valid()
    return {"section": "calculators", "row": row, "form": form, "answers": answer_rows(row, form.answers)}, is_clear


def _converted(request):
    form = UnitForm(request.GET or None)
    is_clear = not form.is_bound or form.is_valid()
    value, unit = (
        (form.cleaned_data["value"], form.cleaned_data["unit"]) if form.is_bound and is_clear else (1.0, "bar")
    )
    rows = unit_rows(value, unit) if is_clear else []
    return {"section": "calculators", "form": form, "rows": rows, "value": value, "unit": unit}, is_clear


@require_GET
@may_see
def calculators(request):
    return render(
        request, "sizing/calculators/calculators.html", {"section": "calculators", "rows": CALCULATORS.values()}
    )


@require_GET
@may_see
def calculator(request, slug):
    context, is_clear = _worked_out(request, slug)
    return render(request, "sizing/calculators/calculator.html", context, status=200 if is_clear else 422)


@require_GET
@may_see
def calculator_panel(request, slug):
    context, is_clear = _worked_out(request, slug)
    return render(request, "sizing/calculators/_calculator_answer.html", context, status=200 if is_clear else 422)


@require_GET
@may_see
def units(request):
    context, is_clear = _converted(request)
    return render(request, "sizing/calculators/units.html", context, status=200 if is_clear else 422)


@require_GET
@may_see
def units_panel(request):
    context, is_clear = _converted(request)
    return render(request, "sizing/calculators/_units_answer.html", context, status=200 if is_clear else 422)
