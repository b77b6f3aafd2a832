"""What measured boost says of the turbine of a plan."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import PermissionDenied
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from sizing.access import plan_or_404
from sizing.plans.cases import case_of
from sizing.plans.turbine.actions import keep_capacity
from sizing.plans.turbine.forms import BoostReadingsForm
from sizing.plans.turbine.readings import capacity_found
from sizing.words import in_words


@require_http_methods(["GET", "POST"])
@permission_required("sizing.view_plan", raise_exception=True)
def turbine_capacity(request, pk):
    """The readings stand in the address; sending them again keeps the capacity on the turbo."""
    plan = plan_or_404(pk)
    if request.method == "POST" and not request.user.has_perm("sizing.change_turbo"):
        raise PermissionDenied
    form = BoostReadingsForm(request.POST if request.method == "POST" else request.GET or None)
    context = {"section": "jobs", "plan": plan, "form": form}
    if not form.is_bound:
        return render(request, "sizing/plans/turbine/turbine_capacity.html", context)
    if not form.is_valid():
        return render(request, "sizing/plans/turbine/turbine_capacity.html", context, status=422)
    try:
        found = context["found"] = capacity_found(case_of(plan), form.readings)
    except ValueError as error:
        context["trouble"] = in_words(str(error))
        return render(request, "sizing/plans/turbine/turbine_capacity.html", context, status=422)
    if request.method == "POST" and plan.turbo and found.agrees:
        keep_capacity(plan.turbo, found, plan.title)
        messages.success(
            request,
            f"{plan.turbo} has a flow capacity of {found.capacity_kg_s:.4f} kg/s now. Every plan with it was worked out anew.",
        )
        return redirect(plan)
    return render(
        request, "sizing/plans/turbine/turbine_capacity.html", context, status=422 if request.method == "POST" else 200
    )
