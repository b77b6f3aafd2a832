"""The plans of a job: a new one, the one that counts, the next stage."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from shop.jobs.access import job_or_404
from shop.jobs.forms import NewPlanForm
from shop.jobs.models import JobPlan
from shop.jobs.plans import add_next_stage, choose_plan, plan_from_facts
from shop.survey.actions import current_facts
from shop.web.sheets import sheet_page
from sizing.plans.forms import CopyForm


@permission_required("sizing.add_plan", raise_exception=True)
@require_http_methods(["GET", "POST"])
def plan_new(request, pk):
    card = job_or_404(pk)
    form = NewPlanForm(request.POST or None)

    def save():
        data = form.cleaned_data
        items = {name: data[name] for name in ("turbo", "cooler", "air_cleaner", "plunger")}
        plan_from_facts(card, request.user, data["title"], form.boost(), **items)

    return sheet_page(
        request,
        card,
        form,
        "New plan",
        save,
        template="shop/jobs/plan_new.html",
        facts=list(current_facts(card.vehicle).values()),
        button="Work it out",
    )


@permission_required("sizing.change_plan", raise_exception=True)
@require_POST
def plan_choose(request, pk):
    row = get_object_or_404(JobPlan.objects.select_related("job"), pk=pk)
    try:
        choose_plan(row, request.POST.get("reason", ""), request.user)
    except ValueError as error:
        messages.error(request, str(error))
    return redirect("shop:job", row.job_id)


@permission_required("sizing.add_plan", raise_exception=True)
@require_POST
def next_plan(request, plan_pk):
    """The plan page's 'copy as next stage', for a plan that belongs to a job."""
    row = get_object_or_404(JobPlan.objects.select_related("job", "plan"), plan_id=plan_pk)
    form = CopyForm(request.POST)
    if form.is_valid():
        copy = add_next_stage(
            row.job, row.plan, form.cleaned_data["title"], request.user, form.cleaned_data["request_id"]
        )
        return redirect(copy)
    context = {
        "section": "jobs",
        "job": row.job,
        "form": form,
        "title": "The next stage",
        "button": "Copy as next stage",
    }
    return render(request, "shop/jobs/job_form.html", context, status=422)
