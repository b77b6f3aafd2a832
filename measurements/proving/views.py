"""Proving runs of a job in their order, and the decision that ends each."""

from dataclasses import dataclass

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from measurements.access import run_or_404
from measurements.logs.models import LogFile
from measurements.logs.pulls.checks import JudgedPull
from measurements.proving.actions import RunRefused, decide, why_no_run
from measurements.proving.forms import DecideForm
from measurements.proving.models import ProvingRun
from measurements.proving.turbine_address import turbine_address
from measurements.readings.models import Point
from measurements.readings.tables import Section, section_of
from measurements.verdict.bench_tests import Tests, all_tests
from measurements.verdict.causes import Suspect
from measurements.verdict.checks import worst
from measurements.verdict.run import pulls_of_run, run_suspects
from shop.jobs.access import job_or_404
from shop.jobs.models import JobCard
from shop.safety.notes import FIRST, hazards_before


@dataclass(frozen=True)
class ShownRun:
    run: ProvingRun
    part: Section
    logs: list[LogFile]
    pulls: list[JudgedPull]
    tests: Tests
    suspects: list[Suspect]
    form: DecideForm | None
    turbine_address: str

    @property
    def word(self) -> str:
        return worst([self.part.word, self.tests.word, *(p.word for p in self.pulls)])


def _shown(job: JobCard, form: DecideForm | None, of: ProvingRun | None) -> list[ShownRun]:
    """Every run with what was read, logged, tested and braked in it; the form stands under the open one."""
    points = list(Point.objects.of(job).after().with_readings())
    logs, runs = list(LogFile.objects.of(job).read()), list(ProvingRun.objects.of(job).with_people())
    tests, shown = all_tests(job, {run.pk: run.plan for run in runs}), []
    for run in runs:
        own = [p for p in points if p.run_id == run.pk]
        part = section_of("What was read", "after", own, run, run.plan)
        own_form = form if of and of.pk == run.pk else DecideForm() if not run.is_decided else None
        pulls, tested = pulls_of_run(run), tests.of_run(run)
        why = run_suspects(part.findings, pulls, tested)
        its_logs = [x for x in logs if x.run_id == run.pk]
        shown.append(ShownRun(run, part, its_logs, pulls, tested, why, own_form, turbine_address(run, own)))
    return shown


def _page(request, job: JobCard, form: DecideForm | None = None, of: ProvingRun | None = None):
    shown = _shown(job, form, of)
    context = {
        "section": "jobs", "job": job, "shown": shown, "hazards": hazards_before("proving"), "first": FIRST,
        "is_open": any(not s.run.is_decided for s in shown), "why_no_run": why_no_run(job),
        "drafts": job.job_plans.filter(is_current=False).select_related("plan"),
    }  # fmt: skip
    return render(request, "measurements/proving/proving.html", context, status=422 if form and form.errors else 200)


@permission_required("measurements.view_reading", raise_exception=True)
@require_GET
def proving(request, pk):
    return _page(request, job_or_404(pk))


@permission_required("measurements.decide_provingrun", raise_exception=True)
@require_POST
def decide_run(request, pk):
    run = run_or_404(pk)
    form = DecideForm(request.POST)
    if form.is_valid():
        try:
            decide(
                run,
                form.cleaned_data["decision"],
                form.cleaned_data["reason"],
                request.user,
                next_title=form.cleaned_data["next_title"],
            )
            messages.success(request, f"Proving run {run.number} is decided.")
            return redirect("measurements:proving", run.job_id)
        except RunRefused as refused:
            form.add_error(None, str(refused))
    return _page(request, run.job, form, run)
