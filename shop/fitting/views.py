"""Fitments and parts of a job."""

from django.contrib.auth.decorators import permission_required
from django.views.decorators.http import require_http_methods

from shop.fitting.actions import record_fitment, record_part
from shop.fitting.forms import FitmentForm, FittedPartForm
from shop.jobs.access import job_or_404
from shop.jobs.models import JobCard
from shop.safety.notes import hazards_before
from shop.web.sheets import sheet_page


@permission_required("shop.fit_jobcard", raise_exception=True)
@require_http_methods(["GET", "POST"])
def fitment_new(request, pk):
    card = job_or_404(pk)
    form = FitmentForm(request.POST or None, initial=_planned(card))

    def save():
        record_fitment(card, request.user, **form.cleaned_data)

    return sheet_page(
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
    card = job_or_404(pk)
    form = FittedPartForm(request.POST or None)

    def save():
        record_part(card, by=request.user, **form.cleaned_data)

    return sheet_page(request, card, form, "Another part fitted", save, button="Store the part")
