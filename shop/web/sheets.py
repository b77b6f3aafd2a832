"""Every sheet of a job works alike: show the form, refuse with what was typed still there, store once, go back to the job."""

from collections.abc import Callable

from django.contrib import messages
from django.shortcuts import redirect, render

from shop.jobs.models import JobCard
from shop.web.once import once, post_id


def sheet_page(
    request,
    job: JobCard,
    form,
    title: str,
    save: Callable[[], object],
    *,
    template="shop/jobs/job_form.html",
    **context,
):
    if request.method == "POST" and form.is_valid():
        try:
            with once(request, f"{title}:{job.pk}"[:50]) as slot:
                if slot.is_new:
                    save()
            messages.success(request, f"Stored: {title.lower()}.")
            return redirect("shop:job", job.pk)
        except ValueError as error:
            form.add_error(None, str(error))
    context = {"section": "jobs", "job": job, "form": form, "title": title, "post_id": post_id(request), **context}
    return render(request, template, context, status=422 if form.is_bound and form.errors else 200)
