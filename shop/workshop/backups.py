"""One file that holds the whole workshop: the database, the photos and logs, and a manifest to check them by.

The database is taken as of one moment, before the files: every file that a row names was written before the row,
so it is there. The secret key is not in it; whoever holds a backup cannot sign a session.
"""

import hashlib
import json
import os
import re
import shutil
import sqlite3
import subprocess
import tempfile
import zipfile
from collections.abc import Callable
from contextlib import closing, contextmanager
from pathlib import Path
from urllib.parse import quote

from django.conf import settings
from django.core.management import call_command
from django.db import DatabaseError, connection, connections
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from shop.access.models import Person
from shop.clock import workshop_clock
from shop.long_work.models import Work
from shop.workshop.models import Backup

FORMAT = 1
MANIFEST = "manifest.json"
MEMBERS = {"sqlite": "database.sqlite3", "postgresql": "database.dump"}
MADE = Work._meta.get_field("made").upload_to.split("/")[0]
BLOCK = 1 << 20


class BackupError(Exception):
    """A backup that cannot be made, read or put back; the text says what to do."""


@workshop_clock()
def write_backup(path: Path, by: Person | None = None, tell: Callable[..., None] = lambda *_: None) -> dict:
    """Write the backup to ``path`` and return its manifest; nothing stands at ``path`` until it is whole.

    That it was made, and by whom, is a row which the workshop's page shows; the backup itself does not hold it.
    """
    path = Path(path)
    if path.exists():
        raise BackupError(f"{path} is there already: give another name, a backup is never overwritten.")
    if not path.parent.is_dir():
        raise BackupError(f"The folder {path.parent} is not there: make it first.")
    part = path.with_name(path.name + ".part")
    with tempfile.TemporaryDirectory(dir=path.parent) as folder:
        copy = Path(folder) / MEMBERS[connection.vendor]
        tell("database")
        rows = _dump(copy)
        manifest = {
            "format": FORMAT,
            "made_at": timezone.localtime().isoformat(timespec="seconds"),
            "database": connection.vendor,
            "migrations": sorted(f"{app}.{name}" for app, name in MigrationRecorder(connection).applied_migrations()),
            "rows": rows,
            "members": {},
        }
        try:
            with zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED, allowZip64=True) as archive:
                files = sorted(_files())
                names = [f"files/{file.relative_to(settings.MEDIA_ROOT).as_posix()}" for file in files]
                members = [(copy.name, copy), *zip(names, files, strict=True)]
                whole, packed = sum(file.stat().st_size for _, file in members), 0
                for name, file in members:
                    _add(archive, manifest, name, file)
                    packed += manifest["members"][name]["bytes"]
                    tell("files", packed / max(whole, 1))
                archive.writestr(MANIFEST, json.dumps(manifest, indent=1))
            os.replace(part, path)
        finally:
            part.unlink(missing_ok=True)
    Backup.objects.create(by=by, size_bytes=path.stat().st_size)
    return manifest


def verify_backup(path: Path) -> dict:
    """Read every member against its checksum and the database against its row counts; return the manifest."""
    with _opened(path) as (archive, manifest):
        for name in manifest["members"]:
            _checked(archive, manifest, name, None)
        with tempfile.TemporaryDirectory() as folder:
            copy = Path(folder) / MEMBERS[manifest["database"]]
            _checked(archive, manifest, copy.name, copy)
            if manifest["database"] == "sqlite":
                _same(manifest, _sound_sqlite_rows(copy))
            elif connection.vendor == "postgresql":
                _same(manifest, _rows_in_scratch(copy))
            else:
                _run("pg_restore", "--list", str(copy))
        return manifest


def restore_backup(path: Path) -> dict:
    """Put a backup into an empty database and an empty folder, bring it up to this version, and check the row counts."""
    with _opened(path) as (archive, manifest):
        _refuse_restore(path, manifest)
        with tempfile.TemporaryDirectory() as folder:
            copy = Path(folder) / MEMBERS[connection.vendor]
            _checked(archive, manifest, copy.name, copy)
            for name in manifest["members"]:
                if name.startswith("files/"):
                    _checked(archive, manifest, name, Path(folder) / name)
            if connection.vendor == "sqlite":
                _same(manifest, _sound_sqlite_rows(copy))
                _load_sqlite(copy)
            else:
                _load_postgresql(copy)
                with connection.cursor() as cursor:
                    _same(manifest, _rows(cursor))
            if (Path(folder) / "files").is_dir():
                shutil.copytree(Path(folder) / "files", settings.MEDIA_ROOT, dirs_exist_ok=True)
        call_command("migrate", verbosity=0)
        return manifest


