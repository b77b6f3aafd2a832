"""Readings as a table: one row a stop, one column a quantity, the plan's figure in a lighter hand beside the measured."""

from dataclasses import dataclass

from measurements.proving.models import ProvingRun
from measurements.readings.models import Point, Reading
from measurements.verdict.checks import Finding, worst
from measurements.verdict.findings import PointVerdict, Told, judge_all
from shop.jobs.models import JobCard
from sizing.physics.limits.values import ON
from sizing.plans.models import Plan
from sizing.units.quantities import QUANTITIES


@dataclass(frozen=True)
class Cell:
    quantity: str
    told: Told | None = None
    old: tuple[Reading, ...] = ()

    @property
    def reading(self) -> Reading | None:
        return self.told.reading if self.told else None

    @property
    def band(self) -> tuple[float, float] | None:
        return self.told.finding.band if self.told else None


@dataclass(frozen=True)
class PointRow:
    verdict: PointVerdict
    cells: list[Cell]


@dataclass(frozen=True)
class Section:
    title: str
    phase: str
    run: ProvingRun | None
    plan: Plan | None
    columns: list[str]
    rows: list[PointRow]

    @property
    def word(self) -> str:
        return worst(row.verdict.word for row in self.rows)

    @property
    def findings(self) -> list[Finding]:
        return [t.finding for row in self.rows for t in row.verdict.told]

    @property
    def remarks(self) -> list[PointVerdict]:
        """The stops that are not simply on plan, in order."""
        return [row.verdict for row in self.rows if row.verdict.word not in ("", ON)]


def _row(verdict: PointVerdict, columns: list[str]) -> PointRow:
    old = {reading.pk: tuple(before) for reading, before in verdict.point.with_old()}
    told = {t.quantity: t for t in verdict.told}
    cells = [Cell(c, t, old[t.reading.pk]) if (t := told.get(c)) and t.reading else Cell(c) for c in columns]
    return PointRow(verdict, cells)


def section_of(title: str, phase: str, points: list[Point], run: ProvingRun | None, plan: Plan | None) -> Section:
    ordered = sorted(points, key=lambda p: (-p.load_pct, p.speed_rpm, p.taken_at))
    verdicts = judge_all(ordered, plan)
    seen = {t.quantity for v in verdicts for t in v.told}
    columns = [slug for slug in QUANTITIES if slug in seen]
    return Section(title, phase, run, plan, columns, [_row(v, columns) for v in verdicts])


def sections_of(job: JobCard, plan: Plan | None) -> list[Section]:
    """Baseline, each proving run in order, and checks after hand-over; sections without a point are left out."""
    points = list(Point.objects.of(job).with_readings())
    runs = list(ProvingRun.objects.of(job).with_people())
    sections = [
        section_of("Baseline, before the fit", "before", [p for p in points if p.phase == "before"], None, plan)
    ]
    for run in runs:
        own = [p for p in points if p.run_id == run.pk]
        sections.append(section_of(f"Proving run {run.number}", "after", own, run, run.plan))
    later = [p for p in points if p.phase == "after" and p.run_id is None]
    sections.append(section_of("After hand-over", "after", later, None, runs[-1].plan if runs else plan))
    return [s for s in sections if s.rows]
