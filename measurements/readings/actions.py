"""Recording what was read, and correcting it. Nothing that was stored is ever changed or taken away."""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from measurements.intake.models import IntakeToken
from measurements.proving.models import ProvingRun
from measurements.readings.instruments import Instrument
from measurements.readings.models import Point, Reading, Withdrawal
from measurements.readings.refusal import Conflict, ReadingRefused
from shop.access.models import Person
from shop.jobs.events import record_event
from shop.jobs.models import JobCard
from sizing.said import Said
from sizing.units.quantities import QUANTITIES
from sizing.ways import bare_figure, day, figure_of, quantity

CONDITIONS = ("air_temperature_c", "air_pressure_kpa")


def why_impossible(slug: str, value: float) -> Said | None:
    """None when the stored value is physically possible; otherwise why it is refused."""
    found = QUANTITIES[slug]
    if found.low <= value <= found.high:
        return None
    values = {
        "quantity": quantity(slug), "value": bare_figure(slug, value), "unit": {"way": "unit", "of": slug},
        "low": bare_figure(slug, found.low), "high": bare_figure(slug, found.high),
    }  # fmt: skip
    if found.why:
        return Said("reading.not_possible_because", {**values, "why": {"way": "range_reason", "of": slug}})
    return Said("reading.not_possible", values)


def _check_numbers(numbers: dict[str, float | None]) -> None:
    errors = {}
    for slug, value in numbers.items():
        if slug not in QUANTITIES:
            errors[slug] = Said("reading.no_such_quantity", {"name": slug})
        elif value is not None and (why := why_impossible(slug, value)):
            errors[slug] = why
    if errors:
        raise ReadingRefused(errors)


def _run_for(job: JobCard, phase: str, run: ProvingRun | None, taken_at: datetime) -> ProvingRun | None:
    """Which proving run a point belongs to; refuses a point that would stand on the wrong side of the fit."""
    if job.stage == "called_off":
        raise ReadingRefused({"": Said("refused.called_off")})
    if phase == "before":
        fitted = job.fitments.order_by("at").first()
        if fitted and fitted.at < taken_at:
            raise ReadingRefused({"phase": Said("reading.after_the_fit", {"fitted_on": day(fitted.at)})})
        return None
    run = run or ProvingRun.objects.of(job).undecided().last()
    if run is None:
        if job.stage == "handed_over":
            return None  # a check at a follow-up stands beside the runs, not in one
        raise ReadingRefused({"phase": Said("reading.no_run")})
    if run.job_id != job.pk:
        raise ReadingRefused({"phase": Said("refused.run_of_another_job")})
    if run.decided_at and run.decided_at < taken_at:
        raise ReadingRefused({"phase": Said("reading.run_decided", {"run": run.number})})
    return run


def _told(values: dict[str, float]) -> list[dict[str, Any]]:
    return [{"way": "reading", "of": slug, "value": value} for slug, value in values.items()]


def _at(point: Point) -> dict[str, Any]:
    return {"way": "point", "speed_rpm": point.speed_rpm, "load_pct": point.load_pct}


def _where(phase: str, run: ProvingRun | None) -> Said:
    if phase == "before":
        return Said("where.before_the_fit")
    return Said("where.proving_run", {"run": run.number}) if run else Said("where.after_hand_over")


def _same(
    point: Point, job: JobCard, wanted: Mapping[str, object], values: dict[str, float], places: dict[str, str]
) -> bool:
    stored = {(r.quantity, r.place): r.value for r in point.readings.all() if r.replaces_id is None}
    asked = {(slug, places.get(slug, "")): value for slug, value in values.items()}
    return point.job_id == job.pk and stored == asked and all(getattr(point, name) == v for name, v in wanted.items())


@transaction.atomic
def record_point(
    job: JobCard,
    phase: str,
    speed_rpm: float,
    load_pct: float,
    values: dict[str, float],
    by: Person,
    point_id: uuid.UUID | None = None,
    run: ProvingRun | None = None,
    places: dict[str, str] | None = None,
    air_temperature_c: float | None = None,
    air_pressure_kpa: float | None = None,
    gear: str = "",
    note: str = "",
    taken_at: datetime | None = None,
    instruments: dict[str, Instrument] | None = None,
    device_at: datetime | None = None,
    box: IntakeToken | None = None,
) -> Point:
    """Store one stop on the sheet with everything read there, in stored units.

    The sender makes `point_id`. Sending the same again changes nothing and returns what is stored; sending
    something else under the same id is refused, since one of the two would be lost.
    """
    places, instruments, now = places or {}, instruments or {}, timezone.now()
    values = {slug: float(value) for slug, value in values.items() if value is not None}
    conditions = {"air_temperature_c": air_temperature_c, "air_pressure_kpa": air_pressure_kpa}
    wanted = {
        "phase": phase, "speed_rpm": float(speed_rpm), "load_pct": float(load_pct), "gear": gear.strip(), "note": note.strip(),
        **conditions,
    }  # fmt: skip
    point_id = point_id or uuid.uuid4()
    known = Point.everything.prefetch_related("readings").filter(pk=point_id).first()
    if known is None:
        if phase not in dict(Point.PHASES):
            raise ReadingRefused({"phase": Said("reading.no_such_phase", {"name": phase})})
        _check_numbers({"speed_rpm": speed_rpm, "load_pct": load_pct, **conditions, **values})
        if not values:
            raise ReadingRefused({"": Said("reading.nothing_typed")})
        taken_at = taken_at or now
        run = _run_for(job, phase, run, taken_at)
        # get_or_create, so that two sends in the same moment store one point on any database.
        sender = {"by": by, "box": box, "taken_at": taken_at, "device_at": device_at, "received_at": now}
        known, is_new = Point.everything.get_or_create(
            pk=point_id, defaults={**wanted, "job": job, "run": run, **sender}
        )
        if is_new:
            Reading.objects.bulk_create(_readings_of(known, values, places, instruments, by, taken_at))
            told = {"where": _where(phase, run), "point": _at(known), "readings": _told(values)}
            said = Said("reading.sent", {"box": str(box), **told}) if box else Said("reading.read", told)
            record_event(job, "reading", said, by, taken_at)
            return known
    if not _same(known, job, wanted, values, places):
        raise Conflict({"": Said("reading.stored_otherwise")})
    return known


