"""Finding the thing a page is about, or 404."""

from django.http import Http404
from django.shortcuts import get_object_or_404

from sizing.catalogue.kinds import KINDS, SHEETS, Kind, TableSheet
from sizing.catalogue.models import Turbo
from sizing.plans.models import Plan


def kind_or_404(slug: str) -> Kind:
    if slug not in KINDS:
        raise Http404(f"There is no kind '{slug}' in the catalogue.")
    return KINDS[slug]


def sheet_or_404(slug: str) -> TableSheet:
    if slug not in SHEETS:
        raise Http404(f"There is no kind '{slug}' in the catalogue.")
    return SHEETS[slug]


def item_or_404(slug: str, pk: int):
    kind = kind_or_404(slug)
    return kind, get_object_or_404(kind.model, pk=pk)


def turbo_or_404(pk: int) -> Turbo:
    return get_object_or_404(Turbo, pk=pk)


def plan_or_404(pk: int) -> Plan:
    return get_object_or_404(Plan.objects.with_parts(), pk=pk)


def posted(request):
    """The form data, or None where the form is only shown. An empty form that was sent is still a form that was sent."""
    return request.POST if request.method == "POST" else None
