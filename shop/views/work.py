"""The work on a job: facts, survey, plans, quotes, fitment, safety checks, follow-ups, failures."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shop.actions.facts import current_facts, record_facts
from shop.actions.fitments import record_fitment, record_part
from shop.actions.follow_ups import record_failure, record_follow_up
from shop.actions.plans import add_next_stage, choose_plan, plan_from_facts
from shop.actions.quotes import QuoteRefused, answer_quote, give_quote, make_quote
from shop.actions.safety import sign_off
from shop.actions.surveys import record_survey
from shop.forms.facts import FactsForm
from shop.forms.work import (
    AnswerForm,
    FailureForm,
    FitmentForm,
    FittedPartForm,
    FollowUpForm,
    NewPlanForm,
    QuoteForm,
    QuoteLines,
    SurveyForm,
)
from shop.models import JobCard, JobPlan, Quote
from shop.once import once, post_id
from shop.safety_notes import CHECK, CHECKS, HAZARD, hazards_before, signed
from shop.views.sheets import sheet
from sizing.forms.plans import CopyForm


def _job(pk: int) -> JobCard:
    return get_object_or_404(JobCard.objects.with_people(), pk=pk)


@permission_required("shop.add_enginefact", raise_exception=True)
@require_http_methods(["GET", "POST"])
def facts(request, pk):
    card = _job(pk)
    form = FactsForm(request.POST or None, known=current_facts(card.vehicle))

    def save():
        record_facts(card.vehicle, form.statements, request.user)

    history = card.vehicle.facts.select_related("by").newest_first()
    return sheet(request, card, form, "Engine and pump facts", save, template="shop/facts.html", history=history)


@permission_required("shop.add_survey", raise_exception=True)
@require_http_methods(["GET", "POST"])
def survey(request, pk):
    card = _job(pk)
    # What was found at the engine comes with the address; it is stored only once somebody has looked at it here.
    found = {name: request.GET[name] for name in SurveyForm.base_fields if request.GET.get(name)}
    form = SurveyForm(request.POST or None, initial=found)

    def save():
        record_survey(card, request.user, **form.cleaned_data)

    return sheet(
        request,
        card,
        form,
        "Survey sheet",
        save,
        template="shop/survey.html",
        found=found,
        hazards=hazards_before("strip"),
    )


@permission_required("shop.view_jobcard", raise_exception=True)
@require_GET
def survey_page(request, pk):
    card = _job(pk)
    return render(request, "shop/survey_page.html", {"section": "jobs", "job": card, "surveys": _surveys(card)})


def _surveys(card: JobCard):
    """Each sheet as its sections of label and value, newest first."""
    for row in card.surveys.select_related("by").order_by("-at", "-pk"):
        sections = [
            (title, [(_label(row, name), _value(row, name)) for name in names]) for title, names in SurveyForm.SECTIONS
        ]
        yield row, sections


def _label(row, name: str) -> str:
    label = str(row._meta.get_field(name).verbose_name)
    return label[:1].upper() + label[1:]


def _value(row, name: str) -> str:
    shown = getattr(row, f"get_{name}_display", None)
    value = shown() if shown else getattr(row, name)
    if value in (None, ""):
        return "not recorded"
    return f"{value:g}" if isinstance(value, float) else value


@permission_required("sizing.add_plan", raise_exception=True)
@require_http_methods(["GET", "POST"])
def plan_new(request, pk):
    card = _job(pk)
    form = NewPlanForm(request.POST or None)

    def save():
        data = form.cleaned_data
        items = {name: data[name] for name in ("turbo", "cooler", "air_cleaner", "plunger")}
        plan_from_facts(card, request.user, data["title"], form.boost(), **items)

    return sheet(
        request,
        card,
        form,
        "New plan",
        save,
        template="shop/plan_new.html",
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
    return render(request, "shop/job_form.html", context, status=422)


@permission_required("shop.add_quote", raise_exception=True)
@require_http_methods(["GET", "POST"])
def quote_new(request, pk):
    card = _job(pk)
    form = QuoteForm(request.POST or None)
    lines = QuoteLines(request.POST or None, prefix="lines")
    if request.method == "POST" and all([form.is_valid(), lines.is_valid()]):
        typed = [line for line in (f.line() for f in lines) if line]
        try:
            with once(request, f"quote:{pk}") as slot:
                if slot.is_new:
                    slot.store(make_quote(card, typed, request.user, **form.cleaned_data).pk)
            return redirect("shop:quote", slot.stored)
        except QuoteRefused as error:
            form.add_error(None, str(error))
    context = {"section": "jobs", "job": card, "form": form, "lines": lines, "post_id": post_id(request)}
    return render(request, "shop/quote_new.html", context, status=422 if request.method == "POST" else 200)


@permission_required("shop.view_jobcard", raise_exception=True)
@require_GET
def quote(request, pk):
    row = get_object_or_404(
        Quote.objects.select_related("job__vehicle__customer", "made_by").prefetch_related("lines"), pk=pk
    )
    return render(request, "shop/quote.html", {"section": "jobs", "quote": row, "job": row.job, "form": AnswerForm()})


@permission_required("shop.change_quote", raise_exception=True)
@require_POST
def quote_give(request, pk):
    row = get_object_or_404(Quote, pk=pk)
    try:
        give_quote(row, request.user)
    except QuoteRefused as error:
        messages.error(request, str(error))
    return redirect("shop:quote", pk)


@permission_required("shop.change_quote", raise_exception=True)
@require_POST
def quote_answer(request, pk):
    row = get_object_or_404(
        Quote.objects.select_related("job__vehicle__customer", "made_by").prefetch_related("lines"), pk=pk
    )
    form = AnswerForm(request.POST)
    if form.is_valid():
        try:
            answer_quote(row, form.cleaned_data["agreed"] == "yes", form.cleaned_data["answered_by"], request.user)
            return redirect("shop:job", row.job_id)
        except QuoteRefused as error:
            form.add_error(None, str(error))
    return render(
        request, "shop/quote.html", {"section": "jobs", "quote": row, "job": row.job, "form": form}, status=422
    )


@permission_required("shop.fit_jobcard", raise_exception=True)
@require_http_methods(["GET", "POST"])
def fitment_new(request, pk):
    card = _job(pk)
    form = FitmentForm(request.POST or None, initial=_planned(card))

    def save():
        record_fitment(card, request.user, **form.cleaned_data)

    return sheet(
        request, card, form, "What was fitted", save, hazards=hazards_before("fit"), button="Store what was fitted"
    )


def _planned(card: JobCard) -> dict:
    """The current plan's choices as a start; what was really fitted is what counts."""
    row = card.job_plans.filter(is_current=True).select_related("plan__plunger__pump").first()
    if row is None:
        return {}
    plan = row.plan
    planned = {"turbo": plan.turbo_id, "cooler": plan.cooler_id, "air_cleaner": plan.air_cleaner_id}
    if plan.plunger:
        planned |= {"pump": plan.plunger.pump_id, "plunger_diameter_mm": plan.plunger.diameter_mm}
    return planned