@transaction.atomic
def withdraw_point(
    point: Point,
    by: Person,
    withdrawal_id: uuid.UUID | None = None,
    at: datetime | None = None,
    device_at: datetime | None = None,
) -> Withdrawal:
    """Take back a point that was typed by mistake: it counts no more, and the history keeps it. Repeating is harmless."""
    point = Point.everything.select_for_update(of=("self",)).select_related("run", "job").get(pk=point.pk)
    if point.run and point.run.decided_at:
        raise ReadingRefused({"": Said("reading.decided_on", {"run": point.run.number})})
    withdrawal_id = withdrawal_id or uuid.uuid5(point.pk, "withdrawal")
    same_id = Withdrawal.objects.filter(pk=withdrawal_id).first()
    if same_id and same_id.point_id != point.pk:
        raise Conflict({"": Said("reading.id_took_back_another")})
    at = at or timezone.now()
    withdrawal, is_new = Withdrawal.objects.get_or_create(
        point=point, defaults={"id": withdrawal_id, "by": by, "at": at, "device_at": device_at}
    )
    if is_new:
        values = {r.quantity: r.value for r in point.standing()}
        said = Said("reading.taken_back", {"point": _at(point), "readings": _told(values)})
        record_event(point.job, "taken back", said, by, at)
    return withdrawal


def _readings_of(
    point: Point,
    values: Mapping[str, float],
    places: Mapping[str, str],
    instruments: Mapping[str, Instrument],
    by: Person,
    at: datetime,
) -> list[Reading]:
    return [
        Reading(
            id=uuid.uuid5(point.pk, f"{slug}:{places.get(slug, '')}"),
            point=point,
            quantity=slug,
            value=value,
            place=places.get(slug, ""),
            instrument=instruments.get(slug),
            by=by,
            at=at,
        )
        for slug, value in values.items()
    ]


@dataclass(frozen=True)
class Stop:
    """One stop on the sheet, as `record_point` takes it."""

    speed_rpm: float
    load_pct: float
    values: dict[str, float]
    places: dict[str, str]
    instruments: dict[str, Instrument]
    taken_at: datetime
    air_temperature_c: float | None = None
    air_pressure_kpa: float | None = None


@transaction.atomic
def record_new_points(
    job: JobCard, phase: str, stops: Sequence[Stop], by: Person, run: ProvingRun | None = None
) -> list[Point]:
    """Store all stops of one sitting, or none. Checked as `record_point` does; each call stores new ones."""
    now, points, rows = timezone.now(), [], []
    run = _run_for(job, phase, run, max(stop.taken_at for stop in stops))
    for stop in stops:
        conditions = {name: getattr(stop, name) for name in CONDITIONS}
        _check_numbers({"speed_rpm": stop.speed_rpm, "load_pct": stop.load_pct, **conditions, **stop.values})
        point = Point(
            job=job, phase=phase, run=run, speed_rpm=stop.speed_rpm, load_pct=stop.load_pct, by=by,
            taken_at=stop.taken_at, received_at=now, **conditions,
        )  # fmt: skip
        points.append(point)
        rows += _readings_of(point, stop.values, stop.places, stop.instruments, by, stop.taken_at)
        told = {"where": _where(phase, run), "point": _at(point), "readings": _told(stop.values)}
        record_event(job, "reading", Said("reading.read", told), by, stop.taken_at)
    Point.objects.bulk_create(points)
    Reading.objects.bulk_create(rows)
    return points


@transaction.atomic
def correct_reading(reading: Reading, value: float, reason: str, by: Person, at: datetime | None = None) -> Reading:
    """Put a corrected value beside the one that was typed; both stay, with the reason. Repeating it is harmless."""
    reason, value = reason.strip(), float(value)
    reading = Reading.objects.select_for_update(of=("self",)).select_related("point__job").get(pk=reading.pk)
    later = Reading.objects.filter(replaces=reading).first()
    if later:
        if later.value == value and later.reason == reason:
            return later
        raise ReadingRefused({"": Said("reading.corrected_meanwhile")})
    if not reason:
        raise ReadingRefused({"reason": Said("reading.say_why")})
    _check_numbers({reading.quantity: value})
    if value == reading.value:
        raise ReadingRefused({"value": Said("reading.same_value")})
    at = at or timezone.now()
    corrected = Reading.objects.create(
        id=uuid.uuid5(reading.pk, "correction"), point=reading.point, quantity=reading.quantity, value=value,
        place=reading.place, instrument=reading.instrument, replaces=reading, reason=reason, by=by, at=at,
    )  # fmt: skip
    slug = reading.quantity
    values = {
        "point": _at(reading.point), "quantity": quantity(slug, small=True), "before": bare_figure(slug, reading.value),
        "after": figure_of(slug, value), "reason": reason,
    }  # fmt: skip
    record_event(reading.point.job, "correction", Said("reading.corrected", values), by, at)
    return corrected
