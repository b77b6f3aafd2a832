"""Storing one item of a batch and answering for it alone."""

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any, Literal, TypeVar
from uuid import UUID

from django.db import models
from django.utils import timezone

from measurements.guided.actions import record_entry
from measurements.intake.models import IntakeToken
from measurements.intake.schemas import (
    Answer,
    EntryIn,
    Item,
    Malformed,
    PointIn,
    RunStepIn,
    SignOffIn,
    StartIn,
    WithdrawalIn,
)
from measurements.intake.times import when_taken
from measurements.phone.actions import NotAllowed, record_run_step, sign_on_phone, start_on_phone
from measurements.phone.models import Act
from measurements.proving.models import ProvingRun
from measurements.readings.actions import record_point, withdraw_point
from measurements.readings.instruments import Instrument
from measurements.readings.models import PLACES, Point
from measurements.readings.refusal import Conflict, ReadingRefused
from measurements.verdict.findings import current_plan, judge_all
from shop.access.models import Person
from shop.jobs.models import JobCard
from sizing.said import Said


class NotHere(ReadingRefused):
    """What the item is about is not in this workshop."""


def refused(item_id: UUID | str, code: Literal[403, 404, 409, 422], errors: dict[str, str]) -> Answer:
    texts = {name or "item": text for name, text in errors.items()}
    return Answer(
        id=str(item_id),
        state="refused",
        code=code,
        reason=" ".join(texts.values()),
        fields=texts,
        received_at=timezone.now(),
    )


def store_all(
    items: Sequence[Item | Malformed], person: Person, box: IntakeToken | None, sent_at: datetime | None
) -> list[Answer]:
    answers = []
    for item in items:
        if isinstance(item, Malformed):
            answers.append(refused(item.id, 422, item.errors))
        else:
            answers.append(_store(item, person, box, when_taken(item.made_at, sent_at, timezone.now())))
    return answers


def _store(item: Item, person: Person, box: IntakeToken | None, taken_at: datetime) -> Answer:
    # Each takes its own kind of item.
    kinds: dict[type[Any], Callable[[Any, Person, IntakeToken | None, datetime], Answer]] = {
        PointIn: _point,
        WithdrawalIn: _withdrawal,
        EntryIn: _entry,
        SignOffIn: _sign_off,
        StartIn: _start,
        RunStepIn: _run_step,
    }
    try:
        return kinds[type(item)](item, person, box, taken_at)
    except NotHere as error:
        return refused(item.id, 404, error.errors)
    except NotAllowed as error:
        return refused(item.id, 403, error.errors)
    except Conflict as error:
        return refused(item.id, 409, error.errors)
    except ReadingRefused as error:
        return refused(item.id, 422, error.errors)


def _job(pk: int) -> JobCard:
    job = JobCard.objects.with_people().filter(pk=pk).first()
    if job is None:
        raise NotHere({"job": Said("intake.no_job", {"id": str(pk)})})
    return job


Row = TypeVar("Row", bound=models.Model)


def _known(name: str, kind: type[Row], pk: int) -> Row:
    found = kind._default_manager.filter(pk=pk).first()
    if found is None:
        raise NotHere({name: Said("intake.not_here", {"what": kind._meta.verbose_name, "id": str(pk)})})
    return found


def _run(item: PointIn | RunStepIn) -> ProvingRun | None:
    """The run of an item: by its number here, or by the start that the same phone sent for it."""
    if item.run is not None:
        return _known("run", ProvingRun, item.run)
    if item.start is None:
        return None
    start = Act.objects.select_related("run").filter(pk=item.start, kind="start").first()
    if start is None:
        raise NotHere({"start": Said("intake.no_start")})
    return start.run


def _a_person(box: IntakeToken | None) -> None:
    if box:
        raise NotAllowed({"": Said("intake.not_for_a_box")})


