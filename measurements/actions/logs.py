"""Taking in a log, reading it as a person matched it, and taking it back. The file itself is never changed."""

import hashlib
import io
import logging
from dataclasses import dataclass
from datetime import datetime
from pathlib import PurePath

from django.conf import settings
from django.core.files.base import ContentFile
from django.db import IntegrityError, transaction
from django.utils import timezone

from measurements.findings import show
from measurements.log_dialect import Dialect, LogRefused
from measurements.log_file import Log, Mapping
from measurements.log_file import read_logs as read_tables
from measurements.log_match import guessed_columns, header_mark
from measurements.log_names import CHANNELS
from measurements.log_parts import Recording, Understood, understand
from measurements.log_words import findings
from measurements.models import Instrument, LogColumn, LogFile, LogMatch, LogPull, Point, ProvingRun
from measurements.pull_checks import row_of
from measurements.pulls import Search, find_pulls
from shop.actions.events import record_event
from shop.models import JobCard, Person, Workshop
from sizing.physics.air import standard_pressure_kpa
from sizing.quantities import QUANTITIES

logger = logging.getLogger(__name__)
SUFFIXES = {".csv", ".tsv", ".txt", ".log", ".gz", ".zip", ".xlsx"}
NOT_UNDERSTOOD = "The file could not be understood. It is kept as received; export the log as CSV with one row a reading and send that."


class KnownLog(LogRefused):
    """The same bytes are here already."""

    def __init__(self, log: LogFile):
        self.log = log
        super().__init__(
            f"This file is here already: '{log.name}', sent by {log.by} on {timezone.localtime(log.at):%d %b %Y}. It was not stored twice."
        )


def show_channel(value: float, slug: str) -> str:
    """A value of a log in words: in the shop's unit when the shop has one for it."""
    return show(value, slug) if slug in QUANTITIES else f"{value:g} {CHANNELS[slug].unit}"


def _refuse_at_the_door(job: JobCard, phase: str, data: bytes) -> None:
    if job.stage == "called_off":
        raise LogRefused("This job was called off; nothing more is stored for it.")
    if phase not in dict(Point.PHASES):
        raise LogRefused("Say whether the log was taken before or after the fit.")
    if not data:
        raise LogRefused("The file is empty. Save the log again on the logger and send that file.")
    if len(data) > settings.MAX_UPLOAD_MB * 1024 * 1024:
        raise LogRefused(f"The file has {len(data) / 1048576:.0f} MB. Allowed: up to {settings.MAX_UPLOAD_MB} MB.")


def _refused(log: LogFile, data: bytes, refused: LogRefused) -> None:
    """The file is kept with the reason, and nothing else."""
    kept = LogFile.objects.of(log.job).filter(sha256=log.sha256, state="refused").first()
    if kept is None:
        log.state, log.finding = "refused", str(refused)
        _keep(log, data)
        with transaction.atomic():
            log.save()
            record_event(log.job, "log", f"log received that cannot be read: {log.name}. {refused}"[:300], log.by, log.at)
    elif kept.finding != str(refused):
        kept.finding = str(refused)
        kept.save(update_fields=["finding"])


def _keep(log: LogFile, data: bytes) -> None:
    suffix = PurePath(log.name).suffix.lower()
    log.file.save(f"{log.sha256[:20]}{suffix if suffix in SUFFIXES else '.dat'}", ContentFile(data), save=False)


def understood(data: bytes) -> Understood:
    """The recordings in a file. Whatever a damaged file makes the reading stumble over is a refusal, never a crash."""
    try:
        return understand(data)
    except LogRefused:
        raise
    except Exception as error:
        logger.exception("a log could not be understood")
        raise LogRefused(NOT_UNDERSTOOD) from error


def remembered_columns(dialect: Dialect) -> tuple[list[tuple[str, str]], LogMatch | None]:
    """What each column is taken for: as a person matched the same header last, else as guessed."""
    match = LogMatch.objects.filter(header_mark=header_mark(dialect)).select_related("by").first()
    if match is None or len(match.pairs) != len(dialect.header):
        return guessed_columns(dialect), None
    return [(quantity, unit) for quantity, unit in match.pairs], match


