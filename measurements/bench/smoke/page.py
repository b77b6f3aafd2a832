"""What the page of one smoke test shows: where it stands and what comes next."""

from functools import cached_property

from django.utils import timezone

from measurements.bench.smoke.actions import outcome_of
from measurements.bench.smoke.models import SmokeSnap, SmokeTest
from measurements.bench.smoke.standard import PROCEDURES, Evaluation, Procedure
from shop.jobs.models import JobCard
from shop.survey.actions import current_facts


def rated_power_kw(job: JobCard) -> float | None:
    """Rated power as known; the higher end of a range, which gives the longer standard path."""
    fact = current_facts(job.vehicle).get("rated_power_kw")
    return fact.high if fact else None


class SmokePage:
    def __init__(self, test: SmokeTest):
        self.test = test

    @cached_property
    def outcome(self) -> Evaluation:
        return outcome_of(self.test)

    @property
    def procedure(self) -> Procedure:
        return PROCEDURES[self.test.procedure]

    @property
    def clearing_done(self) -> int:
        return len(self.test.clearing())

    @property
    def is_clearing(self) -> bool:
        return self.clearing_done < self.procedure.clearing

    @property
    def is_done(self) -> bool:
        return not self.is_clearing and self.outcome.state != "more"

    @property
    def next_number(self) -> int:
        return (self.clearing_done if self.is_clearing else len(self.test.measured())) + 1

    @property
    def meter_is_overdue(self) -> bool:
        return self.test.meter is not None and self.test.meter.is_overdue(timezone.localdate(self.test.at))

    @property
    def meter_beyond_range(self) -> bool:
        meter = self.test.meter
        return (
            meter is not None
            and meter.quantity == self.test.slug
            and any(s.value is not None and not meter.covers(s.value) for s in self.test.measured())
        )

    def snaps(self) -> list[tuple[SmokeSnap, int, bool, list[SmokeSnap]]]:
        """Each standing snap with its place in its row, whether it counts, and the figures it replaced."""
        measured, by_id = self.test.measured(), {s.id: s for s in self.test.snaps.all()}
        counted = set(measured[-self.procedure.measured :]) if len(measured) >= self.procedure.measured else set()
        rows: list[tuple[SmokeSnap, int, bool, list[SmokeSnap]]] = []
        for row in (self.test.clearing(), measured):
            for i, snap in enumerate(row, start=1):
                old: list[SmokeSnap] = []
                before = snap
                while before.replaces_id in by_id:
                    before = by_id[before.replaces_id]
                    old.insert(0, before)
                rows.append((snap, i, snap in counted, old))
        return rows