def _places(places: dict[str, str]) -> dict[str, str]:
    for slug, place in places.items():
        if place not in dict(PLACES):
            allowed = [name for name, _ in PLACES if name]
            raise ReadingRefused({f"places.{slug}": Said("intake.no_such_place", {"name": place, "allowed": allowed})})
    return places


def _point(item: PointIn, person: Person, box: IntakeToken | None, taken_at: datetime) -> Answer:
    job, run = _job(item.job), _run(item)
    gauges = {slug: _known(f"gauges.{slug}", Instrument, pk) for slug, pk in item.gauges.items()}
    point = record_point(
        job, item.phase, item.speed_rpm, item.load_pct, item.values, person, point_id=item.id, run=run, places=_places(item.places),
        air_temperature_c=item.air_temperature_c, air_pressure_kpa=item.air_pressure_kpa, gear=item.gear, note=item.note,
        taken_at=taken_at, instruments=gauges, device_at=item.made_at, box=box,
    )  # fmt: skip
    return _answer_of(point)


def _answer_of(point: Point) -> Answer:
    point = Point.everything.with_readings().select_related("job", "run__plan", "withdrawal").get(pk=point.pk)
    answer = Answer(id=str(point.pk), state="stored", received_at=point.received_at)
    if hasattr(point, "withdrawal"):
        return answer.model_copy(update={"told": ["It was taken back."]})
    plan = point.run.plan if point.run else current_plan(point.job)
    (verdict,) = judge_all([point], plan)
    return answer.model_copy(
        update={
            "verdict": verdict.word,
            "told": [t.sentence for t in verdict.told] or [verdict.why_none],
            "look_first": [f"{s.cause.title}. {s.cause.look}" for s in verdict.suspects[:3]],
            "do_now": verdict.advice if verdict.is_stop else [],
        }
    )


def _withdrawal(item: WithdrawalIn, person: Person, box: IntakeToken | None, taken_at: datetime) -> Answer:
    point = Point.everything.filter(pk=item.point).first()
    if point is None:
        raise NotHere({"point": Said("intake.no_such_reading")})
    withdrawal = withdraw_point(point, person, item.id, taken_at, item.made_at)
    return Answer(id=str(item.id), state="stored", received_at=max(withdrawal.at, timezone.now()))


def _entry(item: EntryIn, person: Person, box: IntakeToken | None, taken_at: datetime) -> Answer:
    entry = record_entry(
        _job(item.job),
        item.sheet,
        item.item,
        item.place,
        item.value,
        item.choice,
        person,
        item.id,
        taken_at,
        item.made_at,
    )
    return Answer(id=str(entry.pk), state="stored", received_at=entry.received_at)


def _sign_off(item: SignOffIn, person: Person, box: IntakeToken | None, taken_at: datetime) -> Answer:
    _a_person(box)
    act, signature = sign_on_phone(
        _job(item.job), item.check, item.round, person, item.id, item.note, taken_at, item.made_at
    )
    told = [f"Signed by {signature.by}."] if signature else []
    return Answer(id=str(act.pk), state="stored", received_at=act.received_at, told=told)


def _start(item: StartIn, person: Person, box: IntakeToken | None, taken_at: datetime) -> Answer:
    _a_person(box)
    act = start_on_phone(_job(item.job), item.plan, person, item.id, taken_at, item.made_at)
    return Answer(
        id=str(act.pk),
        state="stored",
        received_at=act.received_at,
        run=act.run_id,
        run_number=act.run.number if act.run else None,
    )


def _run_step(item: RunStepIn, person: Person, box: IntakeToken | None, taken_at: datetime) -> Answer:
    _a_person(box)
    run = _run(item)
    if run is None:
        raise ReadingRefused({"run": Said("intake.say_which_run")})
    act = record_run_step(_job(item.job), run, item.step, person, item.id, item.seconds, taken_at, item.made_at)
    return Answer(id=str(act.pk), state="stored", received_at=act.received_at)
