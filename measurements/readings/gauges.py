"""What has to be said of the gauge beside a figure: past its check day, or beyond its range. Pure but for the row."""

from datetime import date

from django.utils import timezone

from measurements.bench.curves.models import PowerCurve
from measurements.readings.instruments import Instrument
from sizing.physics.engine.power import RPM_NM_PER_KW, power_kw
from sizing.said import Said
from sizing.ways import day

CURVE_QUANTITIES = ("torque_nm", "power_kw")  # what an instrument must read to stand behind a full-load curve


def overdue_note(instrument: Instrument, due_on: date) -> Said:
    return Said("gauge.overdue", {"gauge": str(instrument), "day": day(due_on)})


def overdue_notes(instrument: Instrument, on: date) -> list[Said]:
    due_on = instrument.check_due_on
    return [overdue_note(instrument, due_on)] if due_on and instrument.is_overdue(on) else []


def range_note(instrument: Instrument) -> Said:
    return Said("gauge.beyond_range", {"gauge": str(instrument)})


def gauge_notes(instrument: Instrument | None, value: float, on: date) -> list[Said]:
    """Sentences that stand behind a verdict; none for a gauge in order or one that nobody named."""
    if instrument is None:
        return []
    notes = overdue_notes(instrument, on)
    if not instrument.covers(value):
        notes.append(range_note(instrument))
    return notes


def curve_half_widths_nm(instrument: Instrument, speeds_rpm: list[float], ratio: float = 1.0) -> list[float]:
    """Torque at the engine, plus or minus, as a brake, its load cell or rollers are trusted with it.

    Takes:
        instrument: of torque at its own place [Nm], or of power [kW]
        speeds_rpm: engine speeds, above 0 [rpm]
        ratio: engine speed over the speed that the instrument sees [-]
    Returns: half widths [Nm]: torque falls with the ratio, and T = 9549.3 P / n.
    """
    if instrument.quantity == "power_kw":
        return [instrument.uncertainty * RPM_NM_PER_KW / speed for speed in speeds_rpm]
    return [instrument.uncertainty / ratio for _ in speeds_rpm]


def curve_gauge_notes(curve: PowerCurve) -> list[Said]:
    """As `gauge_notes` for a full-load curve: its check day, and at which speeds it went beyond the range."""
    gauge = curve.instrument
    if gauge is None:
        return []
    points = list(curve.points.all())
    seen = [
        float(power_kw(p.torque_nm, p.speed_rpm))
        if gauge.quantity == "power_kw"
        else p.torque_nm * curve.instrument_ratio
        for p in points
    ]
    beyond = [round(p.speed_rpm) for p, value in zip(points, seen, strict=True) if not gauge.covers(value)]
    said = [Said("gauge.beyond_range_at", {"gauge": str(gauge), "speeds_rpm": beyond})] if beyond else []
    return [*overdue_notes(gauge, timezone.localdate(curve.at)), *said]
