"""The hand-over sheet: what stands on it, and the same as PDF."""

from dataclasses import dataclass

from django.contrib.staticfiles import finders
from django.template.loader import render_to_string

from measurements.papers.before_after import BeforeAfter, before_after_of
from measurements.papers.care import CARE, FIRST_CHECK, NO_LOCAL_RULES
from measurements.papers.curve_plots import curve_chart
from measurements.verdict.checks import Limit
from measurements.verdict.limit_table import plan_limits
from shop.fitting.models import Fitment
from shop.jobs.models import JobCard, JobEvent
from shop.papers.models import HandOver
from shop.safety.notes import FIRST, HAZARD, hazards_before
from shop.workshop.models import Workshop
from sizing.drawing.plots import Chart


@dataclass(frozen=True)
class HandOverSheet:
    job: JobCard
    workshop: Workshop | None
    hand_over: HandOver | None
    fitment: Fitment | None
    page: BeforeAfter
    charts: list[Chart]
    limits: list[Limit]
    overrides: list[JobEvent]
    emission_equipment: str

    @property
    def rules(self) -> str:
        return (self.workshop.local_rules.strip() if self.workshop else "") or NO_LOCAL_RULES


def _emission_equipment(job: JobCard) -> str:
    fact = job.vehicle.facts.filter(name="emission_equipment").newest_first().first()
    survey = job.surveys.last()
    return (fact.text if fact else "") or (survey.emission_equipment if survey else "")


def hand_over_sheet_of(job: JobCard) -> HandOverSheet:
    page = before_after_of(job)
    fitment = job.fitments.select_related("turbo", "cooler", "air_cleaner", "pump").last()
    return HandOverSheet(
        job, Workshop.objects.first(), HandOver.objects.filter(job=job).select_related("by").first(), fitment, page,
        [c for c in (curve_chart(page, "torque_nm"), curve_chart(page, "power_kw")) if c],
        plan_limits(page.plan, "after") if page.plan else [],
        list(job.events.exclude(override_reason="").select_related("by")), _emission_equipment(job),
    )  # fmt: skip


def sheet_context(job: JobCard) -> dict:
    return {
        "job": job, "sheet": hand_over_sheet_of(job), "care": CARE, "first_check": FIRST_CHECK, "first": FIRST,
        "hazards": hazards_before("hand_over"), "law": HAZARD["emission"],
    }  # fmt: skip


class NoPdf(RuntimeError):
    """The libraries that draw a PDF are not on this machine."""


def _fetch_nothing(url: str, *_args, **_kwargs):
    raise ValueError(f"nothing is fetched for a paper: {url}")


def sheet_pdf(job: JobCard) -> bytes:
    """The sheet as PDF, or NoPdf where the libraries behind WeasyPrint are missing; the print page then serves."""
    try:
        # Imported only here: it takes half a second and some 60 MB, which only those who print shall pay.
        from weasyprint import CSS, HTML
    except (ImportError, OSError) as error:
        raise NoPdf(str(error)) from error
    html = render_to_string("measurements/papers/sheet_pdf.html", sheet_context(job))
    style = CSS(filename=finders.find("measurements/paper.css"), url_fetcher=_fetch_nothing)
    return HTML(string=html, url_fetcher=_fetch_nothing).write_pdf(stylesheets=[style])
