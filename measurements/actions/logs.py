"""Taking in a log, reading it as a person matched it, and taking it back. The file itself is never changed."""

import hashlib
import io
from datetime import datetime

from django.conf import settings
from django.core.files.base import ContentFile
from django.db import IntegrityError, transaction
from django.utils import timezone

from measurements.findings import show
from measurements.log_dialect import Dialect, LogRefused, find_dialect
from measurements.log_file import Log, Mapping
from measurements.log_file import read_log as read_table
from measurements.log_names import CHANNELS, guess
from measurements.log_words import findings
from measurements.models import LogColumn, LogFile, LogPull, Point, ProvingRun
from measurements.pulls import Search, find_pulls
from shop.actions.events import record_event
from shop.models import JobCard, Person, Workshop
from sizing.physics.air import standard_pressure_kpa
from sizing.quantities import QUANTITIES


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
    if len(data) > settings.MAX_UPLOAD_MB * 1024 * 1024:
        raise LogRefused(f"The file has {len(data) / 1048576:.0f} MB. Allowed: up to {settings.MAX_UPLOAD_MB} MB.")


def guessed_columns(dialect: Dialect) -> list[tuple[str, str]]:
    """What each column is taken for; a quantity is given to the first column that claims it."""
    rows, taken = [], set()
    for i, header in enumerate(dialect.header):
        quantity, unit = guess(header, dialect.units[i] if dialect.units else "")
        rows.append(("", "") if quantity in taken else (quantity, unit))
        taken.add(quantity or None)
    return rows


def receive_log(
    job: JobCard, phase: str, name: str, data: bytes, by: Person, run: ProvingRun | None = None, at: datetime | None = None
) -> LogFile:
    """Keep a file byte for byte with its hash, with a first guess at its columns; refuse what is no log."""
    _refuse_at_the_door(job, phase, data)
    sha256 = hashlib.sha256(data).hexdigest()
    known = LogFile.objects.of(job).not_undone().filter(sha256=sha256).select_related("by").first()
    if known:
        raise KnownLog(known)
    dialect, at = find_dialect(data), at or timezone.now()
    if phase == "after" and run is None:
        run = ProvingRun.objects.of(job).last()
    log = LogFile(
        job=job, run=run if phase == "after" else None, phase=phase, name=name[:160], sha256=sha256, size_bytes=len(data), by=by, at=at
    )
    log.file.save(f"{sha256[:20]}.csv", ContentFile(data), save=False)
    try:
        with transaction.atomic():
            log.save()
            LogColumn.objects.bulk_create(
                LogColumn(log=log, position=i, header=dialect.header[i], quantity=quantity, unit=unit)
                for i, (quantity, unit) in enumerate(guessed_columns(dialect))
            )
            record_event(job, "log", f"log received: {log.name}, {len(data):,} bytes", by, at)
    except IntegrityError:  # the same file in the same moment
        log.file.delete(save=False)
        raise KnownLog(LogFile.objects.of(job).not_undone().select_related("by").get(sha256=sha256)) from None
    return log


def mapping_of(log: LogFile) -> Mapping:
    return {c.position: (c.quantity, c.unit) for c in log.columns.all()}


def bytes_of(log: LogFile) -> bytes:
    with log.file.open("rb") as file:
        return file.read()


def _air_pressure_kpa() -> float | None:
    workshop = Workshop.objects.first()
    return float(standard_pressure_kpa(workshop.altitude_m)) if workshop else None


def read_log(log: LogFile, mapping: Mapping | None, by: Person, at: datetime | None = None) -> LogFile:
    """Read a log with the columns as matched ({position: (quantity, unit)}; None takes them as guessed).

    It may be read again with a better match. A refusal leaves the file where it is and nothing else changed.
    """
    if log.state == "undone":
        raise LogRefused("This log was taken back. Send the file again to read it.")
    mapping = mapping_of(log) if mapping is None else mapping
    data = bytes_of(log)
    table = read_table(data, find_dialect(data), mapping, _air_pressure_kpa())
    search = find_pulls(table)
    return _store(log, table, search, mapping, by, at or timezone.now())


@transaction.atomic
def _store(log: LogFile, table: Log, search: Search, mapping: Mapping, by: Person, at: datetime) -> LogFile:
    log = LogFile.objects.select_for_update(of=("self",)).select_related("job").get(pk=log.pk)
    packed = io.BytesIO()
    table.table.to_parquet(packed, index=False)
    old = log.table.name
    log.table.save(f"{log.sha256[:20]}.parquet", ContentFile(packed.getvalue()), save=False)
    log.state, log.row_count = "read", table.row_count
    log.finding = "\n".join(findings(table, search, show_channel))
    log.save()
    _store_columns(log, table, mapping)
    log.pulls.all().delete()
    LogPull.objects.bulk_create(
        LogPull(
            log=log, start_s=p.start_s, end_s=p.end_s, speed_from_rpm=p.speed_from_rpm, speed_to_rpm=p.speed_to_rpm,
            boost_highest_kpa=p.boost_highest_kpa, boost_highest_at_rpm=p.boost_highest_at_rpm,
            exhaust_temperature_highest_c=p.exhaust_temperature_highest_c,
        )
        for p in search.pulls
    )  # fmt: skip
    record_event(log.job, "log", f"log read: {log.name}. {log.finding.splitlines()[0]}", by, at)
    if old:
        transaction.on_commit(lambda: log.table.storage.delete(old))
    return log


def _store_columns(log: LogFile, table: Log, mapping: Mapping) -> None:
    found = {c.position: c for c in table.columns}
    rows = list(log.columns.all())
    for row in rows:
        row.quantity, row.unit = mapping.get(row.position, ("", ""))
        column = found.get(row.position)
        row.value_count = column.value_count if column else 0
        row.left_out_count = column.left_out + column.unreadable if column else 0
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
    record_event(log.job, "log", f"log taken back: {log.name}", by, at)
    return log
