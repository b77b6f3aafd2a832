"""What is said of a reading that was judged, of its gauge, of a pull, of causes and of limits, by code."""

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from measurements.verdict.cause_rules import SIGN_WORDS
from sizing.physics.limits.values import DEFAULTS
from sizing.said import add_sentences, add_ways
from sizing.ways import add_words

add_words(
    sign=[(f"{name}.{state}", text) for name, states in SIGN_WORDS.items() for state, text in states.items()],
    health_sign=[
        ("oil", _("oil pressure")),
        ("coolant", _("coolant temperature")),
        ("restriction", _("air cleaner")),
        ("smoke", _("smoke")),
        ("heat", _("exhaust temperature")),
    ],
)
add_ways(usual_source=lambda of: gettext(DEFAULTS[of].source))

# A phone is sent these: it makes the same sentences without network.
OF_A_READING = {
    "finding.measured": _("%(quantity)s %(value)s"),
    "finding.plan": _("the plan expects %(plan)s"),
    "finding.below_plan": _("the plan expects %(plan)s: %(gap)s below it"),
    "finding.above_plan": _("the plan expects %(plan)s: %(gap)s above it"),
    "finding.past_stop": _("stop limit %(stop)s, passed by %(gap)s (from %(limit)s on it is too much: %(source)s)"),
    "finding.past_highest": _("highest allowed %(limit)s (%(source)s), passed by %(gap)s"),
    "finding.within_highest": _("highest allowed %(limit)s (%(source)s), %(gap)s in hand"),
    "finding.past_lowest": _("lowest allowed %(limit)s (%(source)s), passed by %(gap)s"),
    "finding.within_lowest": _("lowest allowed %(limit)s (%(source)s), %(gap)s in hand"),
    "finding.stands_on": "%(parts)s.",
    "finding.gauge": _("The gauge reads to plus or minus %(gap)s."),
    "note.after_turbine": _(
        "Read behind the turbine, where the gas is up to %(drop)s cooler than before it (common practice); "
        "the plan speaks of the temperature before the turbine."
    ),
    "note.place": _("Taken at a place of which the plan does not speak."),
    "note.part_load_more": _("At part load, and already more than the plan expects at full load."),
    "note.part_load": _("At part load; the plan speaks of full load, so only the limits count here."),
}
add_sentences(OF_A_READING)

add_sentences(
    {
        "gauge.overdue": _("%(gauge)s was past its check day (%(day)s)."),
        "gauge.beyond_range": _("Beyond the range of %(gauge)s: the figure cannot be trusted."),
        "gauge.beyond_range_at": _(
            "Beyond the range of %(gauge)s at %(speeds_rpm)s rpm: the figures there cannot be trusted."
        ),
        "gauge.snap_beyond_range": _("A snap lies outside what %(gauge)s reads."),
        "pull.settled": _("Settled: %(what)s"),
        "pull.lowest": _("Lowest: %(what)s"),
        "pull.highest": _("Highest: %(what)s"),
        "pull.not_settled": _("Boost did not settle in this pull, so it is held against the limit only."),
        "pull.surge": _(
            "Boost swings by %(height)s at %(hz).1f Hz after it is in and does not die away: this looks like surge. "
            "Listen for a bark or flutter at the intake, and do not hold the engine there. Method: crests above the "
            "trend of 1.5 s by Savitzky and Golay, four or more, evenly apart."
        ),
        "pull.rings": _(
            "Boost swings by %(height)s at %(hz).1f Hz when it comes in and dies away: a wastegate or a hose that "
            "rings, no surge."
        ),
        "curve.at": _("At %(speed_rpm)s rpm: %(what)s"),
        "curve.at_wheels": _(
            "Measured at the wheels: the driveline takes 10 to 18 %% on the way (from memory), so the plan is widened "
            "by it."
        ),
        "curve.place_not_known": _(
            "Whether it holds at the flywheel or at the wheels was not written down, so the plan is widened down to "
            "the wheels."
        ),
        "curve.at_take_off": _(
            "Measured at a power take-off: its gears take up to 8 %% (common practice), so the plan is widened by it."
        ),
        "stop.at_point": _("At %(point)s: %(what)s"),
        "stop.in_pull": _("In the pull from %(start_s).0f s of %(log)s: %(what)s"),
        "cause.seen": _("Speaks for it: %(signs)s."),
        "cause.not_measured": _("Would make it surer: %(signs)s."),
        "sign.with_figures": _("%(sign)s (%(figures)s)"),
        "sign.known_to": _("%(value)s ± %(gap)s"),
        "sign.plan": _("plan %(plan)s"),
        "sign.limit": _("limit %(limit)s"),
        "health.nothing_yet": _("The baseline has nothing yet that tells of the engine's health."),
        "health.speaks_against": _("Something in it speaks against the engine as it came."),
        "health.nothing_against": _("Nothing in it speaks against the engine as it came."),
        "health.fine": _("In order: %(signs)s."),
        "health.near": _("Near the edge: %(signs)s."),
        "health.not_judged": _("Not judged: %(signs)s."),
        "limit.usual": "%(source)s",
        "limit.practice": _("common practice"),
        "limit.cleaner_service": _("25 inches of water column, common practice for service"),
        "limit.oil_by_speed": _("10 psi for each 1,000 rpm, hot engine, common practice"),
        "limit.mean_pressure": _("highest mean pressure, %(source)s"),
        "limit.steady_smoke": _("UN Regulation 24, steady speeds, table from memory; the local rule comes first"),
        "limit.on_path": _("%(source)s; on a path of %(path_m)g m"),
    }
)
