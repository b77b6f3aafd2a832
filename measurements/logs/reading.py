"""Reading a log as it was matched, from the file as received, and reading its other recordings in the same way."""

import io
import logging
from dataclasses import dataclass
from datetime import datetime

import pandas as pd
import pyarrow as pa
from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import timezone

from measurements.logs.actions import undo_log
from measurements.logs.matches import NOT_UNDERSTOOD, layout_of, mapping_of, recording_of
from measurements.logs.models import LogColumn, LogFile, LogMatch, LogPull
from measurements.logs.parsing.dialect import Layout
from measurements.logs.parsing.file import Log, Mapping
from measurements.logs.parsing.file import read_logs as read_tables
from measurements.logs.parsing.match import header_mark
from measurements.logs.parsing.names import TIME
from measurements.logs.parsing.parts import Recording
from measurements.logs.parsing.raw import raw_columns
from measurements.logs.pulls.checks import row_of
from measurements.logs.pulls.pulls import Search, find_pulls
from measurements.logs.words import findings
from shop.access.models import Person
from shop.jobs.events import record_event
from shop.workshop.models import Workshop
from sizing.physics.air import standard_pressure_kpa
from sizing.said import Said
from sizing.tables.refused import FileRefused

logger = logging.getLogger(__name__)


def _air_pressure_kpa() -> float | None:
    workshop = Workshop.objects.first()
    return float(standard_pressure_kpa(workshop.altitude_m)) if workshop else None


@dataclass(frozen=True)
class Stretch:
    """What one stretch between restarts of the clock holds, and the pulls found in it."""

    table: Log
    search: Search

    @property
    def told(self) -> list[Said]:
        return findings(self.table, self.search)


def stretches_of(log: LogFile, recording: Recording, mapping: Mapping) -> list[Stretch]:
    """The recording as matched, one a stretch between restarts of its clock; nothing is stored."""
    try:
        tables = read_tables(recording.data, recording.dialect, mapping, _air_pressure_kpa())
        return [Stretch(table, find_pulls(table)) for table in tables]
    except FileRefused:
        raise
    except Exception as error:
        logger.exception("log %s could not be read", log.pk)
        raise FileRefused(NOT_UNDERSTOOD) from error


def unmatched_of(log: LogFile, table: pd.DataFrame) -> dict[str, pa.Array]:
    """The columns of a read log that nobody matched, as they stand in the stored original, beside the rows of `table`."""
    recording, mapping = recording_of(log), mapping_of(log)
    logs = read_tables(recording.data, recording.dialect, mapping, with_rows=True)
    read = next((found for found in logs if found.stretch == log.stretch), None)
    if read is None or not read.table[TIME].equals(table[TIME]):
        raise FileRefused("log.columns_of_earlier_reading")
    return raw_columns(recording.data, recording.dialect, mapping, read)


def _refuse_what_counts_no_more(log: LogFile) -> None:
    if log.state in ("undone", "refused"):
        raise FileRefused("log.was_taken_back" if log.state == "undone" else "log.cannot_be_read")


@dataclass(frozen=True)
class MatchedLog:
    """How a recording is read: laid out and matched by whom, when."""

    recording: Recording
    mapping: Mapping
    layout: Layout
    by: Person
    at: datetime


def read_log(
    log: LogFile, mapping: Mapping | None, by: Person, at: datetime | None = None, layout: Layout | None = None
) -> LogFile:
    """Read a log with the columns as matched ({position: (quantity, unit)}; None takes them as they stand).

    It may be read again with a better match or another layout (None: as said last), always from the file as received.
    A refusal leaves the file where it is and nothing else changed. Where the clock starts again, each further stretch
    becomes a recording of its own. What a person matched is remembered.
    """
    _refuse_what_counts_no_more(log)
    layout = layout_of(log) if layout is None else layout
    how = MatchedLog(
        recording_of(log, layout), mapping_of(log) if mapping is None else mapping, layout, by, at or timezone.now()
    )
    stretches = stretches_of(log, how.recording, how.mapping)
    mine = next((s for s in stretches if s.table.stretch == log.stretch), None) or (
        stretches[0] if log.stretch == 1 else None
    )
    if mine is None:
        raise FileRefused("log.part_of_another")
    with transaction.atomic():
        if mapping is not None:
            _remember(log, how)
        if log.stretch == 1:
            _store_others(log, stretches[1:], how)
        return _store(log, mine, how)


def waiting_alike(log: LogFile) -> list[LogFile]:
    """Recordings of the same file with the same header that wait to be matched."""
    return [row for row in log.siblings() if row.state == "received" and row.header_mark == log.header_mark]


def read_waiting_alike(log: LogFile, mapping: Mapping, layout: Layout, by: Person) -> list[Said]:
    """Those that wait, read in the same way; what could not be. One found to be laid out otherwise keeps what was found."""
    refused, found_as = [], recording_of(log, layout).found_as
    for row in waiting_alike(log):
        try:
            read_log(row, mapping, by, layout=layout if recording_of(row).found_as == found_as else None)
        except FileRefused as error:
            refused.append(Said("log.named", {"name": row.named, "why": error.said}))
    return refused


def _remember(log: LogFile, how: MatchedLog) -> None:
    said = how.layout.said()
    mark = log.header_mark or ("" if said else header_mark(how.recording.dialect))
    if not mark:
        return  # of a log this old it is not known how its header looked without a person's word
    pairs = [list(how.mapping.get(i, ("", ""))) for i in range(len(how.recording.dialect.header))]
    found_as = how.recording.found_as.said() if said else {}
    LogMatch.objects.update_or_create(
        header_mark=mark, defaults={"pairs": pairs, "by": how.by, "at": how.at, "layout": said, "found_as": found_as}
    )


