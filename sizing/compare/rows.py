"""Compared combinations as they stand on a page."""

from dataclasses import dataclass

from sizing.compare.comparing import Combination, Compared
from sizing.physics.choice.ranking import Ranked, Reason, Share
from sizing.physics.limits.values import NEAR, ON
from sizing.plans.models import Plan
from sizing.units.figures import figure, gap

MOST_ROWS = 24  # in full; the next ones in a line each
MOST_LINES = 200
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
    points_of: list[str]


SIDES = {
    "torque": "torque over all speeds", "low_speed": "torque at low speed", "margin": "room to the limits", "price": "price", "stock": "in stock",
    "space": "space",
}  # fmt: skip


def reason_words(reason: Reason) -> str:
    """In the shop's units.

    >>> reason_words(Reason("Lambda", 1.12, 1.2, "", "min"))
    'Lambda 1.12 is 0.08 below its limit of 1.20'
    """
    if reason.value is None or reason.limit is None:
        return reason.words
    side = "above" if reason.direction == "max" else "below"
    return (
        f"{reason.words} {figure(reason.value, reason.unit)} is {gap(reason.value - reason.limit, reason.unit)} {side} its limit "
        f"of {figure(reason.limit, reason.unit)}"
    )


def points_words(shares: tuple[Share, ...]) -> list[str]:
    """How the points come about: what counts, what it counts, what this one has of it."""
    total = sum(share.weight for share in shares) or 1.0
    return [
        f"{SIDES[share.name]}: {share.share * 100:.0f} of 100, weight {share.weight:g}, gives {100 * share.weight * share.share / total:.0f}"
        for share in shares if share.weight
    ]  # fmt: skip


def compare_rows(plan: Plan, found: Compared) -> list[CompareRow]:
    return [_row(plan, combination, ranked) for combination, ranked in found.ranked]


def _row(plan: Plan, combination: Combination, ranked: Ranked) -> CompareRow:
    typed_cooler = combination.cooler is None and combination.cooler_words != "none"
    same = combination.turbo.pk == plan.turbo_id and combination.plunger == plan.plunger
    return CompareRow(
        combination,
        f"{combination.plunger.diameter_mm:g}" if combination.plunger else "",
        ranked.verdict,
        f"{ranked.score * 100:.0f}",
        [reason_words(reason) for reason in ranked.reasons[:MOST_REASONS]],
        max(len(ranked.reasons) - MOST_REASONS, 0),
        figure(ranked.torque_nm, "Nm"),
        figure(ranked.boost_kpa, "kPa"),
        {None: "not known", ON: "goes in", NEAR: "goes in, tight"}.get(ranked.candidate.space, "does not go in"),
        same and (typed_cooler or combination.cooler == plan.cooler),
        typed_cooler,
        points_words(ranked.shares),
    )
