"""A pull of a log judged against the plan, at the speed where its peak stood."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import prefetch_related_objects

from measurements.checks import Finding, Measured, judge_reading, worst
from measurements.findings import Told, tell
from measurements.models import LogPull
from measurements.plan_side import bands_at, plan_limits
from sizing.models import Plan


@dataclass(frozen=True)
class JudgedPull:
    pull: LogPull
    told: list[Told]

    @property
    def word(self) -> str:
        return worst(t.word for t in self.told)


def _findings(pull: LogPull, bands: dict, limits: list) -> list[Finding]:
    found = []
    if pull.boost_highest_kpa is not None:
        band = bands.get(pull.boost_highest_at_rpm, {}).get("boost_kpa")
        found.append(judge_reading(Measured("boost_kpa", pull.boost_highest_kpa), band, limits))
    if pull.exhaust_temperature_highest_c is not None:
        # Where the probe sat is not in the log, and heat lags behind: only the limit is asked.
        found.append(judge_reading(Measured("exhaust_temperature_c", pull.exhaust_temperature_highest_c), None, limits))
    return found


def judge_pulls(pulls: Iterable[LogPull], plan: Plan | None, phase: str) -> list[JudgedPull]:
    pulls = list(pulls)
    bands, limits = {}, []
    if plan is not None:
        prefetch_related_objects([plan], "inputs", "own_limits")
        limits = plan_limits(plan, phase)
        speeds = {p.boost_highest_at_rpm for p in pulls if p.boost_highest_at_rpm}
        bands = bands_at(plan, speeds) if phase == "after" and speeds else {}
    return [JudgedPull(p, [Told(f, tell(f)) for f in _findings(p, bands, limits)]) for p in pulls]
