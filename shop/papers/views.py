"""Quotes of a job."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shop.jobs.access import job_or_404
from shop.papers.actions import QuoteRefused, answer_quote, give_quote, make_quote
from shop.papers.forms import AnswerForm, QuoteForm, QuoteLines
from shop.papers.models import Quote
from shop.web.once import once, post_id


@permission_required("shop.add_quote", raise_exception=True)
@require_http_methods(["GET", "POST"])
def quote_new(request, pk):
    card = job_or_404(pk)
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
    return render(request, "shop/papers/quote_new.html", context, status=422 if request.method == "POST" else 200)


@permission_required("shop.view_jobcard", raise_exception=True)
@require_GET
def quote(request, pk):
    row = get_object_or_404(
        Quote.objects.select_related("job__vehicle__customer", "made_by").prefetch_related("lines"), pk=pk
    )
    return render(
        request, "shop/papers/quote.html", {"section": "jobs", "quote": row, "job": row.job, "form": AnswerForm()}
    )


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
        request, "shop/papers/quote.html", {"section": "jobs", "quote": row, "job": row.job, "form": form}, status=422
    )
