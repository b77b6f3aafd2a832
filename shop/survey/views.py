"""Facts and survey sheets of a job."""

from django.contrib.auth.decorators import permission_required
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_http_methods

from shop.jobs.access import job_or_404
from shop.jobs.models import JobCard
from shop.safety.notes import hazards_before
from shop.survey.actions import current_facts, record_facts, record_survey
from shop.survey.forms import FactsForm, SurveyForm
from shop.web.sheets import sheet_page


@permission_required("shop.add_enginefact", raise_exception=True)
@require_http_methods(["GET", "POST"])
def facts(request, pk):
    card = job_or_404(pk)
    form = FactsForm(request.POST or None, known=current_facts(card.vehicle))

    def save():
        record_facts(card.vehicle, form.statements, request.user)

    history = card.vehicle.facts.select_related("by").newest_first()
    return sheet_page(
        request, card, form, "Engine and pump facts", save, template="shop/survey/facts.html", history=history
    )


@permission_required("shop.add_survey", raise_exception=True)
@require_http_methods(["GET", "POST"])
def survey(request, pk):
    card = job_or_404(pk)
    # What was found at the engine comes with the address; it is stored only once somebody has looked at it here.
    found = {name: request.GET[name] for name in SurveyForm.base_fields if request.GET.get(name)}
    form = SurveyForm(request.POST or None, initial=found)

    def save():
        record_survey(card, request.user, **form.cleaned_data)

    return sheet_page(
        request,
        card,
        form,
        "Survey sheet",
        save,
        template="shop/survey/survey.html",
        found=found,
        hazards=hazards_before("strip"),
    )


@permission_required("shop.view_jobcard", raise_exception=True)
@require_GET
def survey_page(request, pk):
    card = job_or_404(pk)
    return render(request, "shop/survey/survey_page.html", {"section": "jobs", "job": card, "surveys": _surveys(card)})


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
