"""Compared combinations as they stand on a page."""

from dataclasses import dataclass

from .comparing import Combination, Compared
from .models import Plan
from .physics.compare import Ranked
from .shown_units import figure

MOST_ROWS = 24  # in full; the others in a line each
MOST_REASONS = 2


@dataclass(frozen=True)
class CompareRow:
    combination: Combination
    plunger: str
    verdict: str
    score: str
    reasons: list[str]
    more_reasons: int
    torque: str
    boost: str
    space: str
    is_plan: bool
    keeps_cooler: bool


def compare_rows(plan: Plan, found: Compared) -> list[CompareRow]:
    return [_row(plan, combination, ranked) for combination, ranked in found.ranked]


def _row(plan: Plan, combination: Combination, ranked: Ranked) -> CompareRow:
    typed_cooler = combination.cooler is None and combination.cooler_words != "none"
    same = combination.turbo.pk == plan.turbo_id and combination.plunger == plan.plunger
    return CompareRow(
        combination, f"{combination.plunger.diameter_mm:g}" if combination.plunger else "", ranked.verdict, f"{ranked.score * 100:.0f}", [reason.replace(" -", " −") for reason in ranked.reasons[:MOST_REASONS]],
        max(len(ranked.reasons) - MOST_REASONS, 0), figure(ranked.torque_nm, "Nm"), figure(ranked.boost_kpa, "kPa"),
        {None: "not known", "on plan": "goes in", "near the edge": "goes in, tight"}.get(ranked.candidate.space, "does not go in"),
        same and (typed_cooler or combination.cooler == plan.cooler), typed_cooler,
    )
