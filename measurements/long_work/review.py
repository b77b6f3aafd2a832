"""Long work for the review: outcomes that are not kept yet, and a long table as CSV."""

from typing import Any

from django.utils.translation import gettext_lazy

from measurements.review.outcomes import TOGETHER, keep_missing_outcomes, missing_outcomes
from measurements.review.review import cases, pairings
from measurements.review.table import csv_table, wanted
from shop.long_work.kinds import Done, long_work
from shop.long_work.models import Work
from shop.long_work.queue import Hand, ask
from shop.papers.models import HandOver

# 10,000 jobs are summed up in 0.15 s; from here on a person would wait for the better part of a second.
MANY_JOBS = 40_000


def many_jobs() -> bool:
    return HandOver.objects.count() > MANY_JOBS


def outcomes_under_way() -> Work | None:
    """The work that makes the review whole, where so much is missing that a page should not wait for it.

    That is so after a backup of an older version was put back. A few are worked out by the review itself.
    """
    if missing_outcomes() <= TOGETHER:
        return None
    work = ask("review_outcomes", None)
    return work if work.is_under_way else None


@long_work(
    "review_outcomes", gettext_lazy("Outcomes for the review"), "measurements.view_review",
    steps={"outcomes": gettext_lazy("Working out what became of each job")},
)  # fmt: skip
def keep_outcomes(hand: Hand) -> Done:
    keep_missing_outcomes(lambda share: hand.tell("outcomes", share))
    return Done(leads_to=("measurements:review",))


@long_work("review_csv", gettext_lazy("The review as CSV"), "measurements.view_review")
def export_review(hand: Hand, *, asked: dict[str, Any]) -> Done:
    keep_missing_outcomes()
    file = hand.folder / "pairings.csv"
    rows = wanted(pairings(cases(), asked["months"]), asked)
    file.write_text(csv_table(rows, asked["months"]), encoding="utf-8", newline="")
    return Done(file=file, name=file.name)