def _refuse_restore(path: Path, manifest: dict) -> None:
    if manifest["database"] != connection.vendor:
        raise BackupError(
            f"{path} was made on {manifest['database']}, but this workshop runs on {connection.vendor}: set DATABASE_URL to a database of that kind."
        )
    known = {
        f"{app}.{name}"
        for key, migration in MigrationLoader(None).disk_migrations.items()
        for app, name in [key, *migration.replaces]
    }
    newer = sorted(set(manifest["migrations"]) - known)
    if newer:
        raise BackupError(f"{path} was made by a newer version (it has {newer[-1]}): install that version first.")
    tables = connection.introspection.table_names()
    if "shop_workshop" in tables:
        with connection.cursor() as cursor:
            cursor.execute("SELECT count(*) FROM shop_workshop")
            if cursor.fetchone()[0]:
                raise BackupError(
                    "This database holds a workshop already: restore into an empty one. Nothing was changed."
                )
    if next(_files(), None):
        raise BackupError(f"The folder of photos and logs is not empty ({settings.MEDIA_ROOT}). Nothing was changed.")


# ---- members of the file


def _files():
    root = Path(settings.MEDIA_ROOT)
    files = (file for file in root.rglob("*") if file.is_file()) if root.is_dir() else iter(())
    # What the worker made to be fetched, earlier backups among it, can be made again.
    return (file for file in files if file.relative_to(root).parts[0] != MADE)


def _add(archive: zipfile.ZipFile, manifest: dict, name: str, file: Path) -> None:
    digest, size = hashlib.sha256(), 0
    with open(file, "rb") as source, archive.open(name, "w", force_zip64=True) as target:
        while block := source.read(BLOCK):
            digest.update(block)
            size += len(block)
            target.write(block)
    manifest["members"][name] = {"bytes": size, "sha256": digest.hexdigest()}


@contextmanager
def _opened(path: Path):
    try:
        with zipfile.ZipFile(path) as archive:
            manifest = json.loads(archive.read(MANIFEST))
            if manifest["format"] != FORMAT:
                raise BackupError(f"{path} has format {manifest['format']}; this version reads {FORMAT}.")
            missing = set(manifest["members"]) - set(archive.namelist())
            if missing:
                raise BackupError(f"{path} is not whole: {sorted(missing)[0]} is missing.")
            yield archive, manifest
    except (OSError, zipfile.BadZipFile, KeyError, json.JSONDecodeError) as error:
        raise BackupError(f"{path} is no backup of a workshop, or it is damaged: {error}") from error


def _checked(archive: zipfile.ZipFile, manifest: dict, name: str, target: Path | None) -> None:
    """Unpack one member to ``target`` (or nowhere) and hold it against the manifest."""
    if ".." in Path(name).parts or Path(name).is_absolute():
        raise BackupError(f"{name} points out of the backup: this file was not written by a workshop.")
    digest = hashlib.sha256()
    if target:
        target.parent.mkdir(parents=True, exist_ok=True)
    with archive.open(name) as source, open(target or os.devnull, "wb") as out:
        while block := source.read(BLOCK):
            digest.update(block)
            out.write(block)
    if digest.hexdigest() != manifest["members"][name]["sha256"]:
        raise BackupError(f"{name} is not what was backed up: its checksum differs.")


# ---- the database


def _dump(copy: Path) -> dict[str, int]:
    """A copy of the database as of one moment, and its row counts at that moment."""
    if connection.vendor == "sqlite":
        # A connection of its own, so that nothing half done on ours is copied.
        with (
            closing(sqlite3.connect(connection.settings_dict["NAME"])) as source,
            closing(sqlite3.connect(copy)) as target,
        ):
            source.backup(target)
            return _sqlite_rows(target)
    with _snapshot() as (name, rows):
        _run(
            "pg_dump",
            "--format=custom",
            "--no-owner",
            "--no-privileges",
            f"--snapshot={name}",
            f"--file={copy}",
            *_address(),
        )
        return rows


