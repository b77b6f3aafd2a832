"""Storing a full-load curve from a brake, a drum or a road run, with its record, its air and its correction."""

import hashlib
import uuid
from dataclasses import replace
from datetime import datetime
from typing import Any

import numpy as np
from django.core.files.base import ContentFile
from django.db import transaction

from measurements.bench.curves.actions import record_curve
from measurements.bench.dyno.correction import correct_power
from measurements.bench.dyno.correction_basis import Air, CorrectionBasis, correction_of, why_not_worked_out
from measurements.bench.dyno.models import DynoTest
from measurements.bench.dyno.runs import FLYWHEEL, DynoCurve
from measurements.proving.models import ProvingRun
from measurements.readings.gauges import CURVE_QUANTITIES, curve_half_widths_nm
from measurements.readings.instruments import Instrument
from measurements.readings.refusal import ReadingRefused
from shop.access.models import Person
from shop.jobs.models import JobCard
from sizing.said import Said
from sizing.tables.named import is_spreadsheet
from sizing.ways import word


def _power_fields(curve: DynoCurve, air: Air, basis: CorrectionBasis) -> dict[str, Any]:
    top = int(np.argmax(curve.power_kw))
    power, speed = float(curve.power_kw[top]), float(curve.speed_rpm[top])
    half = None if curve.uncertainty_nm is None else float(curve.uncertainty_nm[top] / curve.torque_nm[top] * power)
    fields: dict[str, Any] = {"highest_kw": power, "highest_at_rpm": speed, "highest_uncertainty_kw": half}
    if missing := why_not_worked_out(air, basis):
        return fields | {"refusals": [missing.kept()]}
    found = correct_power(power, correction_of(air, basis), half)
    # Notes on how a correction was worked out would lend weight to one that is not made.
    notes = () if found.corrected_kw is None else found.correction.notes
    return fields | {
        "standard": basis.standard, "engine_class": basis.engine_class, "ratio_place": found.correction.ratio_place,
        "correction_factor": found.correction.factor, "corrected_kw": found.corrected_kw,
        "corrected_uncertainty_kw": found.corrected_uncertainty_kw,
        "refusals": [said.kept() for said in found.correction.refusals], "remarks": [said.kept() for said in notes],
    }  # fmt: skip


def _as_exact_as(curve: DynoCurve, instrument: Instrument | None, ratio: float) -> DynoCurve:
    if instrument is None or curve.uncertainty_nm is not None or instrument.quantity not in CURVE_QUANTITIES:
        return curve
    halves = curve_half_widths_nm(instrument, curve.speed_rpm.tolist(), ratio)
    return replace(
        curve,
        uncertainty_nm=np.array(halves),
        notes=(*curve.notes, Said("dyno.as_exact_as", {"instrument": str(instrument)})),
    )


@transaction.atomic
def record_dyno(
    job: JobCard,
    phase: str,
    curve: DynoCurve,
    record: bytes,
    by: Person,
    test_id: uuid.UUID | None = None,
    setup: list[tuple[str, float, str]] | None = None,
    air: Air | None = None,
    basis: CorrectionBasis | None = None,
    run_down: bytes = b"",
    note: str = "",
    at: datetime | None = None,
    instrument: Instrument | None = None,
    instrument_ratio: float = 1.0,
) -> DynoTest:
    """Store a curve with how it was found. The same id, or the same curve again, is stored once.

    Where nobody said how exact the curve is, it is as exact as the instrument it was read with.
    """
    curve = _as_exact_as(curve, instrument, instrument_ratio)
    air, basis = air or Air(), basis or CorrectionBasis()
    JobCard.objects.select_for_update().get(pk=job.pk)
    known = DynoTest.objects.select_related("curve").filter(pk=test_id).first() if test_id else None
    if known:
        if known.curve.job_id != job.pk or known.record_sha256 != hashlib.sha256(record).hexdigest():
            raise ReadingRefused({"": Said("dyno.stored_otherwise")})
        return known
    if job.stage == "called_off":
        raise ReadingRefused({"": Said("refused.called_off")})
    widest = curve.uncertainty_pct
    if widest is not None and widest > 50:
        raise ReadingRefused({"": Said("dyno.too_coarse", {"widest_pct": widest})})
    if (curve.torque_nm <= 0).any():
        raise ReadingRefused({"": Said("dyno.no_torque")})
    run = ProvingRun.objects.of(job).last() if phase == "after" else None
    points = [(round(float(s), 1), round(float(t), 2)) for s, t in zip(curve.speed_rpm, curve.torque_nm, strict=True)]
    row = record_curve(
        job, phase, curve.kind, points, by, run, None if widest is None else round(widest, 1), note, at,
        instrument, instrument_ratio, None if curve.uncertainty_nm is None else curve.uncertainty_nm.tolist(),
    )  # fmt: skip
    stored = DynoTest.objects.filter(curve=row).first()
    if stored:
        return stored
    fields = _power_fields(curve, air, basis)
    remarks = list(curve.notes)
    if curve.place != FLYWHEEL and fields.get("corrected_kw") is not None:
        remarks.append(Said("dyno.not_engine_power", {"place": word("curve_place", curve.place)}))
    fields["remarks"] = [*(said.kept() for said in remarks), *fields.get("remarks", [])]
    test = DynoTest(
        id=test_id or uuid.uuid4(), curve=row, place=curve.place, setup=[list(line) for line in setup or []],
        record_sha256=hashlib.sha256(record).hexdigest(), run_down_sha256=hashlib.sha256(run_down).hexdigest() if run_down else "",
        air_temperature_c=air.temperature_c, air_pressure_kpa=air.pressure_kpa, relative_humidity_pct=air.humidity_pct, **fields,
    )  # fmt: skip
    test.record.save(_file_name(record, test.record_sha256), ContentFile(record), save=False)
    if run_down:
        test.run_down.save(_file_name(run_down, test.run_down_sha256), ContentFile(run_down), save=False)
    test.save(force_insert=True)
    return test


def _file_name(data: bytes, sha256: str) -> str:
    return f"{sha256[:20]}.{'xlsx' if is_spreadsheet(data) else 'csv'}"
