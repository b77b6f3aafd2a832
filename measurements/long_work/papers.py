"""Long work on papers: a hand-over sheet with much on it."""

from django.utils.translation import gettext_lazy

from measurements.papers.sheet import NoPdf, sheet_pdf
from measurements.readings.models import Reading
from shop.jobs.models import JobCard
from shop.long_work.kinds import Done, WorkRefused, long_work
from shop.long_work.queue import Hand

# A sheet takes about 0.1 s and 5 ms for each reading on it (measured: 0.15 s with 9 readings, 0.38 s with 51), so this
# is a second on a quick machine.
LARGE_SHEET_READINGS = 150


def is_large_sheet(job: JobCard) -> bool:
    return Reading.objects.filter(point__job=job).count() > LARGE_SHEET_READINGS


@long_work(
    "sheet_pdf", gettext_lazy("Hand-over sheet of job %(number)s as PDF"), "shop.view_jobcard",
    steps={"draw": gettext_lazy("Setting the pages")},
)  # fmt: skip
def make_sheet(hand: Hand, *, job: int, number: str) -> Done:
    card = JobCard.objects.select_related("vehicle__customer").filter(pk=job).first()
    if card is None:
        raise WorkRefused("work.job_gone")
    hand.tell("draw")
    file = hand.folder / "sheet.pdf"
    try:
        file.write_bytes(sheet_pdf(card))
    except NoPdf as none:
        raise WorkRefused("paper.no_pdf") from none
    return Done(file=file, name=pdf_name(card))


def pdf_name(job: JobCard) -> str:
    return f"hand-over {job.number}.pdf"
