"""The chances of a plan in words: how likely each limit is met, and what to measure first."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from sizing.physics.choice.chances import Influence
from sizing.plans.cases import Case
from sizing.plans.facts import ORIGIN_LABEL
from sizing.plans.inputs import PLAN_INPUTS
from sizing.plans.solve import Known, chances_of, known_inputs, measures_if_known
from sizing.units.figures import bare_unit, figure, number, tidy, to_shown
from sizing.words import in_words

# A share of the spread below this is not worth a measurement.
LEAST_SHARE = 0.05
OF_ITS_OWN = {"lambda_before_boost_ratio"}  # the limit is another one at each speed and in each draw


def _around(words: str) -> Callable[[float, float], tuple[str, str]]:
    return lambda low, high: (words, f"±{(high - 1) * 100:.0f} %")


# What is only estimated of a turbo, and how it is come by.
OF_THE_TURBO = {
    "turbine_capacity_kg_s": lambda low, high: (
        "Flow capacity of the turbine, by its data sheet or from boost read at full load",
        f"{low:.3f} to {high:.3f} kg/s",
    ),
    "map_flow_ratio": _around("Flow of the compressor: ask for its measured map"),
    "map_efficiency_shift": lambda low, high: (
        "Efficiency of the compressor: ask for its measured map",
        f"±{high * 100:.0f} points",
    ),
    "surge_flow_ratio": _around("Surge edge of the compressor: ask for its measured map"),
}


@dataclass(frozen=True)
class ChanceRow:
    label: str
    chance: str
    spread: str
    limit: str


@dataclass
class ChanceAnswer:
    trouble: str = ""
    draws: str = ""
    turbo: str = ""  # through whose match the draws went
    limits: list[ChanceRow] = field(default_factory=list)
    first: list[str] = field(default_factory=list)


def chance_answer(case: Case) -> ChanceAnswer:
    try:
        found = chances_of(case)
        known = known_inputs(case)
    except ValueError as error:
        return ChanceAnswer(trouble=in_words(str(error)))
    rows = [
        ChanceRow(
            row.label,
            chance_words(row.chance, found.draws),
            _spread(row.low, row.high, row.unit),
            "" if row.name in OF_ITS_OWN else figure(row.limit, row.unit),
        )
        for row in found.limits
    ]
    first = [_first(item, known) for item in found.influences[:3] if item.share >= LEAST_SHARE]
    turbo = str(case.turbo) if measures_if_known(case) else ""
    return ChanceAnswer(draws=f"{found.draws:,}", turbo=turbo, limits=rows, first=first)


def _spread(low: float, high: float, unit: str) -> str:
    start = number(low, unit)
    return figure(high, unit) if start == number(high, unit) else f"{start} to {figure(high, unit)}"


def chance_words(chance: float, draws: int) -> str:
    """Never 0 or 100 % by rounding.

    >>> chance_words(0.9351, 2000), chance_words(0.9995, 2000), chance_words(1.0, 2000), chance_words(0.0, 2000)
    ('94 %', 'over 99 %', 'in all 2,000 draws', 'in none of 2,000 draws')
    """
    if chance >= 1:
        return f"in all {draws:,} draws"
    if chance <= 0:
        return f"in none of {draws:,} draws"
    if chance > 0.99:
        return "over 99 %"
    return "under 1 %" if chance < 0.01 else f"{chance * 100:.0f} %"


def _first(item: Influence, known: Mapping[str, Known]) -> str:
    moved = f"{item.share * 100:.0f} % of the spread of {item.limit_label.lower()}"
    if item.name in OF_THE_TURBO:
        label, ends = OF_THE_TURBO[item.name](item.low, item.high)
        return f"{label} ({ends}, estimated): {moved}"
    fact = PLAN_INPUTS[item.name]
    ends = " to ".join(tidy(float(to_shown(end, fact.unit))) for end in (item.low, item.high))
    value = f"{ends} {bare_unit(fact.unit)}".rstrip()
    return f"{fact.label} ({value}, {ORIGIN_LABEL[known[item.name].origin]}): {moved}"
