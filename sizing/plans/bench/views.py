"""What the pump bench measured for a plan, line by line."""

from dataclasses import replace

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import PermissionDenied
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from sizing.access import plan_or_404
from sizing.plans.answer.answers import answer
from sizing.plans.bench.actions import keep_bench_lines
from sizing.plans.bench.forms import BenchForm, BenchTableForm
from sizing.plans.cases import Bench, case_of


@require_http_methods(["GET", "POST"])
@permission_required("sizing.view_plan", raise_exception=True)
def bench(request, pk):
    """Readings may come in the address or from a table, to be looked at; sending the form keeps them, unless it is only to look."""
    plan = plan_or_404(pk)
    fills = request.method == "POST" and "fill" in request.POST
    if request.method == "POST" and not fills and not request.user.has_perm("sizing.change_plan"):
        raise PermissionDenied
    table_form = BenchTableForm(request.POST, request.FILES) if fills else BenchTableForm()
    if fills:
        form = BenchForm(plan, table_form.as_given if table_form.is_valid() else None)
    else:
        form = BenchForm(plan, request.POST if request.method == "POST" else request.GET or None)
    context, case = {"section": "jobs", "plan": plan, "form": form, "table_form": table_form}, case_of(plan)
    if table_form.errors:
        return render(request, "sizing/plans/bench/bench.html", context, status=422)
    if form.is_bound:
        if not form.is_valid():
            return render(request, "sizing/plans/bench/bench.html", context, status=422)
        if request.method == "POST" and not fills and "look" not in request.POST:
            keep_bench_lines(plan, form.lines_mm3)
            messages.success(
                request,
                "The bench sheet is kept with the plan." if form.lines_mm3 else "The plan has no bench sheet now.",
            )
            return redirect(plan)
        case = replace(case, bench=Bench(form.lines_mm3, plan.plunger) if form.lines_mm3 else None)
    worked_out = answer(case)
    return render(
        request,
        "sizing/plans/bench/bench.html",
        context | {"bench": worked_out.bench, "trouble": worked_out.trouble, "is_typed": form.is_bound},
    )