def _store_others(log: LogFile, stretches: list[Stretch], how: MatchedLog) -> None:
    """Recordings that only their clock tells apart. One that a person took back does not come again."""
    mine = LogFile.objects.of(log.job).filter(sha256=log.sha256, recording=log.recording, stretch__gt=1, pk__gt=log.pk)
    for gone in mine.standing().exclude(stretch__in=[s.table.stretch for s in stretches]):
        undo_log(gone, how.by, how.at)
    there = set(mine.values_list("stretch", flat=True))
    for stretch in stretches:
        if stretch.table.stretch in there:
            continue
        other = LogFile(
            job=log.job, run=log.run, phase=log.phase, name=log.name, sha256=log.sha256, size_bytes=log.size_bytes, by=log.by, at=log.at,
            recording=log.recording, stretch=stretch.table.stretch, place=log.place, header_mark=log.header_mark,
        )  # fmt: skip
        other.file.name = log.file.name
        other.save()
        _store(other, stretch, how)


def read_alike(log: LogFile, rows: list[LogFile], by: Person, at: datetime | None = None) -> list[Said]:
    """Read other recordings of the file again with the match of this one: all of them, or none when one cannot be.

    Stretches of the same text take its layout, too; another text keeps its own. A stretch that there is no more when
    matched so, since the clock does not start again there, is taken back. Returns what became of each.
    """
    at, work = at or timezone.now(), []
    for recording in sorted({row.recording for row in rows}):
        mine = [row for row in rows if row.recording == recording]
        layout = layout_of(log if recording == log.recording else mine[0])
        how = MatchedLog(recording_of(mine[0], layout), mapping_of(log), layout, by, at)
        found = {s.table.stretch: s for s in stretches_of(mine[0], how.recording, how.mapping)}
        work += [(row, found, how) for row in mine]
    for row, found, _ in work:  # before anything is stored
        if row.stretch not in found and row.stretch <= next(iter(found.values())).table.stretches:
            raise FileRefused("log.nothing_with_this_match", log=row.named)
    with transaction.atomic():
        return [_follow(*one) for one in work]


def _follow(row: LogFile, found: dict[int, Stretch], how: MatchedLog) -> Said:
    if row.stretch == 1:
        _store_others(row, [stretch for number, stretch in found.items() if number > 1], how)
    if row.stretch in found:
        _store(row, found[row.stretch], how)
        return Said("log.read_again", {"log": row.named})
    undo_log(row, how.by, how.at)
    return Said("log.clock_goes_on", {"log": row.named})


def _store(log: LogFile, stretch: Stretch, how: MatchedLog) -> LogFile:
    """In one transaction; when it fails, the file of columns goes with it."""
    log = LogFile.objects.select_for_update(of=("self",)).select_related("job").get(pk=log.pk)
    _refuse_what_counts_no_more(log)  # it may have been taken back while it was being read
    old, packed = log.table.name, io.BytesIO()
    stretch.table.table.to_parquet(packed, index=False)
    log.table.save(f"{log.sha256[:20]}.parquet", ContentFile(packed.getvalue()), save=False)
    try:
        with transaction.atomic():
            _store_rows(log, stretch, how)
    except Exception:
        if log.table.name:
            log.table.storage.delete(log.table.name)
        raise
    if old:
        transaction.on_commit(lambda: log.table.storage.delete(old))
    return log


def _store_rows(log: LogFile, stretch: Stretch, how: MatchedLog) -> None:
    table, recording = stretch.table, how.recording
    log.state, log.row_count, log.layout = "read", table.row_count, how.layout.said()
    if table.stretches > 1:
        ends = {"stretch": table.stretch, "stretches": table.stretches}
        log.place = [said.kept() for said in recording.place.inside("place.stretch", **ends)]
    first, *rest = stretch.told
    log.findings = [said.kept() for said in (first, *recording.told, *rest)]
    log.save()
    _lay_columns(log, recording.dialect.header)
    _store_columns(log, table, how.mapping)
    log.pulls.all().delete()
    LogPull.objects.bulk_create(row_of(log, pull) for pull in stretch.search.pulls)
    record_event(log.job, "log", Said("log.read", {"log": log.named, "finding": first}), how.by, how.at)


def _lay_columns(log: LogFile, header: tuple[str, ...]) -> None:
    """Another layout has other columns. The instrument stays with a column of the same name."""
    rows = list(log.columns.all())
    if [row.header for row in rows] == list(header):
        return
    named = {row.header: row.instrument_id for row in rows if row.instrument_id}
    log.columns.all().delete()
    LogColumn.objects.bulk_create(
        LogColumn(log=log, position=i, header=name, instrument_id=named.get(name)) for i, name in enumerate(header)
    )


def _store_columns(log: LogFile, table: Log, mapping: Mapping) -> None:
    found = {c.position: c for c in table.columns}
    rows = list(log.columns.select_related("instrument"))
    for row in rows:
        row.quantity, row.unit = mapping.get(row.position, ("", ""))
        if row.instrument and row.instrument.quantity != row.quantity:
            row.instrument = None  # a probe for heat says nothing of how exact a pressure is
        column = found.get(row.position)
        row.value_count = column.value_count if column else 0
        row.left_out_count = column.left_out + column.sentinel_count + column.unreadable if column else 0
        row.lowest, row.highest = (column.lowest, column.highest) if column else (None, None)
        row.highest_at_s = column.highest_at_s if column else None
    LogColumn.objects.bulk_update(
        rows, ["quantity", "unit", "instrument", "value_count", "left_out_count", "lowest", "highest", "highest_at_s"]
    )
