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
    """Readings may come in the address or as a table, to be looked at; sending the form keeps them, unless it is only to look."""
    plan = plan_or_404(pk)
    has_table = "fill" in request.POST or bool(request.POST.get("text", "").strip() or request.FILES)
    is_kept = request.method == "POST" and not has_table and "look" not in request.POST
    if is_kept and not request.user.has_perm("sizing.change_plan"):
        raise PermissionDenied
    table = BenchTableForm(request.POST, request.FILES) if has_table else BenchTableForm()
    given = request.POST if request.method == "POST" else request.GET
    if table.is_valid():
        given, table = table.filled_into(given), BenchTableForm()
    form = BenchForm(plan, given or None)
    context, case = {"section": "jobs", "plan": plan, "form": form, "table": table}, case_of(plan)
    if form.is_bound:
        if table.errors or not form.is_valid():
            return render(request, "sizing/plans/bench/bench.html", context, status=422)
        if is_kept:
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
