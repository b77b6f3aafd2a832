"""The review as pages and files show it: the plot, the jobs behind a pairing, the rows of the CSV."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from django.db.models import QuerySet
from numpy.typing import NDArray

from measurements.review.review import Cases, Pairing
from measurements.review.survival import Curve, SurvivalAt, TooFew
from shop.follow_up.models import Failure
from shop.jobs.models import JobCard
from sizing.drawing.plots import Band, Chart, Line
from sizing.units.figures import bare_unit, difference
from sizing.units.figures import unit as unit_of

LEAST_FOLLOWED = 3  # the sentence speaks of a time at which so many at least are still followed


def readings_for(curve: Curve) -> list[float]:
    """Round numbers of months that the curve reaches."""
    step = next(s for s in (3, 6, 12, 24, 48) if curve.last_time / s <= 8 or s == 48)
    return [float(month) for month in range(0, int(curve.last_time) + 1, step)]


def at_risk_table(curve: Curve) -> list[SurvivalAt]:
    return [curve.at(month) for month in readings_for(curve)]


def _steps(times: Sequence[float], values: Sequence[float]) -> tuple[list[float], list[float]]:
    """The corners of a staircase that goes down at each time."""
    xs, ys = [times[0]], [values[0]]
    for time, value in zip(times[1:], values[1:], strict=True):
        xs += [time, time]
        ys += [ys[-1], value]
    return xs, ys


def sentence_for(curve: Curve) -> str:
    """What the curve says, as a sentence with its interval."""
    whole_years = [m for m in (12.0, 24.0, 36.0, 48.0, 60.0) if curve.at(m).at_risk >= LEAST_FOLLOWED]
    month = whole_years[-1] if whole_years else curve.median() or curve.last_time
    reading = curve.at(month)
    text = f"After {month:.0f} months {percent(reading.survival)} still run without a failure that counts"
    if reading.low is None or reading.high is None:
        return text
    return f"{text} ({percent(reading.low)} to {percent(reading.high)})"


def percent(share: float | None) -> str:
    return "not known" if share is None else f"{share * 100:.0f} %"


def survival_chart(curve: Curve) -> Chart:
    """Survival over months in service; the interval as a band from the first failure on."""
    times, survival = _steps([0.0, *curve.times], [1.0, *curve.survival])
    known = [
        (t, low, high)
        for t, s, low, high in zip(curve.times, curve.survival, curve.low, curve.high, strict=True)
        if s < 1 and low is not None and high is not None
    ]
    bands = []
    if known:
        at, low, high = (list(column) for column in zip(*known, strict=True))
        xs, lows = _steps(at, low)
        _, highs = _steps(at, high)
        bands = [Band(xs, [100 * v for v in lows], [100 * v for v in highs])]
    line = Line(f"{percent(curve.survival[-1])}", times, [100 * v for v in survival])
    floor = Line("", [0.0, 0.0], [0.0, 100.0], "edge")  # the axis runs from nothing to all
    y_label = "Without a failure that counts, %"
    return Chart("survival", sentence_for(curve), "Months in service", y_label, [floor, line], bands)


def count(value: float) -> str:
    return f"{value:,.0f}"


def whole_percent(share: float) -> str:
    return f"{share * 100:.0f}"


class PairingRow:
    """A pairing in words and figures as they stand on the page, in the shop's units."""

    def __init__(self, pairing: Pairing):
        self.key, self.turbo_name, self.name = pairing.key, pairing.turbo_name, pairing.name
        self.plunger = f"{pairing.key.plunger_mm:.1f} mm plunger, {pairing.key.cooler_words}"
        self.fitted, self.followed = count(pairing.fitted), count(pairing.followed)
        self.service = count(pairing.service_months)
        self.running = [
            (count(figure.value), f"{unit} of {figure.known}")
            for figure, unit in ((pairing.running_h, "h"), (pairing.running_km, "km"))
            if figure.value is not None
        ]
        self.failures, self.others = count(pairing.failures), count(pairing.other_failures)
        self.has_others = pairing.other_failures > 0
        self._survival(pairing.left)
        self._gain(pairing)
        self._heat(pairing)

    def _survival(self, left: SurvivalAt | TooFew) -> None:
        self.left = self.interval = self.no_survival = ""
        if isinstance(left, TooFew):
            self.no_survival = "too few"
        elif left.survival is None:
            self.no_survival = "none followed so long"
        else:
            self.left, self.at_risk = whole_percent(left.survival), count(left.at_risk)
            self.interval = "no failure by then"
            if left.low is not None and left.high is not None:
                self.interval = f"{whole_percent(left.low)} to {whole_percent(left.high)} %"

    def _gain(self, pairing: Pairing) -> None:
        self.gain = ""
        if pairing.gain_kw.value is not None:
            self.gain = difference(pairing.gain_kw.value, "power_kw")
            self.gain_unit = unit_of("power_kw")
            self.gain_pct = f"{pairing.gain_pct.value:.0f}"
            self.gain_known = pairing.gain_kw.known

    def _heat(self, pairing: Pairing) -> None:
        self.heat, least, average = "", pairing.in_hand_c.lowest, pairing.in_hand_c.value
        if least is not None and average is not None:
            self.heat, self.is_beyond = heat(abs(least)), least < 0
            self.heat_average = f"{'beyond by ' if average < 0 else ''}{heat(abs(average))}"
            self.heat_unit, self.heat_known = bare_unit("exhaust_temperature_c"), pairing.in_hand_c.known


