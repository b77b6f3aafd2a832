"""Long work on logs: taking in, reading as matched, writing out."""

import io
from collections.abc import Mapping
from pathlib import PurePath
from typing import Any

import pandas as pd
import pyarrow as pa
from django.utils.translation import gettext_lazy

from measurements.logs.actions import KnownLog, receive_log
from measurements.logs.export import as_csv, as_parquet
from measurements.logs.models import LogFile
from measurements.logs.parsing.dialect import Layout
from measurements.logs.parsing.file import Mapping as Matching
from measurements.logs.reading import read_log, read_waiting_alike, unmatched_of
from shop.jobs.models import JobCard
from shop.long_work.kinds import Done, WorkRefused, long_work
from shop.long_work.queue import Hand
from sizing.tables.refused import FileRefused

# Above these a log is read by the worker. 10 MB of text are understood and read in 0.1 s on a quick machine and within
# a second on a slow one (measured: 17 MB in 0.14 s); packed files and spreadsheets hold up to twenty times their size.
LARGE_LOG_BYTES = 10 * 1024 * 1024
LARGE_PACKED_BYTES = 512 * 1024
PACKED = {".gz", ".zip", ".xlsx"}
# Above this many cells an export is written by the worker: a million cells of CSV are written in about half a second.
LARGE_EXPORT_CELLS = 1_000_000


def is_large(name: str, size_bytes: int) -> bool:
    packed = PurePath(name).suffix.lower() in PACKED
    return size_bytes > (LARGE_PACKED_BYTES if packed else LARGE_LOG_BYTES)


def is_large_export(log: LogFile, with_raw: bool) -> bool:
    """With the unmatched columns the original is read again as a whole."""
    cells = (log.row_count or 0) * log.columns.exclude(quantity="").count()
    return cells > LARGE_EXPORT_CELLS or (with_raw and is_large(log.name, log.size_bytes))


def _log_or_refused(pk: int) -> LogFile:
    log = LogFile.objects.select_related("job", "by").filter(pk=pk).first()
    if log is None:
        raise WorkRefused("log.gone")
    return log


@long_work(
    "log_import", gettext_lazy("Log %(name)s"), "measurements.add_logfile", takes_file=True,
    steps={"unpack": gettext_lazy("Unpacking and looking through the file")},
)  # fmt: skip
def import_log(hand: Hand, *, job: int, phase: str, name: str) -> Done:
    card = JobCard.objects.filter(pk=job).first()
    if card is None:
        raise WorkRefused("work.job_gone")
    hand.tell("unpack")
    with hand.work.received.open("rb") as file:
        data = file.read()
    try:
        log = receive_log(card, phase, name, data, hand.by, at=hand.work.at)
    except KnownLog as known:
        if known.log.at != hand.work.at:
            raise WorkRefused(known.said) from known
        log = known.log  # of an earlier try, which was cut off after it was stored
    except FileRefused as refused:
        raise WorkRefused("log.named", name=name, why=refused.said) from refused
    return Done(leads_to=(page_of_received(log), log.pk))


def page_of_received(log: LogFile) -> str:
    return "measurements:log_recordings" if log.siblings().exists() else "measurements:log_match"


@long_work(
    "log_reading", gettext_lazy("Reading the log %(name)s"), "measurements.add_logfile",
    steps={
        "read": gettext_lazy("Reading the columns and looking for pulls"),
        "alike": gettext_lazy("Reading the other recordings of the file"),
    },
)  # fmt: skip
def read_matched(
    hand: Hand, *, log: int, name: str, mapping: dict[str, list[str]], layout: dict[str, Any], alike: bool
) -> Done:
    row, matched = _log_or_refused(log), mapping_from(mapping)
    try:
        hand.tell("read")
        read_log(row, matched, hand.by, layout=Layout(**layout))
        hand.tell("alike")
        said = read_waiting_alike(row, matched, Layout(**layout), hand.by) if alike else []
    except FileRefused as refused:
        raise WorkRefused(refused.said) from refused
    return Done(leads_to=("measurements:log", row.pk), said=tuple(said))


def mapping_to(mapping: Matching) -> dict[str, list[str]]:
    """As JSON can keep it."""
    return {str(position): list(pair) for position, pair in mapping.items()}


def mapping_from(kept: dict[str, list[str]]) -> Matching:
    return {int(position): (quantity, unit) for position, (quantity, unit) in kept.items()}


@long_work(
    "log_export", gettext_lazy("The log %(name)s as %(suffix)s"), "measurements.view_reading",
    steps={
        "raw": gettext_lazy("Reading the unmatched columns from the original"),
        "write": gettext_lazy("Writing the file"),
    },
)  # fmt: skip
def export_log(hand: Hand, *, log: int, name: str, suffix: str, with_raw: bool) -> Done:
    row = _log_or_refused(log)
    if row.state != "read":
        raise WorkRefused("log.no_columns")
    with row.table.open("rb") as columns:
        table = pd.read_parquet(columns)
    try:
        hand.tell("raw" if with_raw else "write")
        raw = unmatched_of(row, table) if with_raw else {}
    except FileRefused as refused:
        raise WorkRefused(refused.said) from refused
    hand.tell("write")
    file = hand.folder / f"log.{suffix}"
    file.write_bytes(written(row, table, raw, suffix).getbuffer())
    return Done(file=file, name=export_name(row, suffix, bool(raw)))


def written(log: LogFile, table: pd.DataFrame, raw: Mapping[str, pa.Array], suffix: str) -> io.BytesIO:
    if suffix == "csv":
        return as_csv(table, raw)
    names = {c.quantity: c.header for c in log.columns.all() if c.quantity}
    return as_parquet(table, names, {"file": log.name, "sha256": log.sha256, "recording": log.part_label}, raw)


def export_name(log: LogFile, suffix: str, with_raw: bool) -> str:
    return f"{PurePath(log.name).stem}-{log.pk}{'-with-raw' if with_raw else ''}.{suffix}"
