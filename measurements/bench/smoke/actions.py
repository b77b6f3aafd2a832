"""Beginning a smoke test, adding its snaps, correcting one, and what it comes to."""

import math
import uuid
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from measurements.bench.smoke.examples import EXAMPLES
from measurements.bench.smoke.models import SmokeLimit, SmokeSnap, SmokeTest
from measurements.bench.smoke.standard import PROCEDURES, Evaluation, evaluate, standard_path_m
from measurements.proving.models import ProvingRun
from measurements.readings.actions import why_impossible
from measurements.readings.instruments import Instrument
from measurements.readings.refusal import ReadingRefused
from shop.access.models import Person
from shop.jobs.events import record_event
from shop.jobs.models import JobCard
from sizing.physics.engine.smoke import STANDARD_PATH_M, absorption_per_m
from sizing.said import Said
from sizing.ways import figure_of, word

WARM_OIL_C = 80.0  # EU roadworthiness text, from memory; or the usual running temperature where that is lower


def add_examples() -> int:
    """Put the published examples into the table; rows of the same name stay as the owner has them."""
    return sum(
        SmokeLimit.objects.get_or_create(
            name=e.name,
            defaults={"procedure": e.procedure, "quantity": e.quantity, "value": e.value, "path_m": e.path_m, "source": e.source, "note": e.note},
        )[1]
        for e in EXAMPLES
    )  # fmt: skip


def _limit_as_it_stands(limit: SmokeLimit | None, procedure: str, rated_power_kw: float | None) -> dict[str, Any]:
    if limit is None:
        if PROCEDURES[procedure].spread_unit == "%":
            raise ReadingRefused({"limit": Said("smoke.limit_in_opacity")})
        return {}
    if limit.procedure != procedure:
        of = {"limit": str(limit), "procedure": word("smoke_procedure", limit.procedure)}
        raise ReadingRefused({"limit": Said("smoke.limit_of_another", of)})
    path = limit.path_m
    if limit.quantity == "opacity" and path is None:
        if rated_power_kw is None:
            raise ReadingRefused({"rated_power_kw": Said("smoke.rated_power", {"limit": str(limit)})})
        path = standard_path_m(rated_power_kw)
    return {
        "limit_name": limit.name, "limit_quantity": limit.quantity, "limit_value": limit.value,
        "limit_path_m": path if limit.quantity == "opacity" else None, "limit_source": limit.source,
    }  # fmt: skip


@transaction.atomic
def start_smoke_test(
    job: JobCard,
    phase: str,
    procedure: str,
    oil_temperature_c: float,
    by: Person,
    test_id: uuid.UUID | None = None,
    limit: SmokeLimit | None = None,
    limit_reason: str = "",
    read_as: str = "k",
    meter_path_m: float | None = None,
    meter: Instrument | None = None,
    is_usual_temperature: bool = False,
    rated_power_kw: float | None = None,
    note: str = "",
    at: datetime | None = None,
) -> SmokeTest:
    """Begin a test with a warm engine and a recorded limit. The same id sent again is the same test."""
    known = SmokeTest.objects.filter(pk=test_id).first() if test_id else None
    if known:
        if known.job_id != job.pk:
            raise ReadingRefused({"": Said("smoke.of_another_job")})
        return known
    if job.stage == "called_off":
        raise ReadingRefused({"": Said("refused.called_off")})
    why = why_impossible("oil_temperature_c", oil_temperature_c)
    if not why and oil_temperature_c < WARM_OIL_C and not is_usual_temperature:
        warm = figure_of("oil_temperature_c", WARM_OIL_C)
        why = Said("smoke.not_warm", {"oil": figure_of("oil_temperature_c", oil_temperature_c), "warm": warm})
    if why:
        raise ReadingRefused({"oil_temperature_c": why})
    stands = _limit_as_it_stands(limit, procedure, rated_power_kw)
    at = at or timezone.now()
    test, is_new = SmokeTest.objects.get_or_create(
        pk=test_id or uuid.uuid4(),
        defaults={
            **stands, "job": job, "phase": phase, "run": ProvingRun.objects.of(job).last() if phase == "after" else None,
            "procedure": procedure, "limit_reason": limit_reason.strip(), "read_as": read_as,
            "meter_path_m": (meter_path_m or STANDARD_PATH_M) if read_as == "opacity" else None, "meter": meter,
            "oil_temperature_c": oil_temperature_c, "is_usual_temperature": is_usual_temperature, "note": note.strip(), "by": by, "at": at,
        },
    )  # fmt: skip
    if is_new:
        values = {"phase": word("phase", phase), "oil": figure_of("oil_temperature_c", oil_temperature_c)}
        said = Said("smoke.begun_without_limit", values)
        if test.limit_name:
            said = Said("smoke.begun", {**values, "limit": test.limit_name})
        record_event(job, "smoke", said, by, at)
    return test


