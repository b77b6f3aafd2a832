"""A pull of a log judged against the plan: settled boost by the band, peaks by the limits, each with its gauge."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from django.utils import timezone

from measurements.logs.models import LogColumn, LogFile, LogPull
from measurements.logs.pulls.pulls import Pull
from measurements.readings.gauges import gauge_notes
from measurements.readings.instruments import Instrument
from measurements.verdict.checks import Finding, Limit, Measured, judge_reading, worst
from measurements.verdict.findings import Told, bands_and_limits
from measurements.verdict.plan_side import Bands
from measurements.verdict.telling import tell
from sizing.plans.models import Plan
from sizing.said import Said, together
from sizing.ways import gap_of


def row_of(log: LogFile, pull: Pull) -> LogPull:
    found, swing = pull.figures, pull.figures.swing
    return LogPull(
        log=log, start_s=pull.start_s, end_s=pull.end_s, speed_from_rpm=pull.speed_from_rpm, speed_to_rpm=pull.speed_to_rpm,
        boost_highest_kpa=pull.boost_highest_kpa, boost_highest_at_rpm=pull.boost_highest_at_rpm,
        exhaust_temperature_highest_c=pull.exhaust_temperature_highest_c,
        exhaust_temperature_highest_at_rpm=pull.exhaust_temperature_highest_at_rpm, heat_rise_c_s=found.heat_rise_c_s,
        boost_settled_kpa=found.settled_kpa, boost_settled_at_rpm=found.settled_at_rpm, boost_rise_s=found.rise_s,
        boost_rise_at_rpm=found.rise_at_rpm, boost_overshoot_pct=found.overshoot_pct, boost_fall_off_kpa=found.fall_off_kpa,
        lambda_lowest=found.lambda_lowest, swing_hz=swing.frequency_hz if swing else None, swing_kpa=swing.height_kpa if swing else None,
        swing_dies_away=bool(swing and swing.dies_away), swing_visible_hz=found.highest_swing_hz, boost_curve=[list(p) for p in found.curve],
    )  # fmt: skip


@dataclass(frozen=True)
class JudgedPull:
    pull: LogPull
    told: list[Told]
    notes: list[Said] = field(default_factory=list)

    @property
    def word(self) -> str:
        return worst(t.word for t in self.told)


def _instruments(logs: set[int]) -> dict[tuple[int, str], Instrument]:
    rows = LogColumn.objects.filter(log__in=logs, instrument__isnull=False).select_related("instrument")
    return {(row.log_id, row.quantity): row.instrument for row in rows if row.instrument}


def _measured(slug: str, value: float, instrument: Instrument | None) -> Measured:
    return Measured(slug, value, uncertainty=instrument.uncertainty if instrument else None)


def _findings(
    pull: LogPull, bands: Mapping[float, Bands], limits: list[Limit], gauges: dict[str, Instrument | None]
) -> list[Finding]:
    found = []
    if pull.boost_settled_kpa is not None:
        at_rpm = pull.boost_settled_at_rpm
        band = bands.get(at_rpm, {}).get("boost_kpa") if at_rpm is not None else None
        found.append(judge_reading(_measured("boost_kpa", pull.boost_settled_kpa, gauges["boost_kpa"]), band, []))
    if pull.boost_highest_kpa is not None:
        found.append(judge_reading(_measured("boost_kpa", pull.boost_highest_kpa, gauges["boost_kpa"]), None, limits))
    if pull.exhaust_temperature_highest_c is not None:
        # Where the probe sat is not in the log, and heat lags behind: only the limit is asked.
        found.append(
            judge_reading(
                _measured("exhaust_temperature_c", pull.exhaust_temperature_highest_c, gauges["exhaust_temperature_c"]),
                None,
                limits,
            )
        )
    if pull.lambda_lowest is not None:
        found.append(judge_reading(_measured("lambda_ratio", pull.lambda_lowest, gauges["lambda_ratio"]), None, limits))
    return found


def _told(pull: LogPull, findings: list[Finding], gauges: dict[str, Instrument | None], on: date) -> list[Told]:
    told = []
    for finding in findings:
        settled = (
            finding.quantity == "boost_kpa"
            and finding.limit is None
            and finding.measured.value == pull.boost_settled_kpa
        )
        code = "pull.settled" if settled else "pull.lowest" if finding.quantity == "lambda_ratio" else "pull.highest"
        notes = gauge_notes(gauges[finding.quantity], finding.measured.value, on)
        told.append(Told(finding, together([Said(code, {"what": tell(finding)}), *notes])))
    return told


def _notes(pull: LogPull) -> list[Said]:
    notes = []
    if pull.boost_highest_kpa is not None and pull.boost_settled_kpa is None and pull.boost_curve:
        notes.append(Said("pull.not_settled"))
    if pull.swing_hz is not None:
        swing = {"height": gap_of("boost_kpa", pull.swing_kpa or 0.0), "hz": pull.swing_hz}
        notes.append(Said("pull.rings" if pull.swing_dies_away else "pull.surge", swing))
    return notes


def judge_pulls(pulls: Iterable[LogPull], plan: Plan | None, phase: str) -> list[JudgedPull]:
    pulls = list(pulls)
    bands: dict[float, Bands] = {}
    limits: list[Limit] = []
    if plan is not None and pulls:
        speeds = {p.boost_settled_at_rpm for p in pulls if p.boost_settled_at_rpm}
        bands, limits = bands_and_limits(plan, speeds if phase == "after" else set(), phase)
    known, judged = _instruments({p.log_id for p in pulls}), []
    for pull in pulls:
        gauges = {
            slug: known.get((pull.log_id, slug)) for slug in ("boost_kpa", "exhaust_temperature_c", "lambda_ratio")
        }
        findings = _findings(pull, bands, limits, gauges)
        judged.append(JudgedPull(pull, _told(pull, findings, gauges, timezone.localdate(pull.log.at)), _notes(pull)))
    return judged
