"""Which vehicles come in, when, and what is true of each: the figures that nobody in the workshop can see."""

from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from measurements.demo import names
from measurements.demo.engines import ENGINES, MODELS, Engine, Model

ZONE = ZoneInfo(names.WORKSHOP["time_zone"])
YEARS = 6
FINISHED = 222
# Jobs still open today, and how many days ago each was opened.
OPEN = {
    "booked": (1, 1, 2, 3), "surveyed": (3, 4, 6), "planned": (6, 8, 10), "agreed": (11, 15, 17),
    "fitting": (19, 20, 22, 25), "proving": (22, 24, 27, 30),
}  # fmt: skip
SHARES = (0.4, 0.55, 0.7, 0.85, 1.0)  # of rated speed: where the sheet proposes to stop


@dataclass(frozen=True)
class Hidden:
    """True of this engine and its owner, known to nobody."""

    wear: float  # 0 new to 1 worn out
    oil_care: float  # 0 never changed to 1 always in time
    caution: float  # how far from the limits this plan is set, 0 to 1
    delivery_scale: float  # of this pump against the book
    compression_ratio: float
    turbine_efficiency: float
    compressor_efficiency: float
    exhaust_loss_kpa: float
    cleaner_loss_kpa: float
    cooler_scale: float
    boost_scale: float
    fuel_density: float
    fault: str  # of the first proving run: leak, overfuel, cleaner or none
    budget_share: float  # what the customer would pay, against what it costs
    capacity_scale: float = 1.0  # of this turbine against what its housing lets expect


@dataclass
class Visit:
    """One vehicle with its story; what is worked out later is filled in by truth.py and wear.py."""

    number: int
    rng: np.random.Generator
    model: Model
    engine: Engine
    opened_on: date
    end: str  # stage in which the story stands today
    hidden: Hidden
    turbo: str
    has_cooler: bool
    boost_kpa: float
    meter_start: float | None
    delivery_book_mm3: float = 0.0
    delivery_before_mm3: float = 0.0
    delivery_plan_mm3: float = 0.0
    plunger_mm: float = 0.0
    speeds_rpm: np.ndarray = field(default_factory=lambda: np.empty(0))
    before: dict[str, np.ndarray] = field(default_factory=dict)
    first_run: dict[str, np.ndarray] = field(default_factory=dict)
    after: dict[str, np.ndarray] = field(default_factory=dict)

    def at(self, day: int, hour: int = 8, minute: int = 0) -> datetime:
        """A moment of working time, days after the job was opened; Sundays move to Monday."""
        on = self.opened_on + timedelta(days=day)
        on += timedelta(days=on.weekday() == 6)
        return datetime.combine(on, time(hour, minute), tzinfo=ZONE)

    def air_temperature_c(self, day: int) -> float:
        """Highland weather: cool, with a mild season."""
        on = self.opened_on + timedelta(days=day)
        season = 5.0 * np.sin(2 * np.pi * (on.timetuple().tm_yday - 30) / 365)
        scatter = np.random.default_rng([self.number, on.toordinal()]).normal(0, 2.5)
        return float(np.clip(13.0 + season + scatter, 1.0, 27.0))


def _draw(rng: np.random.Generator, engine: Engine) -> Hidden:
    wear = float(rng.beta(2.0, 3.6))
    fault = str(rng.choice(["", "leak", "overfuel", "cleaner"], p=[0.90, 0.04, 0.04, 0.02]))
    return Hidden(
        wear=wear,
        oil_care=float(rng.beta(4.0, 2.0)),
        caution=float(rng.beta(2.0, 2.0)),
        delivery_scale=float(np.clip(rng.normal(1.0, 0.03), 0.92, 1.08)),
        compression_ratio=engine.compression_ratio - 0.8 * wear + float(np.clip(rng.normal(0, 0.12), -0.3, 0.3)),
        turbine_efficiency=float(np.clip(rng.normal(0.58, 0.02), 0.53, 0.63)),
        compressor_efficiency=float(np.clip(rng.normal(0.68, 0.015), 0.64, 0.72)),
        exhaust_loss_kpa=float(np.clip(rng.normal(6.0, 0.9), 3.5, 9.0)),
        cleaner_loss_kpa=float(np.clip(rng.normal(2.3, 0.35), 1.5, 3.4)),
        cooler_scale=float(np.clip(rng.normal(1.0, 0.03), 0.92, 1.08)),
        boost_scale=float(np.clip(rng.normal(1.0, 0.025), 0.93, 1.07)),
        fuel_density=float(np.clip(rng.normal(836, 3.5), 826, 844)),
        fault=fault,
        budget_share=float(np.clip(rng.normal(1.25, 0.16), 0.8, 1.8)),
    )


def _end(hidden: Hidden) -> str:
    """Worn-out engines are not fit; a customer who would pay too little declines the quote."""
    if hidden.wear > 0.80:
        return "unfit"
    return "declined" if hidden.budget_share < 1.03 else "handed_over"


def _case(seed: int, number: int, opened_on: date, end: str) -> Visit:
    rng = np.random.default_rng([seed, number])
    weights = np.array([model.weight for model in MODELS])
    model = MODELS[int(rng.choice(len(MODELS), p=weights / weights.sum()))]
    engine = ENGINES[model.engine]
    hidden = _draw(rng, engine)
    if not end:
        end = _end(hidden)
    elif end != "booked":  # a job that is under way has passed the survey
        hidden = replace(hidden, wear=min(hidden.wear, 0.6), fault="")
    scatter = np.random.default_rng([seed, number, 1])
    hidden = replace(hidden, capacity_scale=float(np.clip(scatter.normal(1.0, 0.04), 0.9, 1.1)))
    has_cooler = bool(rng.random() < (0.35 if engine.injection == "indirect" else 0.55))
    base = (68, 92) if engine.injection == "indirect" else (74, 100)
    meter = {"km": rng.uniform(90_000, 420_000), "h": rng.uniform(2500, 14_000), "none": None}[model.meter]
    return Visit(
        number=number, rng=rng, model=model, engine=engine, opened_on=opened_on, end=end, hidden=hidden,
        turbo=engine.turbos[int(rng.random() < 0.3 and has_cooler)], has_cooler=has_cooler,
        boost_kpa=float(base[has_cooler] + engine.boost_step_kpa), meter_start=meter and round(float(meter)),
        speeds_rpm=np.round(engine.rated_speed_rpm * np.array(SHARES) / 50) * 50,
    )  # fmt: skip


def draw_fleet(seed: int, today: date, finished: int = FINISHED) -> list[Visit]:
    """All vehicles in the order in which they came in; the workshop takes on a little more every year."""
    first = today - timedelta(days=round(365.25 * YEARS))
    span = (today - first).days - 50
    cases = [_case(seed, i, first + timedelta(days=round(span * (i / finished) ** 0.85)), "") for i in range(finished)]
    for stage, days in OPEN.items():
        cases += [_case(seed, len(cases) + k, today - timedelta(days=d), stage) for k, d in enumerate(days)]
    return sorted(cases, key=lambda case: (case.opened_on, case.number))