@permission_required("shop.fit_jobcard", raise_exception=True)
@require_http_methods(["GET", "POST"])
def part_new(request, pk):
    card = _job(pk)
    form = FittedPartForm(request.POST or None)

    def save():
        record_part(card, by=request.user, **form.cleaned_data)

    return sheet(request, card, form, "Another part fitted", save, button="Store the part")


@permission_required("shop.add_safetysignoff", raise_exception=True)
@require_http_methods(["GET", "POST"])
def safety_checks(request, pk):
    """The checks before the engine runs with boost. Each is signed by name, one at a time."""
    card = _job(pk)
    if request.method == "POST":
        slug = request.POST.get("check", "")
        if slug not in CHECK:
            messages.error(request, f"There is no safety check '{slug[:40]}'.")
        elif not card.fitments.exists():
            messages.error(request, "Record what was fitted first: the checks belong to a fitment.")
        else:
            sign_off(card, slug, request.user, note=request.POST.get("note", "")[:200])
        return redirect("shop:safety_checks", pk)
    done = signed(card)
    rows = [(check, HAZARD[check.hazard], done.get(check.slug)) for check in CHECKS]
    context = {
        "section": "jobs",
        "job": card,
        "rows": rows,
        "hazards": hazards_before("start"),
        "all_signed": len(done) == len(CHECKS),
        "has_fitment": card.fitments.exists(),
    }
    return render(request, "shop/safety_checks.html", context)


@permission_required("shop.add_followup", raise_exception=True)
@require_http_methods(["GET", "POST"])
def follow_up_new(request, pk):
    card = _job(pk)
    form = FollowUpForm(request.POST or None)

    def save():
        record_follow_up(card, by=request.user, **form.cleaned_data)

    return sheet(request, card, form, "Follow-up", save, button="Store the follow-up")


@permission_required("shop.add_failure", raise_exception=True)
@require_http_methods(["GET", "POST"])
def failure_new(request, pk):
    card = _job(pk)
    form = FailureForm(request.POST or None)

    def save():
        record_failure(card, by=request.user, **form.cleaned_data)

    return sheet(request, card, form, "Something failed", save, button="Store the failure")
