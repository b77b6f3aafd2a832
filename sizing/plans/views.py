"""The page of a plan: its answer, and the form where a change moves the answer."""

import uuid

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import redirect, render
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from sizing.access import plan_or_404
from sizing.plans.actions import change_plan, copy_plan
from sizing.plans.answer.answers import answer
from sizing.plans.answer.chance_rows import chance_answer
from sizing.plans.answer.match_answers import match_answer
from sizing.plans.cases import case_of
from sizing.plans.forms import CopyForm, PlanForm
from sizing.plans.show import input_groups


def _page(request, plan, form, worked_out, status=200):
    context = {
        "section": "jobs",
        "plan": plan,
        "form": form,
        "answer": worked_out,
        "inputs": input_groups(plan, worked_out.known),
        "copy_form": CopyForm(initial={"title": f"{plan.title}, next stage"[:120], "request_id": uuid.uuid4()}),
        "is_typed": form.is_bound and status == 200,
        "chances": chance_answer(case_of(plan)) if "chances" in request.GET else None,
    }
    return render(request, "sizing/plans/plan.html", context, status=status)


@require_GET
@permission_required("sizing.view_plan", raise_exception=True)
def plan(request, pk):
    found = plan_or_404(pk)
    return _page(request, found, PlanForm(found), answer(case_of(found)))


@require_POST
@permission_required("sizing.change_plan", raise_exception=True)
def keep(request, pk):
    """Keep what was typed; with the button 'try' only show what it would do."""
    found = plan_or_404(pk)
    form = PlanForm(found, request.POST)
    if not form.is_valid():
        form.data = {**form.data.dict(), "seen_at": found.changed_at.isoformat()}  # seen now
        return _page(request, found, form, answer(case_of(found)), status=422)
    if "try" in request.POST:
        return _page(request, found, form, answer(form.case))
    change_plan(found, **form.changes)
    messages.success(request, "Kept. The figures are those of the changed plan.")
    return redirect(found)


@require_POST
@permission_required("sizing.change_plan", raise_exception=True)
def panel(request, pk):
    """The answer to what is typed at this moment; nothing is kept."""
    found = plan_or_404(pk)
    form = PlanForm(found, request.POST)
    if not form.is_valid():
        return render(request, "sizing/plans/_plan_refused.html", {"form": form, "plan": found}, status=422)
    context = {"answer": answer(form.case), "is_typed": form.has_changed(), "plan": found}
    return render(request, "sizing/plans/_plan_answer.html", context)


@require_http_methods(["GET", "POST"])
@permission_required("sizing.view_plan", raise_exception=True)
def chances_panel(request, pk):
    """Chances of the plan as stored, or of what is typed at this moment. Takes a second, so it comes after the page."""
    found = plan_or_404(pk)
    form = PlanForm(found, request.POST) if request.method == "POST" else None
    if form is not None and not form.is_valid():
        return render(request, "sizing/plans/_plan_refused.html", {"form": form}, status=422)
    return render(
        request, "sizing/plans/_chances.html", {"chances": chance_answer(form.case if form else case_of(found))}
    )


@require_http_methods(["GET", "POST"])
@permission_required("sizing.view_plan", raise_exception=True)
def match_panel(request, pk):
    """Whether the chosen turbo does what is wanted: a part of the plan page, and a page of its own without script."""
    found = plan_or_404(pk)
    form = PlanForm(found, request.POST) if request.method == "POST" else None
    if form is not None and not form.is_valid():
        return render(request, "sizing/plans/_plan_refused.html", {"form": form}, status=422)
    case = form.case if form else case_of(found)
    is_part = request.headers.get("HX-Request") == "true"
    context = {
        "section": "jobs",
        "plan": found,
        "match": match_answer(case),
        "is_typed": form is not None and form.has_changed(),
    }
    response = render(request, "sizing/plans/_match.html" if is_part else "sizing/plans/match.html", context)
    patch_vary_headers(response, ["HX-Request"])
    return response


@require_POST
@permission_required("sizing.add_plan", raise_exception=True)
def copy(request, pk):
    found = plan_or_404(pk)
    form = CopyForm(request.POST)
    if not form.is_valid():
        for errors in form.errors.values():
            messages.error(request, f"Not copied. {' '.join(errors)}")
        return redirect(found)
    made = copy_plan(found, form.cleaned_data["title"], request_id=form.cleaned_data["request_id"])
    messages.success(request, f"This plan starts from {found.title}.")
    return redirect(made)
