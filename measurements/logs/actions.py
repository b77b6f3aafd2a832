"""Taking in a log and taking it back. The file itself is never changed."""

import hashlib
from datetime import datetime
from pathlib import PurePath
from typing import Any

from django.conf import settings
from django.core.files.base import ContentFile
from django.db import IntegrityError, transaction
from django.utils import timezone

from measurements.logs.matches import layout_of, received, remembered_columns
from measurements.logs.models import LogColumn, LogFile
from measurements.proving.models import ProvingRun
from measurements.readings.instruments import Instrument
from measurements.readings.models import Point
from shop.access.models import Person
from shop.jobs.events import record_event
from shop.jobs.models import JobCard
from sizing.said import Said
from sizing.tables.refused import FileRefused
from sizing.ways import day

SUFFIXES = {".csv", ".tsv", ".txt", ".log", ".gz", ".zip", ".xlsx"}


class KnownLog(FileRefused):
    """The same bytes are here already."""

    def __init__(self, log: LogFile):
        self.log = log
        super().__init__("log.known", name=log.name, by=str(log.by), sent_on=day(log.at))


def _refuse_at_the_door(job: JobCard, phase: str, data: bytes) -> None:
    if job.stage == "called_off":
        raise FileRefused("log.called_off")
    if phase not in dict(Point.PHASES):
        raise FileRefused("log.say_phase")
    if not data:
        raise FileRefused("file.empty")
    if len(data) > settings.MAX_UPLOAD_MB * 1024 * 1024:
        raise FileRefused("log.too_big", size_mb=len(data) / 1048576, most_mb=settings.MAX_UPLOAD_MB)


def _refused(log: LogFile, data: bytes, refused: FileRefused) -> None:
    """The file is kept with the reason, and nothing else."""
    kept = LogFile.objects.of(log.job).filter(sha256=log.sha256, state="refused").first()
    if kept is None:
        log.state, log.findings = "refused", [refused.said.kept()]
        _keep(log, data)
        with transaction.atomic():
            log.save()
            said = Said("log.received_unreadable", {"log": log.name, "why": refused.said})
            record_event(log.job, "log", said, log.by, log.at)
    elif kept.findings != [refused.said.kept()]:
        kept.findings = [refused.said.kept()]
        kept.save(update_fields=["findings"])


def _keep(log: LogFile, data: bytes) -> None:
    suffix = PurePath(log.name).suffix.lower()
    log.file.save(f"{log.sha256[:20]}{suffix if suffix in SUFFIXES else '.dat'}", ContentFile(data), save=False)


def receive_log(
    job: JobCard,
    phase: str,
    name: str,
    data: bytes,
    by: Person,
    run: ProvingRun | None = None,
    at: datetime | None = None,
) -> LogFile:
    """Keep a file byte for byte with its hash, with a first guess at the columns of each of its recordings.

    Returns the first recording; the others are its siblings. What is no log is kept as refused, and the reason raised.
    """
    _refuse_at_the_door(job, phase, data)
    sha256 = hashlib.sha256(data).hexdigest()
    known = LogFile.objects.of(job).standing().filter(sha256=sha256).select_related("by").first()
    if known:
        raise KnownLog(known)
    at = at or timezone.now()
    if phase == "after" and run is None:
        run = ProvingRun.objects.of(job).last()

    def row(**more: Any) -> LogFile:
        return LogFile(
            job=job,
            run=run if phase == "after" else None,
            phase=phase,
            name=name[:160],
            sha256=sha256,
            size_bytes=len(data),
            by=by,
            at=at,
            **more,
        )

    try:
        found, marks, layouts = received(data)
    except FileRefused as refused:
        _refused(row(), data, refused)
        raise
    rows = [
        row(recording=n, place=[said.kept() for said in part.place], header_mark=mark, layout=layout.said())
        for n, (part, mark, layout) in enumerate(zip(found.recordings, marks, layouts, strict=True), start=1)
    ]
    _keep(rows[0], data)
    try:
        with transaction.atomic():
            for log, part in zip(rows, found.recordings, strict=True):
                log.file.name = rows[0].file.name
                log.save()
                pairs = remembered_columns(part.dialect, log.header_mark, layout_of(log))
                LogColumn.objects.bulk_create(
                    LogColumn(log=log, position=i, header=part.dialect.header[i], quantity=quantity, unit=unit)
                    for i, (quantity, unit) in enumerate(pairs)
                )
            values = {"log": rows[0].name, "bytes": len(data)}
            said = Said("log.received", values)
            if len(rows) > 1:
                said = Said("log.received_with_recordings", {**values, "recordings": len(rows)})
            record_event(job, "log", said, by, at)
    except IntegrityError:  # the same file in the same moment
        rows[0].file.delete(save=False)
        known = LogFile.objects.of(job).standing().filter(sha256=sha256).select_related("by").first()
        if known is None:
            raise
        raise KnownLog(known) from None
    except Exception:
        rows[0].file.delete(save=False)
        raise
    return rows[0]


@transaction.atomic
def undo_log(log: LogFile, by: Person, at: datetime | None = None) -> LogFile:
    """Take a log back: it counts for nothing any more, the file stays as received, and may be sent again."""
    log = LogFile.objects.select_for_update(of=("self",)).select_related("job").get(pk=log.pk)
    if log.state == "undone":
        return log
    log.state = "undone"
    log.save(update_fields=["state"])
    log.pulls.all().delete()
    record_event(log.job, "log", Said("log.taken_back", {"log": log.named}), by, at)
    return log


@transaction.atomic
def undo_file(log: LogFile, by: Person, at: datetime | None = None) -> int:
    """Take back all recordings of a file; how many there were."""
    rows = [log, *log.siblings()]
    for row in rows:
        undo_log(row, by, at)
    return len(rows)


@transaction.atomic
def name_instruments(
    log: LogFile, chosen: dict[int, Instrument | None], by: Person, at: datetime | None = None
) -> None:
    """Say with which instrument a column was read. Only a change is written into the history."""
    said = []
    for column in log.columns.select_for_update():
        wanted = chosen.get(column.pk)
        if column.pk in chosen and column.instrument_id != (wanted.pk if wanted else None):
            column.instrument = wanted
            column.save(update_fields=["instrument"])
            instrument = str(column.instrument) if column.instrument else Said("log.no_instrument")
            said.append(Said("log.column_with", {"column": column.header, "instrument": instrument}))
    if said:
        told = Said("log.read_with", {"log": log.named, "columns": said})
        record_event(log.job, "log", told, by, at or timezone.now())
