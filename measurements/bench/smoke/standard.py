"""Smoke tests: free acceleration and, as far as it is known, snap acceleration; the meter's error; paths."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from statistics import fmean

from sizing.physics import spans
from sizing.physics.engine.smoke import opacity_pct
from sizing.physics.errors import require
from sizing.physics.limits.values import NEAR, judge
from sizing.physics.ranges import Span, takes
from sizing.said import Said

KW_PER_HP = 0.745_699_872  # imperial
# Up to this rated power the exhaust pipe counts as that wide: 40 CFR 86.884-8(c) and SAE J1667, from memory
STANDARD_PATHS_M = ((100.0, 0.051), (200.0, 0.076), (300.0, 0.102), (float("inf"), 0.127))
METER_ERROR_PER_M, METER_ERROR_SHARE = 0.15, 0.10  # French order of 22 Nov 1996, annex A.1.2


@dataclass(frozen=True)
class Procedure:
    """How many snaps, and how well they have to agree before their mean counts."""

    slug: str
    label: str
    clearing: int
    measured: int
    most: int
    spread: float
    spread_unit: str  # "m⁻¹" or "%": opacity points on the limit's path
    source: str
    not_done: str = ""


PROCEDURES = {
    p.slug: p
    for p in (
        Procedure(
            "free", "free acceleration, mean of the last three", 3, 3, 6, 0.25, "m⁻¹",
            "three snaps, up to six, always the last three: UK metered smoke test; spread 0.25 m⁻¹ and no falling row: "
            "72/306/EEC, from memory, where it is asked of four; clearing snaps: common practice",
        ),
        Procedure(
            "snap", "snap acceleration after SAE J1667, as far as it is known", 3, 3, 6, 5.0, "%",
            "SAE J1667, from memory: three clearing and three measured snaps within 5 points of opacity; a summary at hand "
            "says up to six",
            "Not done here: the correction for the air's density, whose formula is in no text at hand, and the averaging over half a "
            "second, which the meter has to do. In thin air the figure is therefore not the standard's.",
        ),
    )
}  # fmt: skip


@dataclass(frozen=True)
class Bound:
    """A limit: absorption coefficient in m⁻¹, which needs no path, or opacity in % on a path in m."""

    value: float
    quantity: str = "k"
    path_m: float | None = None

    def __post_init__(self) -> None:
        if self.quantity not in ("k", "opacity"):
            raise ValueError(f"quantity is {self.quantity!r}; allowed is 'k' or 'opacity'")
        if self.quantity == "k":
            require("limit", self.value, 0.01, 10.0, "1/m")
        else:
            require("limit", self.value, 0.1, 99.9, "%")
            if self.path_m is None:
                raise ValueError("a limit in opacity needs the path for which it holds")
            require("path_m", self.path_m, 0.03, 1.0, "m")

    @property
    def unit(self) -> str:
        return "m⁻¹" if self.quantity == "k" else "%"


@dataclass(frozen=True)
class Evaluation:
    """What the snaps so far amount to. `state` is "more", "met", "not met" or "unsteady"; `word` the verdict, if any."""

    snaps: tuple[float, ...]  # in the unit of the limit
    counted: tuple[float, ...]  # the last ones, of which the mean is taken
    mean: float | None
    mean_per_m: float | None
    uncertainty: float | None
    spread: float | None
    is_steady: bool
    state: str
    word: str
    said: Said
    unit: str

    @property
    def sentence(self) -> str:
        return str(self.said)


@takes(rated_power_kw=Span(1.0, 1000.0, "kW", "rated power of the engine"))
def standard_path_m(rated_power_kw: float) -> float:
    """Path for which an opacity is stated when the real exhaust pipe does not matter.

    Returns: path [m].
    Source: 40 CFR 86.884-8(c) and SAE J1667, from memory: steps at 100, 200 and 300 hp.

    >>> standard_path_m(60.0), standard_path_m(150.0)
    (0.051, 0.102)
    """
    horsepower = rated_power_kw / KW_PER_HP
    return next(path for most, path in STANDARD_PATHS_M if horsepower <= most)


@takes(absorption=spans.ABSORPTION_PER_M.of("absorption coefficient k"))
def meter_error_per_m(absorption: float) -> float:
    """Half width of what an opacimeter in use may be off.

    Returns: the larger of 0.15 1/m and 10 % of the reading [1/m].
    Source: French order of 22 Nov 1996, annex A.1.2.

    >>> meter_error_per_m(1.0), meter_error_per_m(3.0)
    (0.15, 0.3)
    """
    return max(METER_ERROR_PER_M, round(METER_ERROR_SHARE * absorption, 12))


@takes(
    free_per_m=Span(0.0, 10.0, "1/m", "free-acceleration k of the type"),
    steady_per_m=Span(0.01, 10.0, "1/m", "highest k at steady speeds"),
    steady_limit_per_m=Span(0.1, 10.0, "1/m", "limit at the nominal flow of that speed"),
)
def corrected_plate_value_per_m(free_per_m: float, steady_per_m: float, steady_limit_per_m: float) -> float:
    """The value for the plate of a type: what the free acceleration may give when the engine just meets its steady limit.

    Returns: the lower of the free value scaled by limit over steady value, and the free value plus 0.5 [1/m].
    Source: UN R24, from memory.

    >>> corrected_plate_value_per_m(1.0, 1.0, 1.2)
    1.2
    """
    return min(free_per_m * steady_limit_per_m / steady_per_m, free_per_m + 0.5)


def _falls(values: tuple[float, ...]) -> bool:
    return all(a > b for a, b in itertools.pairwise(values))


def _in_unit(k: float, bound: Bound | None) -> float:
    return k if bound is None or bound.quantity == "k" else float(opacity_pct(k, bound.path_m))


def _uncertainty(mean_per_m: float, bound: Bound | None, known: float | None) -> float:
    error = meter_error_per_m(mean_per_m) if known is None else known
    if bound is None or bound.quantity == "k":
        return error
    ends = [_in_unit(max(0.0, mean_per_m + sign * error), bound) for sign in (-1, 1)]
    return (ends[1] - ends[0]) / 2


def _spread(values_per_m: tuple[float, ...], procedure: Procedure, bound: Bound | None) -> float:
    path = bound.path_m if bound and bound.path_m else None
    if procedure.spread_unit == "%" and path is None:
        raise ValueError(f"the {procedure.label} needs a limit in opacity with its path")
    values = values_per_m if procedure.spread_unit == "m⁻¹" else [float(opacity_pct(k, path)) for k in values_per_m]
    return max(values) - min(values)


@takes(
    snaps_per_m="highest k of each measured snap in their order, 0 to 10, the clearing snaps not among them [1/m]",
    procedure="slug of `PROCEDURES` [-]",
    bound="the recorded limit; None when nobody has chosen one, which gives a mean but no verdict",
    error_per_m=Span(0.0, 5.0, "1/m", "half width of this very meter; None takes the usual one of `meter_error_per_m`"),
)
def evaluate(
    snaps_per_m: list[float], procedure: str = "free", bound: Bound | None = None, error_per_m: float | None = None
) -> Evaluation:
    """What the measured snaps so far say, and whether another one is needed.

    Returns: mean of the last three, spread, meter's error, verdict in one word and one sentence.
    Raises: OutOfRange if a snap is outside its range; ValueError if the procedure is not known, there are more snaps
        than it takes, or a limit it needs is missing.
    Source: As each `Procedure.source` says; verdict with the guard band of ISO 14253-1.

    >>> evaluate([1.9, 1.8, 1.85], "free", Bound(2.5)).state
    'met'
    >>> evaluate([2.7, 2.6, 2.65], "free", Bound(2.5)).state
    'more'
    """
    if procedure not in PROCEDURES:
        raise ValueError(f"procedure is {procedure!r}; allowed is {', '.join(PROCEDURES)}")
    rules = PROCEDURES[procedure]
    snaps = tuple(float(require("snap", k, 0.0, 10.0, "1/m")) for k in snaps_per_m)
    if len(snaps) > rules.most:
        raise ValueError(f"{len(snaps)} snaps; the {rules.label} takes up to {rules.most}")
    unit = bound.unit if bound else "m⁻¹"
    shown = tuple(_in_unit(k, bound) for k in snaps)
    if len(snaps) < rules.measured:
        left = rules.measured - len(snaps)
        said = Said("smoke.more_snaps", {"count": left})
        return Evaluation(shown, (), None, None, None, None, False, "more", "", said, unit)
    last = snaps[-rules.measured :]
    counted = shown[-rules.measured :]
    mean, mean_per_m = fmean(counted), fmean(last)
    spread = _spread(last, rules, bound)
    steady = spread <= rules.spread + 1e-9 and not (
        rules.spread_unit == "m⁻¹" and _falls(last) and spread > rules.spread / 2
    )
    uncertainty = _uncertainty(mean_per_m, bound, error_per_m)
    state, word, said = _verdict(rules, len(snaps), mean, min(counted), uncertainty, spread, steady, bound)
    return Evaluation(shown, counted, mean, mean_per_m, uncertainty, spread, steady, state, word, said, unit)


def _verdict(
    rules: Procedure,
    count: int,
    mean: float,
    lowest: float,
    uncertainty: float,
    spread: float,
    steady: bool,
    bound: Bound | None,
) -> tuple[str, str, Said]:
    spreads = {"spread": spread, "unit": rules.spread_unit, "allowed": rules.spread}
    apart = {"apart": Said("smoke.apart" if spread > rules.spread else "smoke.apart_and_falling", spreads)}
    if not steady and count < rules.most:
        return "more", "", Said("smoke.unsteady_so_far", apart)
    if bound is None:
        if not steady:
            return "unsteady", "", Said("smoke.no_mean", {**apart, "snaps": count})
        return "met", "", Said("smoke.no_limit")
    means = {"mean": mean, "unit": bound.unit, "uncertainty": uncertainty, "limit": bound.value}
    against = {"against": Said("smoke.against", means)}
    if mean > bound.value and count < rules.most:
        return "more", "", Said("smoke.above_so_far", {**against, "most": rules.most})
    if not steady and lowest <= bound.value + uncertainty:
        return "unsteady", "", Said("smoke.no_verdict", {**apart, "snaps": count})
    word = judge(mean, bound.value, uncertainty)
    code = "smoke.met" if mean <= bound.value else "smoke.not_met"
    return (
        "met" if mean <= bound.value else "not met",
        word,
        Said(f"{code}_in_doubt" if word == NEAR else code, against),
    )
