"""The steps of a run that are proposed: warm-up, then held speeds at full load, from the rated speed of plan or engine."""

from dataclasses import dataclass

from shop.jobs.models import JobCard
from shop.survey.models import EngineFact
from sizing.plans.models import Plan, PlanInput

SHARES = (0.4, 0.55, 0.7, 0.85, 1.0)
WARM_UP_SHARE = 0.3
ROUND_TO_RPM = 50
# Common practice: oil warm before full load; a thermocouple in the exhaust follows within half a minute.
WARM_OIL_C = 70.0
SETTLE_S = 30
COOL_DOWN_S = 180


@dataclass(frozen=True)
class RunStep:
    speed_rpm: float
    load_pct: float
    done: bool = False

    @property
    def slug(self) -> str:
        return f"{self.speed_rpm:g}x{self.load_pct:g}"

    @property
    def label(self) -> str:
        load = "full load" if self.load_pct == 100 else "no load" if self.load_pct == 0 else f"{self.load_pct:g} % load"
        return f"{self.speed_rpm:,.0f} rpm, {load}"

    @property
    def is_warm_up(self) -> bool:
        return self.load_pct == 0


def rated_speed_rpm(job: JobCard, plan: Plan | None) -> float | None:
    """Middle of what is known of the rated speed: the plan's input, else the engine's newest fact."""
    row: PlanInput | EngineFact | None = plan.inputs.filter(name="rated_speed_rpm").first() if plan else None
    row = row or EngineFact.objects.filter(vehicle=job.vehicle_id, name="rated_speed_rpm").newest_first().first()
    return (row.low + row.high) / 2 if row and row.low is not None and row.high is not None else None


def _at(rated_rpm: float, share: float) -> float:
    return float(round(rated_rpm * share / ROUND_TO_RPM) * ROUND_TO_RPM)


def proposed_steps(rated_rpm: float | None, taken: set[tuple[float, float]]) -> list[RunStep]:
    """Proposed stops and every other one that was taken already, in order of load and speed."""
    wanted = (
        {(_at(rated_rpm, share), 100.0) for share in SHARES} | {(_at(rated_rpm, WARM_UP_SHARE), 0.0)}
        if rated_rpm
        else set()
    )
    return [
        RunStep(speed, load, (speed, load) in taken)
        for speed, load in sorted(wanted | taken, key=lambda s: (s[1], s[0]))
    ]
