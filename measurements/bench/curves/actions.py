"""Recording a full-load curve."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from measurements.bench.curves.models import PowerCurve, PowerPoint
from measurements.proving.models import ProvingRun
from measurements.readings.actions import why_impossible
from measurements.readings.gauges import CURVE_QUANTITIES, curve_half_widths_nm
from measurements.readings.instruments import Instrument
from measurements.readings.refusal import ReadingRefused
from shop.access.models import Person
from shop.jobs.events import record_event
from shop.jobs.models import JobCard
from sizing.physics.engine.power import power_kw
from sizing.said import Said
from sizing.ways import figure_of, word

MOST_SHARE = 0.5


def _refuse(kind: str, points: Sequence[tuple[float, float]], uncertainty_pct: float | None) -> None:
    if kind not in dict(PowerCurve.KINDS):
        raise ReadingRefused({"kind": Said("curve.say_how")})
    if len(points) < 2:
        raise ReadingRefused({"points": Said("curve.two_speeds")})
    speeds = [speed for speed, _ in points]
    twice = sorted({s for s in speeds if speeds.count(s) > 1})
    if twice:
        raise ReadingRefused({"points": Said("curve.speed_twice", {"speed_rpm": twice[0]})})
    for speed, torque in points:
        why = why_impossible("speed_rpm", speed) or why_impossible("torque_nm", torque)
        if why:
            raise ReadingRefused({"points": why})
    if uncertainty_pct is not None and not 0 <= uncertainty_pct <= 50:
        raise ReadingRefused({"uncertainty_pct": Said("curve.plus_or_minus")})


def _refuse_instrument(kind: str, instrument: Instrument) -> None:
    if kind not in ("brake", "drum"):
        raise ReadingRefused({"instrument": Said("curve.no_instrument")})
    if instrument.quantity not in CURVE_QUANTITIES:
        raise ReadingRefused({"instrument": Said("curve.wrong_instrument", {"instrument": str(instrument)})})


def _halves(points: Sequence[tuple[float, float]], instrument: Instrument, ratio: float) -> list[float]:
    """From what the instrument is trusted with; a curve that is half error or more is none."""
    halves = curve_half_widths_nm(instrument, [speed for speed, _ in points], ratio)
    for (speed, torque), half in zip(points, halves, strict=True):
        if half > MOST_SHARE * torque:
            values = {"instrument": str(instrument), "half": half, "speed": round(speed), "torque": torque}
            raise ReadingRefused({"instrument": Said("curve.too_coarse", values)})
    return halves


@transaction.atomic
def record_curve(
    job: JobCard,
    phase: str,
    kind: str,
    points: Sequence[tuple[float, float]],
    by: Person,
    run: ProvingRun | None = None,
    uncertainty_pct: float | None = None,
    note: str = "",
    at: datetime | None = None,
    instrument: Instrument | None = None,
    instrument_ratio: float = 1.0,
    halves_nm: Sequence[float] | None = None,
) -> PowerCurve:
    """Store torque over engine speed (rpm, Nm). The same curve sent again is the same curve.

    Plus or minus is `halves_nm` by rising speed where each is known, else `uncertainty_pct` of the whole, else what the
    instrument is trusted with.
    """
    points = sorted((float(speed), float(torque)) for speed, torque in points)
    _refuse(kind, points, uncertainty_pct)
    if instrument is not None:
        _refuse_instrument(kind, instrument)
        if uncertainty_pct is None and halves_nm is None:
            halves_nm = _halves(points, instrument, instrument_ratio)
            uncertainty_pct = round(
                max(100 * half / torque for (_, torque), half in zip(points, halves_nm, strict=True)), 1
            )
    JobCard.objects.select_for_update().get(pk=job.pk)  # two sends in the same moment wait for each other
    for stored in PowerCurve.objects.of(job).filter(phase=phase, kind=kind, run=run).with_points():
        if [(p.speed_rpm, p.torque_nm) for p in stored.points.all()] == points:
            return stored
    at = at or timezone.now()
    curve = PowerCurve.objects.create(
        job=job, run=run, phase=phase, kind=kind, uncertainty_pct=uncertainty_pct, note=note.strip(), by=by, at=at,
        instrument=instrument, instrument_ratio=instrument_ratio,
    )  # fmt: skip
    halves = [None] * len(points) if halves_nm is None else [round(float(half), 2) for half in halves_nm]
    PowerPoint.objects.bulk_create(
        PowerPoint(curve=curve, speed_rpm=s, torque_nm=t, uncertainty_nm=h)
        for (s, t), h in zip(points, halves, strict=True)
    )
    highest = max(points, key=lambda p: p[1])
    power, at_speed = max((float(power_kw(torque, speed)), speed) for speed, torque in points)
    values = {
        "phase": word("phase", phase), "kind": word("curve_kind", kind),
        "torque": figure_of("torque_nm", highest[1]), "torque_at_rpm": highest[0], "power": figure_of("power_kw", power), "power_at_rpm": at_speed,
    }  # fmt: skip
    said = (
        Said("curve.stored_with", {**values, "instrument": str(instrument)})
        if instrument
        else Said("curve.stored", values)
    )
    record_event(job, "curve", said, by, at)
    return curve
