"""All that the phone needs to take and judge readings without network. Holds nothing of the customer."""

from typing import Any

from django.utils import timezone

from measurements.phone.sheet import ReadingSheet, gauges
from measurements.proving.actions import in_the_way
from measurements.readings.gauges import overdue_note, range_note
from measurements.readings.instruments import Instrument
from measurements.readings.models import PLACES
from measurements.readings.steps import COOL_DOWN_S, SETTLE_S, WARM_OIL_C
from measurements.verdict.limit_tables import limit_rows, phone_rules
from measurements.verdict.plan_side import band_table
from shop.access.models import Person
from shop.safety.notes import CHECKS, HAZARD, hazards_before, sign_off_round, signed
from sizing.units.figures import bare_unit, line_to_shown, shown_decimals, unit
from sizing.units.quantities import QUANTITIES


def quantity_rows() -> dict[str, dict[str, Any]]:
    """Each quantity with its range and the straight line from the stored unit to the shop's."""
    rows = {}
    for slug, q in QUANTITIES.items():
        rows[slug] = {
            "label": q.label, "unit": unit(slug), "bare_unit": bare_unit(slug), "low": q.low, "high": q.high, "why": q.why,
            "decimals": shown_decimals(q), **line_to_shown(q),
        }  # fmt: skip
    return rows


def gauge_row(gauge: Instrument) -> dict[str, Any]:
    return {
        "name": gauge.name, "quantity": gauge.quantity, "uncertainty": gauge.uncertainty, "low": gauge.low, "high": gauge.high,
        "check_due_on": gauge.check_due_on, "overdue_note": str(overdue_note(gauge, gauge.check_due_on)) if gauge.check_due_on else "", "range_note": str(range_note(gauge)),
    }  # fmt: skip


def start_data(sheet: ReadingSheet, person: Person) -> dict[str, Any] | None:
    """What stands before a proving run. Signatures can be given on the phone; the rest cannot."""
    if sheet.phase != "after" or not sheet.job.is_open:
        return None
    done = signed(sheet.job)
    return {
        "round": sign_off_round(sheet.job) if sheet.job.fitments.exists() else 0, "plan": sheet.plan.pk if sheet.plan else None, "in_the_way": [str(said) for said in in_the_way(sheet.job)],
        "may_sign": person.has_perm("shop.add_safetysignoff"), "may_start": person.has_perm("measurements.add_provingrun"),
        "checks": [
            {
                "slug": check.slug, "title": check.title, "text": check.text, "danger": HAZARD[check.hazard].danger,
                "signed_by": str(done[check.slug].by) if check.slug in done else "",
                "signed_at": done[check.slug].at if check.slug in done else None,
            }
            for check in CHECKS
        ],
    }  # fmt: skip


def sheet_data(sheet: ReadingSheet, person: Person) -> dict[str, Any]:
    after = sheet.phase == "after"
    speeds, bands = band_table(sheet.plan) if after and sheet.plan is not None else ([], {})
    return {
        "job": sheet.job.pk,
        "number": sheet.job.number,
        "vehicle": sheet.job.vehicle.make_and_model,
        "phase": sheet.phase,
        "run": sheet.run.pk if sheet.run else None,
        "run_number": sheet.run.number if sheet.run else None,
        "start": start_data(sheet, person),
        "warm": sheet.warm,
        "cooled_down": sheet.cooled_down,
        "plan": str(sheet.plan) if sheet.plan else "",
        "worked_out_at": timezone.now().isoformat(),
        "steps": [
            {"slug": s.slug, "label": s.label, "speed_rpm": s.speed_rpm, "load_pct": s.load_pct, "done": s.done}
            for s in sheet.steps
        ],
        "warm_oil_c": WARM_OIL_C,
        "settle_s": SETTLE_S,
        "cool_down_s": COOL_DOWN_S,
        "cool_down_clock": f"{COOL_DOWN_S // 60}:{COOL_DOWN_S % 60:02}",
        "quantities": quantity_rows(),
        "places": dict(PLACES),
        "gauges": {str(g.pk): gauge_row(g) for g in gauges()},
        "bands": {
            "speeds_rpm": speeds,
            "by_quantity": {slug: {"low": low, "high": high} for slug, (low, high) in bands.items()},
        },
        "limits": limit_rows(sheet.plan, sheet.phase),
        "rules": phone_rules(),
        "cautions": [
            {"title": h.title, "danger": h.danger, "cautions": list(h.cautions)} for h in hazards_before("proving")
        ],
    }
