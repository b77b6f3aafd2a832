"""Follow-ups and failures of a job."""

from django.contrib.auth.decorators import permission_required
from django.views.decorators.http import require_http_methods

from shop.follow_up.actions import record_failure, record_follow_up
from shop.follow_up.forms import FailureForm, FollowUpForm
from shop.jobs.access import job_or_404
from shop.web.sheets import sheet_page


@permission_required("shop.add_followup", raise_exception=True)
@require_http_methods(["GET", "POST"])
def follow_up_new(request, pk):
    card = job_or_404(pk)
    form = FollowUpForm(request.POST or None)

    def save():
        record_follow_up(card, by=request.user, **form.cleaned_data)

    return sheet_page(request, card, form, "Follow-up", save, button="Store the follow-up")


@permission_required("shop.add_failure", raise_exception=True)
@require_http_methods(["GET", "POST"])
def failure_new(request, pk):
    card = job_or_404(pk)
    form = FailureForm(request.POST or None)

    def save():
        record_failure(card, by=request.user, **form.cleaned_data)

    return sheet_page(request, card, form, "Something failed", save, button="Store the failure")