def heat(value_c: float) -> str:
    """A difference in exhaust temperature without its sign."""
    return difference(value_c, "exhaust_temperature_c").lstrip("+")


def survival_figure(chart: Chart, curve: Curve) -> dict[str, Any]:
    """The plot with its ticks at the months of the table under it."""
    figure = chart.figure
    months = readings_for(curve)
    figure["layout"]["xaxis"] |= {"dtick": months[1] if len(months) > 1 else 1, "range": [0, curve.last_time * 1.02]}
    return figure


@dataclass(frozen=True)
class PairingJob:
    """One job behind a pairing, as a row of the page."""

    job: JobCard
    months: float | None
    failed: bool
    hours: float | None
    km: float | None
    gain_kw: float | None
    in_hand_c: float | None


class CaseRows:
    """Rows made only for the page that is shown, which is asked for as a slice."""

    def __init__(self, found: Cases, rows: NDArray[np.int64]):
        self.found, self.rows = found, rows

    def __len__(self) -> int:
        return len(self.rows)

    def __getitem__(self, part: slice) -> list[PairingJob]:
        rows = self.rows[part]
        jobs = JobCard.objects.with_people().select_related("hand_over").in_bulk(self.found.job[rows].tolist())
        return [self._case(row, jobs) for row in rows.tolist()]

    def _case(self, row: int, jobs: dict[int, JobCard]) -> PairingJob:
        found = self.found
        figures = [known(getattr(found, name)[row]) for name in ("hours", "km", "gain_kw", "in_hand_c")]
        months = float(found.months[row]) if found.followed[row] else None
        return PairingJob(jobs[int(found.job[row])], months, bool(found.failed[row]), *figures)


def known(value: float) -> float | None:
    return None if np.isnan(value) else float(value)


def cases_of(found: Cases, rows: NDArray[np.bool_]) -> CaseRows:
    """The jobs of a pairing, those that failed first, then those that ran longest."""
    chosen = np.flatnonzero(rows)
    return CaseRows(found, chosen[np.lexsort((-found.months[chosen], ~found.failed[chosen]))])


def failures_of(jobs: list[int]) -> QuerySet[Failure]:
    failures = Failure.objects.filter(job__in=jobs).select_related("job__vehicle")
    return failures.order_by("-ends_pairing", "-on")


CSV_COLUMNS = [
    "turbo", "plunger_mm", "cooler", "fitted", "followed", "service_months",
    "running_h", "running_h_known_of", "running_km", "running_km_known_of", "failures", "other_failures",
    "survival_at_months", "survival", "survival_low", "survival_high", "at_risk",
    "gain_kw", "gain_pct", "gain_known_of", "exhaust_in_hand_lowest_c", "exhaust_in_hand_average_c",
    "exhaust_in_hand_known_of", "too_few",
]  # fmt: skip


def csv_rows(rows: list[Pairing], months: float) -> Iterator[list[object]]:
    for row in rows:
        left = row.left
        figures = [None] * 4 if isinstance(left, TooFew) else [left.survival, left.low, left.high, left.at_risk]
        yield [
            row.turbo_name, row.key.plunger_mm, row.key.has_cooler, row.fitted, row.followed,
            row.service_months, row.running_h.value, row.running_h.known,
            row.running_km.value, row.running_km.known, row.failures, row.other_failures,
            months, *figures, row.gain_kw.value, row.gain_pct.value,
            row.gain_kw.known, row.in_hand_c.lowest, row.in_hand_c.value, row.in_hand_c.known,
            left.words if isinstance(left, TooFew) else "",
        ]  # fmt: skip