def receive_log(
    job: JobCard, phase: str, name: str, data: bytes, by: Person, run: ProvingRun | None = None, at: datetime | None = None
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

    def row(**more) -> LogFile:
        return LogFile(
            job=job, run=run if phase == "after" else None, phase=phase, name=name[:160], sha256=sha256, size_bytes=len(data), by=by, at=at, **more
        )

    try:
        found = understood(data)
    except LogRefused as refused:
        _refused(row(), data, refused)
        raise
    rows = [
        row(recording=n, part_label=part.label, header_mark=header_mark(part.dialect))
        for n, part in enumerate(found.recordings, start=1)
    ]
    _keep(rows[0], data)
    try:
        with transaction.atomic():
            for log, part in zip(rows, found.recordings, strict=True):
                log.file.name = rows[0].file.name
                log.save()
                LogColumn.objects.bulk_create(
                    LogColumn(log=log, position=i, header=part.dialect.header[i], quantity=quantity, unit=unit)
                    for i, (quantity, unit) in enumerate(remembered_columns(part.dialect)[0])
                )
            many = f", {len(rows)} recordings" if len(rows) > 1 else ""
            record_event(job, "log", f"log received: {rows[0].name}, {len(data):,} bytes{many}", by, at)
    except IntegrityError:  # the same file in the same moment
        rows[0].file.delete(save=False)
        raise KnownLog(LogFile.objects.of(job).standing().filter(sha256=sha256).select_related("by").first()) from None
    except Exception:
        rows[0].file.delete(save=False)
        raise
    return rows[0]


def mapping_of(log: LogFile) -> Mapping:
    return {c.position: (c.quantity, c.unit) for c in log.columns.all()}


def bytes_of(log: LogFile) -> bytes:
    with log.file.open("rb") as file:
        return file.read()


def recording_of(log: LogFile) -> Recording:
    recordings = understood(bytes_of(log)).recordings
    if log.recording > len(recordings):
        raise LogRefused("The stored file does not hold this recording any more. Take it back and send the file again.")
    return recordings[log.recording - 1]


def _air_pressure_kpa() -> float | None:
    workshop = Workshop.objects.first()
    return float(standard_pressure_kpa(workshop.altitude_m)) if workshop else None


@dataclass(frozen=True)
class Stretch:
    """What one stretch between restarts of the clock holds, and the pulls found in it."""

    table: Log
    search: Search

    @property
    def lines(self) -> list[str]:
        return findings(self.table, self.search, show_channel)


def stretches_of(log: LogFile, recording: Recording, mapping: Mapping) -> list[Stretch]:
    """The recording as matched, one a stretch between restarts of its clock; nothing is stored."""
    try:
        tables = read_tables(recording.data, recording.dialect, mapping, _air_pressure_kpa())
        return [Stretch(table, find_pulls(table)) for table in tables]
    except LogRefused:
        raise
    except Exception as error:
        logger.exception("log %s could not be read", log.pk)
        raise LogRefused(NOT_UNDERSTOOD) from error


def read_log(log: LogFile, mapping: Mapping | None, by: Person, at: datetime | None = None) -> LogFile:
    """Read a log with the columns as matched ({position: (quantity, unit)}; None takes them as they stand).

    It may be read again with a better match. A refusal leaves the file where it is and nothing else changed. Where the
    clock starts again, each further stretch becomes a recording of its own. What a person matched is remembered.
    """
    if log.state in ("undone", "refused"):
        raise LogRefused(f"This log {'was taken back' if log.state == 'undone' else 'cannot be read'}. Send the file again to read it.")
    matched = mapping_of(log) if mapping is None else mapping
    recording = recording_of(log)
    stretches, at = stretches_of(log, recording, matched), at or timezone.now()
    mine = next((s for s in stretches if s.table.stretch == log.stretch), None) or (stretches[0] if log.stretch == 1 else None)
    if mine is None:
        raise LogRefused("Matched so, the clock does not start again, and this recording is part of another one. Take it back.")
    with transaction.atomic():
        if mapping is not None:
            _remember(recording.dialect, mapping, by, at)
        if log.stretch == 1:
            _store_others(log, recording, stretches[1:], matched, by, at)
        return _store(log, mine, matched, recording, by, at)


def _remember(dialect: Dialect, mapping: Mapping, by: Person, at: datetime) -> None:
    pairs = [list(mapping.get(i, ("", ""))) for i in range(len(dialect.header))]
    LogMatch.objects.update_or_create(header_mark=header_mark(dialect), defaults={"pairs": pairs, "by": by, "at": at})


def _store_others(log: LogFile, recording: Recording, stretches: list[Stretch], mapping: Mapping, by: Person, at: datetime) -> None:
    """Recordings that only their clock tells apart. One that a person took back does not come again."""
    mine = LogFile.objects.of(log.job).filter(sha256=log.sha256, recording=log.recording, stretch__gt=1, pk__gt=log.pk)
    for gone in mine.standing().exclude(stretch__in=[s.table.stretch for s in stretches]):
        undo_log(gone, by, at)
    there = set(mine.values_list("stretch", flat=True))
    for stretch in stretches:
        if stretch.table.stretch in there:
            continue
        other = LogFile(
            job=log.job, run=log.run, phase=log.phase, name=log.name, sha256=log.sha256, size_bytes=log.size_bytes, by=log.by, at=log.at,
            recording=log.recording, stretch=stretch.table.stretch, part_label=log.part_label, header_mark=log.header_mark,
        )  # fmt: skip
        other.file.name = log.file.name
        other.save()
        LogColumn.objects.bulk_create(LogColumn(log=other, position=c.position, header=c.header) for c in log.columns.all())
        _store(other, stretch, mapping, recording, by, at)


def _store(log: LogFile, stretch: Stretch, mapping: Mapping, recording: Recording, by: Person, at: datetime) -> LogFile:
    """In one transaction; when it fails, the file of columns goes with it."""
    log = LogFile.objects.select_for_update(of=("self",)).select_related("job").get(pk=log.pk)
    old, packed = log.table.name, io.BytesIO()
    stretch.table.table.to_parquet(packed, index=False)
    log.table.save(f"{log.sha256[:20]}.parquet", ContentFile(packed.getvalue()), save=False)
    try:
        with transaction.atomic():
            _store_rows(log, stretch, mapping, recording, by, at)
    except Exception:
        log.table.storage.delete(log.table.name)
        raise
    if old:
        transaction.on_commit(lambda: log.table.storage.delete(old))
    return log


def _store_rows(log: LogFile, stretch: Stretch, mapping: Mapping, recording: Recording, by: Person, at: datetime) -> None:
    table, search = stretch.table, stretch.search
    log.state, log.row_count = "read", table.row_count
    if table.stretches > 1:
        log.part_label = f"{recording.label + ', ' if recording.label else ''}clock start {table.stretch} of {table.stretches}"
    first, *rest = stretch.lines
    log.finding = "\n".join([first, *recording.told, *rest])
    log.save()
    _store_columns(log, table, mapping)
    log.pulls.all().delete()
    LogPull.objects.bulk_create(row_of(log, pull) for pull in search.pulls)
    record_event(log.job, "log", f"log read: {log}. {log.finding.splitlines()[0]}", by, at)


def _store_columns(log: LogFile, table: Log, mapping: Mapping) -> None:
    found = {c.position: c for c in table.columns}
    rows = list(log.columns.all())
    for row in rows:
        row.quantity, row.unit = mapping.get(row.position, ("", ""))
        column = found.get(row.position)
        row.value_count = column.value_count if column else 0
        row.left_out_count = column.left_out + column.sentinel_count + column.unreadable if column else 0
        row.lowest, row.highest = (column.lowest, column.highest) if column else (None, None)
        row.highest_at_s = column.highest_at_s if column else None
    LogColumn.objects.bulk_update(
        rows, ["quantity", "unit", "value_count", "left_out_count", "lowest", "highest", "highest_at_s"]
    )


@transaction.atomic
def undo_log(log: LogFile, by: Person, at: datetime | None = None) -> LogFile:
    """Take a log back: it counts for nothing any more, the file stays as received, and may be sent again."""
    log = LogFile.objects.select_for_update(of=("self",)).select_related("job").get(pk=log.pk)
    if log.state == "undone":
        return log
    log.state = "undone"
    log.save(update_fields=["state"])
    log.pulls.all().delete()
    record_event(log.job, "log", f"log taken back: {log}", by, at)
    return log


@transaction.atomic
def undo_file(log: LogFile, by: Person, at: datetime | None = None) -> int:
    """Take back all recordings of a file; how many there were."""
    rows = [log, *log.siblings()]
    for row in rows:
        undo_log(row, by, at)
    return len(rows)


@transaction.atomic
def name_instruments(log: LogFile, chosen: dict[int, Instrument | None], by: Person, at: datetime | None = None) -> None:
    """Say with which instrument a column was read. Only a change is written into the history."""
    said = []
    for column in log.columns.select_for_update():
        if column.pk in chosen and column.instrument_id != (chosen[column.pk].pk if chosen[column.pk] else None):
            column.instrument = chosen[column.pk]
            column.save(update_fields=["instrument"])
            said.append(f"{column.header} with {column.instrument or 'an instrument nobody named'}")
    if said:
        record_event(log.job, "log", f"log {log}: read {', '.join(said)}"[:300], by, at or timezone.now())
