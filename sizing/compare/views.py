"""The compare page of a plan: what else of the catalogue would do, and taking one of them."""

from urllib.parse import urlencode

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from sizing.access import plan_or_404, turbo_or_404
from sizing.catalogue.models import Cooler, Plunger, Turbo
from sizing.compare.actions import take_combination
from sizing.compare.comparing import compared
from sizing.compare.forms import SPACE, CompareForm, PlacementForm, StagesForm, TakeForm
from sizing.compare.placing import placed
from sizing.compare.rows import MOST_LINES, MOST_ROWS, compare_rows
from sizing.compare.stages import stages_beside
from sizing.plans.actions import BadInput
from sizing.plans.cases import case_of, with_cooler, without_cooler
from sizing.plans.models import Plan
from sizing.words import in_words


def _offered(plan: Plan):
    pump = plan.plunger.pump if plan.plunger else None
    plungers = Plunger.objects.filter(pump=pump, retired=False).select_related("pump") if pump else []
    return Turbo.objects.current().prefetch_related("map_points"), list(Cooler.objects.current()), list(plungers)


def _space_query(form: CompareForm) -> str:
    """The measured space, to be asked after in the address of a placement."""
    return "&" + urlencode({name: form.cleaned_data[name] for name in SPACE})


@require_GET
@permission_required("sizing.view_plan", raise_exception=True)
def compare_page(request, pk):
    plan = plan_or_404(pk)
    form = CompareForm(request.GET)
    context = {"section": "jobs", "plan": plan, "form": form}
    if not form.is_valid():
        return render(request, "sizing/compare/compare.html", context, status=422)
    try:
        context["found"] = found = compared(case_of(plan), form.wish, *_offered(plan))
        rows = compare_rows(plan, found)
        context |= {
            "rows": rows[:MOST_ROWS],
            "others": rows[MOST_ROWS : MOST_ROWS + MOST_LINES],
            "beyond": max(len(rows) - MOST_ROWS - MOST_LINES, 0),
            "has_space": form.wish.space_mm is not None,
            "space_query": _space_query(form) if form.wish.space_mm is not None else "",
        }
    except ValueError as error:
        context["trouble"] = in_words(str(error))
    return render(request, "sizing/compare/compare.html", context)


@require_GET
@permission_required("sizing.view_plan", raise_exception=True)
def stages(request, pk):
    """The plan without and with a cooler, or beside another plan; the choice stands in the address."""
    plan = plan_or_404(pk)
    form = StagesForm(plan, request.GET if request.GET else {"cooler": plan.cooler_id or ""})
    context = {"section": "jobs", "plan": plan, "form": form}
    if not form.is_valid():
        return render(request, "sizing/compare/stages.html", context, status=422)
    other, cooler, case = form.cleaned_data["other"], form.cleaned_data["cooler"], case_of(plan)
    if other:
        context |= {"other": other, "found": stages_beside((plan.title, case), (other.title, case_of(other)))}
    elif cooler:
        context["found"] = stages_beside(
            ("without a cooler", without_cooler(case)), (f"with {cooler}", with_cooler(case, cooler))
        )
    return render(request, "sizing/compare/stages.html", context)


@require_POST
@permission_required("sizing.change_plan", raise_exception=True)
def take(request, pk):
    """Take turbo, cooler and plunger of one row into the plan."""
    plan = plan_or_404(pk)
    form = TakeForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Not taken: this turbo, cooler or plunger is not offered any more. Compare again.")
        return redirect("sizing:compare", pk)
    given = form.cleaned_data
    try:
        words = take_combination(plan, given["turbo"], given["cooler"], given["plunger"], given["keeps_cooler"])
    except BadInput as error:
        messages.error(request, f"Not taken. {error}")
        return redirect("sizing:compare", pk)
    messages.success(request, f"{given['turbo']} is in the plan now. {words}".strip())
    return redirect(plan)


def _plan_that_led_here(request) -> Plan | None:
    """For the way back alone, so an address without one, or with one that is gone, is none the worse."""
    number = request.GET.get("plan", "")
    if not (number.isascii() and number.isdecimal() and request.user.has_perm("sizing.view_plan")):
        return None
    return Plan.objects.filter(pk=number).first()


@require_GET
@permission_required("sizing.view_turbo", raise_exception=True)
def placement(request, pk):
    """Whether one turbo goes where it shall go; the measures stand in the address, and the plan that led here."""
    turbo = turbo_or_404(pk)
    plan = _plan_that_led_here(request)
    measures = {name: value for name, value in request.GET.items() if name != "plan"}
    form = PlacementForm(measures or None)
    context = {"section": "jobs" if plan else "catalogue", "item": turbo, "form": form, "plan": plan}
    if form.is_bound:
        if not form.is_valid():
            return render(request, "sizing/compare/placement.html", context, status=422)
        context["rows"] = placed(turbo, form.cleaned_data)
    return render(request, "sizing/compare/placement.html", context)