@contextmanager
def _snapshot():
    """A connection of its own that keeps the moment which the dump then shows."""
    own = connection.copy("default")
    try:
        with own.cursor() as cursor:
            cursor.execute("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY")
            cursor.execute("SELECT pg_export_snapshot()")
            yield cursor.fetchone()[0], _rows(cursor)
            cursor.execute("ROLLBACK")
    finally:
        own.close()


def _rows(cursor) -> dict[str, int]:
    counts = {}
    for table in sorted(connection.introspection.table_names(cursor)):
        cursor.execute(f"SELECT count(*) FROM {connection.ops.quote_name(table)}")
        counts[table] = cursor.fetchone()[0]
    return counts


def _sqlite_rows(database: sqlite3.Connection) -> dict[str, int]:
    tables = [
        name
        for (name,) in database.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
        )
    ]
    return {table: database.execute(f'SELECT count(*) FROM "{table}"').fetchone()[0] for table in sorted(tables)}


def _sound_sqlite_rows(copy: Path) -> dict[str, int]:
    with closing(sqlite3.connect(copy)) as database:
        if (told := database.execute("PRAGMA integrity_check").fetchone()[0]) != "ok":
            raise BackupError(f"The database in this backup is damaged: {told}")
        return _sqlite_rows(database)


def _load_sqlite(copy: Path) -> None:
    connections.close_all()
    with closing(sqlite3.connect(copy)) as source, closing(sqlite3.connect(connection.settings_dict["NAME"])) as target:
        source.backup(target)


def _load_postgresql(copy: Path, name: str | None = None) -> None:
    connections.close_all()
    _run("pg_restore", "--clean", "--if-exists", "--no-owner", "--no-privileges", "--single-transaction",
         "--exit-on-error", *_address(name), str(copy))  # fmt: skip


def _rows_in_scratch(copy: Path) -> dict[str, int]:
    """Row counts of a dump, put into a database that is thrown away."""
    name = f"{connection.settings_dict['NAME']}_check_{os.getpid()}"
    quoted = connection.ops.quote_name(name)
    try:
        with connection.cursor() as cursor:
            cursor.execute(f"CREATE DATABASE {quoted} TEMPLATE template0")
    except DatabaseError as error:
        raise BackupError(f"The checksums hold, but no database could be made to try the dump in: {error}") from error
    scratch = connection.copy("default")
    scratch.settings_dict = {**connection.settings_dict, "NAME": name}
    try:
        _load_postgresql(copy, name)
        with scratch.cursor() as cursor:
            return _rows(cursor)
    finally:
        scratch.close()
        with connection.cursor() as cursor:
            cursor.execute(f"DROP DATABASE IF EXISTS {quoted} WITH (FORCE)")


def _same(manifest: dict, rows: dict[str, int]) -> None:
    for table, count in manifest["rows"].items():
        if rows.get(table) != count:
            raise BackupError(f"The table {table} has {rows.get(table, 'no')} rows, but {count} were backed up.")


def _address(name: str | None = None) -> list[str]:
    """The database for the tools of PostgreSQL; the password goes by the environment, where no process list shows it."""
    row = connection.settings_dict
    user = f"{quote(row['USER'])}@" if row["USER"] else ""
    port = f":{row['PORT']}" if row["PORT"] else ""
    return [f"--dbname=postgresql://{user}{row['HOST']}{port}/{quote(name or row['NAME'])}"]


def _run(*words: str) -> None:
    if not shutil.which(words[0]):
        raise BackupError(f"{words[0]} was not found: install PostgreSQL's client programs on this machine.")
    password = connection.settings_dict.get("PASSWORD") or ""
    environment = os.environ | ({"PGPASSWORD": password} if password else {})
    done = subprocess.run(words, capture_output=True, text=True, env=environment, check=False)
    if done.returncode:
        lines = done.stderr.strip().splitlines() or [f"it ended with {done.returncode}"]
        said = next((line for line in lines if "error:" in line), lines[-1])
        raise BackupError(f"{words[0]} failed: {said}{_other_version(words[0])}")


def _other_version(program: str) -> str:
    """What to do where the program is not of the server's version: a newer one writes what an older server does not know."""
    told = subprocess.run([program, "--version"], capture_output=True, text=True, check=False).stdout
    found, server = re.search(r"\d+", told), connection.pg_version // 10_000
    if found is None or int(found[0]) == server:
        return ""
    return f" ({program} is of PostgreSQL {found[0]}, the server of {server}: install the client programs of the server's version.)"
