"""The chances of a plan in words: how likely each limit is met, and what to measure first."""

from dataclasses import dataclass, field

from .facts import ORIGIN_LABEL
from .fields import tidy
from .plan_inputs import PLAN_INPUTS, PLAN_LIMITS
from .shown_units import figure, number, shown_unit, to_shown
from .solve import Case, chances_of, known_inputs

# A share of the spread below this is not worth a measurement.
LEAST_SHARE = 0.05


@dataclass(frozen=True)
class ChanceRow:
    label: str
    chance: str
    spread: str
    limit: str


@dataclass
class ChanceAnswer:
    trouble: str = ""
    draws: int = 0
    limits: list[ChanceRow] = field(default_factory=list)
    first: list[str] = field(default_factory=list)


def chance_answer(case: Case) -> ChanceAnswer:
    try:
        found = chances_of(case)
        known = known_inputs(case)
    except ValueError as error:
        text = str(error)
        return ChanceAnswer(trouble=f"{text[:1].upper()}{text[1:].rstrip('.')}.")
    rows = [
        ChanceRow(
            row.label, chance_words(row.chance, found.draws),
            _spread(row.low, row.high, row.unit), figure(row.limit, row.unit),
        )
        for row in found.limits
    ]
    first = [
        _first(item.name, known[item.name], PLAN_LIMITS[item.limit_moved].label, item.share)
        for item in found.influences[:3]
        if item.share >= LEAST_SHARE
    ]
    return ChanceAnswer(draws=found.draws, limits=rows, first=first)


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


def _first(name: str, known, limit: str, share: float) -> str:
    fact = PLAN_INPUTS[name]
    ends = " to ".join(tidy(float(to_shown(end, fact.unit))) for end in (known.low, known.high))
    where = ORIGIN_LABEL[known.origin]
    value = f"{ends} {shown_unit(fact.unit)}".rstrip()
    return f"{fact.label} ({value}, {where}): {share * 100:.0f} % of the spread of {limit.lower()}"
