"""What is said of a finding: codes with its figures, of which the sentence is made when it is shown."""

from measurements.verdict.checks import TURBINE_DROP_C, Finding, Limit
from sizing.physics.limits.values import STOP
from sizing.said import Said, listed, together
from sizing.ways import figure_of, gap_of, quantity, span_of

NOTE_VALUES = {"note.after_turbine": {"drop": gap_of("exhaust_temperature_c", TURBINE_DROP_C)}}


def _against_plan(finding: Finding, band: tuple[float, float]) -> Said:
    plan = {"plan": span_of(finding.quantity, *band)}
    if not finding.difference:
        return Said("finding.plan", plan)
    code = "finding.below_plan" if finding.difference < 0 else "finding.above_plan"
    return Said(code, {**plan, "gap": gap_of(finding.quantity, finding.difference)})


def _against_limit(finding: Finding, limit: Limit) -> Said:
    value, slug = finding.measured.value, finding.quantity
    values = {"limit": figure_of(slug, limit.value), "source": limit.source}
    if finding.limit_word == STOP and limit.stop_value is not None:
        gap = gap_of(slug, value - limit.stop_value)
        return Said("finding.past_stop", {**values, "stop": figure_of(slug, limit.stop_value), "gap": gap})
    end = "highest" if limit.direction == "max" else "lowest"
    code = f"finding.past_{end}" if finding.beyond else f"finding.within_{end}"
    return Said(code, {**values, "gap": gap_of(slug, value - limit.value)})


def tell(finding: Finding) -> Said:
    """Everything the word stands on: measured, plan, difference, limit, its source, and how well the gauge knows it."""
    slug, measured = finding.quantity, finding.measured
    parts = [Said("finding.measured", {"quantity": quantity(slug), "value": figure_of(slug, measured.value)})]
    if finding.band is not None:
        parts.append(_against_plan(finding, finding.band))
    if finding.limit is not None:
        parts.append(_against_limit(finding, finding.limit))
    said = [Said("finding.stands_on", {"parts": listed(parts, "; ")})]
    if measured.uncertainty is not None:
        said.append(Said("finding.gauge", {"gap": gap_of(slug, measured.uncertainty)}))
    if finding.note:
        said.append(Said(finding.note, NOTE_VALUES.get(finding.note, {})))
    return together(said)