def _k_of(test: SmokeTest, value: float) -> float:
    if why := why_impossible(test.slug, value):
        raise ReadingRefused({"value": why})
    if test.read_as == "k":
        return value
    path = test.meter_path_m or STANDARD_PATH_M
    k = float(absorption_per_m(value, path))
    if k > 10.0:
        why = Said("smoke.opacity_too_dark", {"opacity": value, "path_mm": path * 1000, "k": k})
        raise ReadingRefused({"value": why})
    return k


@transaction.atomic
def add_snap(
    test: SmokeTest, value: float | None, by: Person, snap_id: uuid.UUID | None = None, at: datetime | None = None
) -> SmokeSnap:
    """Store the next snap: a clearing one until there are enough, a measured one after. Sent twice it is stored once."""
    SmokeTest.objects.select_for_update().get(pk=test.pk)  # two sends in the same moment wait for each other
    test = SmokeTest.objects.with_snaps().select_related("job").get(pk=test.pk)
    known = SmokeSnap.objects.filter(pk=snap_id).first() if snap_id else None
    if known:
        if known.test_id != test.pk or known.value != value:
            raise ReadingRefused({"": Said("smoke.stored_otherwise")})
        return known
    is_clearing = len(test.clearing()) < PROCEDURES[test.procedure].clearing
    if not is_clearing and outcome_of(test).state != "more":
        raise ReadingRefused({"": Said("smoke.complete")})
    if not is_clearing and value is None:
        raise ReadingRefused({"value": Said("smoke.type_it")})
    at = at or timezone.now()
    snap = SmokeSnap.objects.create(
        id=snap_id or uuid.uuid4(), test=test, number=len(test.standing()) + 1, is_clearing=is_clearing, value=value,
        k_per_m=None if value is None else _k_of(test, value), by=by, at=at,
    )  # fmt: skip
    if not is_clearing:
        _tell_if_complete(test, by, at)
    return snap


@transaction.atomic
def correct_snap(snap: SmokeSnap, value: float, reason: str, by: Person, at: datetime | None = None) -> SmokeSnap:
    """Put the right figure beside the one that was typed; both stay. Repeating it is harmless."""
    snap = SmokeSnap.objects.select_for_update(of=("self",)).select_related("test__job").get(pk=snap.pk)
    later, reason = SmokeSnap.objects.filter(replaces=snap).first(), reason.strip()
    if later:
        if (later.value, later.reason) == (value, reason):
            return later
        raise ReadingRefused({"": Said("smoke.corrected_meanwhile")})
    if not reason:
        raise ReadingRefused({"reason": Said("reading.say_why")})
    if value == snap.value:
        raise ReadingRefused({"value": Said("reading.same_value")})
    at, test = at or timezone.now(), snap.test
    corrected = SmokeSnap.objects.create(
        id=uuid.uuid5(snap.pk, "correction"), test=test, number=snap.number, is_clearing=snap.is_clearing, value=value,
        k_per_m=_k_of(test, value), replaces=snap, reason=reason, by=by, at=at,
    )  # fmt: skip
    was = Said("smoke.no_figure") if snap.value is None else f"{snap.value:g}"
    values = {"snap": snap.number, "before": was, "after": value, "unit": test.unit, "reason": reason}
    record_event(test.job, "correction", Said("smoke.corrected", values), by, at)
    _tell_if_complete(test, by, at)
    return corrected


def _tell_if_complete(test: SmokeTest, by: Person, at: datetime) -> None:
    outcome = outcome_of(SmokeTest.objects.with_snaps().get(pk=test.pk))
    if outcome.state != "more":
        verdict = word("verdict", outcome.word) if outcome.word else Said("verdict.none")
        values = {"phase": word("phase", test.phase), "verdict": verdict, "what": outcome.said}
        record_event(test.job, "smoke", Said("smoke.ended", values), by, at)


def outcome_of(test: SmokeTest) -> Evaluation:
    """What the standing snaps come to, with the error of the very meter where it is known."""
    values = test.measured_per_m()
    return evaluate(values, test.procedure, test.bound, meter_error(test, values))


def meter_error(test: SmokeTest, values: list[float]) -> float | None:
    """Half width in m⁻¹ of the very meter of a test; None where it is not known."""
    if test.meter is None or not values:
        return None
    if test.meter.quantity == "smoke_k_per_m":
        return min(5.0, test.meter.uncertainty)
    # an opacity that is off by so much is off by more in k the darker it is: dk = dN / (100 L (1 - N/100))
    path = test.meter_path_m or STANDARD_PATH_M
    clear = math.exp(-path * sum(values[-3:]) / len(values[-3:]))
    return min(5.0, test.meter.uncertainty / (100.0 * path * clear))
