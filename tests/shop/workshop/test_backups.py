"""A backup is put back into another empty workshop and compared; damaged, newer and foreign ones are refused untouched."""

import hashlib
import json
import os
import re
import subprocess
import sys
import zipfile
from pathlib import Path

import psycopg
import pytest
from django.db import connection

from shop.workshop.backups import BackupError, verify_backup

ROOT = Path(__file__).resolve().parents[3]
SEE = """
import hashlib, json, os, django
os.environ["DJANGO_SETTINGS_MODULE"] = "shop.settings"
django.setup()
from django.apps import apps
from django.core import serializers
found = {}
for model in apps.get_models(include_auto_created=True):
    text = serializers.serialize("json", model._default_manager.order_by("pk"), sort_keys=True) if hasattr(model, "_default_manager") else ""
    found[model._meta.db_table] = hashlib.sha256(text.encode()).hexdigest()
found.pop("shop_backup")  # that a backup was made is not in it
print(json.dumps(found))
"""
FILL = """
import json, os, django
os.environ["DJANGO_SETTINGS_MODULE"] = "shop.settings"
django.setup()
from django.conf import settings
from tests.builders import make_job, make_person, make_workshop
make_workshop()
make_job(make_person("technician", "tarek"), facts={"rated_speed_rpm": (4000, 4000, "", "book")})
photo = settings.MEDIA_ROOT / "photos" / "engine bay.jpg"
photo.parent.mkdir(parents=True)
photo.write_bytes(bytes(range(256)) * 999)
"""


class Place:
    """A workshop of its own: a folder, and on PostgreSQL a database."""

    def __init__(self, folder: Path, name: str):
        self.folder, self.database = folder / name, f"backup_{name}_{os.getpid()}"
        self.env = os.environ | {"DATA_DIR": str(self.folder), "SECRET_KEY": "only-for-tests-" * 6, "DEBUG": "true"}
        if connection.vendor == "postgresql":
            row = connection.settings_dict
            self.server = {
                "host": row["HOST"],
                "port": row["PORT"] or 5432,
                "user": row["USER"],
                "password": row["PASSWORD"],
            }
            self.sql("DROP DATABASE IF EXISTS {}", "CREATE DATABASE {}")
            secret = f":{row['PASSWORD']}" if row["PASSWORD"] else ""
            self.env["DATABASE_URL"] = (
                f"postgresql://{row['USER']}{secret}@{row['HOST']}:{row['PORT'] or 5432}/{self.database}"
            )
        else:
            self.env.pop("DATABASE_URL", None)

    def sql(self, *statements):
        with psycopg.connect(**self.server, dbname="postgres", autocommit=True) as db:
            for statement in statements:
                db.execute(statement.format(self.database))

    def call(self, *words, fails=False) -> str:
        done = subprocess.run(
            [sys.executable, *words], cwd=ROOT, env=self.env, capture_output=True, text=True, timeout=300
        )
        assert (done.returncode == 2) is fails, done.stdout + done.stderr
        return done.stderr if fails else done.stdout

    def manage(self, *words, **more):
        return self.call("manage.py", *map(str, words), **more)

    def seen(self) -> dict:
        return json.loads(self.call("-c", SEE).splitlines()[-1])

    def files(self) -> dict:
        root = self.folder / "files"
        return {
            str(f.relative_to(root)): hashlib.sha256(f.read_bytes()).hexdigest() for f in root.rglob("*") if f.is_file()
        }

    def drop(self):
        if connection.vendor == "postgresql":
            self.sql("DROP DATABASE IF EXISTS {} WITH (FORCE)")


@pytest.fixture(scope="module")
def filled(tmp_path_factory):
    place = Place(tmp_path_factory.mktemp("backup"), "filled")
    place.manage("migrate", "-v0")
    place.call("-c", FILL)
    place.backup = place.folder.parent / "workshop.zip"
    place.said = place.manage("backup", place.backup)
    yield place
    place.drop()


@pytest.fixture(scope="module")
def empty(tmp_path_factory):
    """Stays empty: what is refused changes nothing."""
    place = Place(tmp_path_factory.mktemp("backup"), "empty")
    place.manage("migrate", "-v0")
    place.rows = place.seen()
    yield place
    place.drop()


@pytest.fixture
def second(tmp_path):
    place = Place(tmp_path, "second")
    place.manage("migrate", "-v0")
    yield place
    place.drop()


def _changed(source: Path, target: Path, change) -> Path:
    """A copy of a backup in which ``change`` may alter the manifest and each member's bytes."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            data = change(name, old.read(name))
            if data is not None:
                new.writestr(name, data)
    return target


def test_what_comes_back_is_what_was_there(filled, empty, second):
    assert "is whole" in filled.manage("verify_backup", filled.backup)
    assert filled.seen() != empty.rows
    assert "Restored" in second.manage("restore", filled.backup)
    assert second.seen() == filled.seen()
    assert second.files() == filled.files() != {}


def test_the_secret_key_is_not_in_a_backup(filled):
    with zipfile.ZipFile(filled.backup) as archive:
        assert all(filled.env["SECRET_KEY"].encode() not in archive.read(name) for name in archive.namelist())


def test_a_backup_is_never_written_over(filled):
    before = filled.backup.read_bytes()
    assert "there already" in filled.manage("backup", filled.backup, fails=True)
    assert filled.backup.read_bytes() == before


def test_a_workshop_with_data_is_not_overwritten(filled):
    before = filled.seen()
    assert "holds a workshop already" in filled.manage("restore", filled.backup, fails=True)
    assert filled.seen() == before


@pytest.mark.parametrize(
    ("what", "told"),
    [
        ("a flipped byte", "checksum differs"),
        ("a photo left out", "not whole"),
        ("a newer version", "newer version"),
        ("another database", "set DATABASE_URL"),
    ],
)
def test_a_backup_that_cannot_be_trusted_is_refused(filled, empty, tmp_path, what, told):
    def change(name, data):
        if name == "manifest.json":
            manifest = json.loads(data)
            if what == "a newer version":
                manifest["migrations"].append("shop.9999_from_the_future")
            if what == "another database":
                manifest["database"] = "oracle"
            return json.dumps(manifest).encode()
        if name.startswith("files/"):
            if what == "a photo left out":
                return None
            if what == "a flipped byte":
                return b"\x00\x00" + data[2:]
        return data

    broken = _changed(filled.backup, tmp_path / "broken.zip", change)
    assert told in empty.manage("restore", broken, fails=True)
    assert empty.files() == {}


def test_a_backup_that_lost_rows_is_told(filled, tmp_path):
    def change(name, data):
        if name != "manifest.json":
            return data
        manifest = json.loads(data)
        manifest["rows"]["shop_jobcard"] += 1
        return json.dumps(manifest).encode()

    assert "has 1 rows, but 2" in filled.manage(
        "verify_backup", _changed(filled.backup, tmp_path / "lost.zip", change), fails=True
    )


@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite needs no program")
def test_a_client_program_of_another_version_is_named(filled, tmp_path, monkeypatch):
    """A dump by version 17 sets what a server of 15 does not know (seen so with pg_restore 17.12 and a server 15.19)."""
    program = tmp_path / "pg_dump"
    program.write_text("""#!/bin/sh
case "$1" in --version) echo "pg_dump (PostgreSQL) 99.1" ;; *) echo "pg_dump: error: unrecognized parameter" >&2; echo "Command was: SET x = 0;" >&2; exit 1 ;; esac
""")
    program.chmod(0o755)
    monkeypatch.setitem(filled.env, "PATH", f"{tmp_path}:{filled.env['PATH']}")
    told = filled.manage("backup", tmp_path / "never.zip", fails=True)
    assert "error: unrecognized parameter" in told
    assert "is of PostgreSQL 99" in told
    assert f"the server of {connection.pg_version // 10_000}" in told


@pytest.mark.parametrize("content", [b"", b"no archive at all", b"PK\x03\x04 cut off"])
def test_a_file_that_is_no_backup_is_said(tmp_path, content):
    file = tmp_path / "file.zip"
    file.write_bytes(content)
    with pytest.raises(BackupError, match="no backup of a workshop"):
        verify_backup(file)


def test_a_member_may_not_climb_out_of_the_folder(filled, empty, tmp_path):
    file = tmp_path / "climbs.zip"
    with zipfile.ZipFile(filled.backup) as old, zipfile.ZipFile(file, "w") as new:
        manifest = json.loads(old.read("manifest.json"))
        manifest["members"]["files/../../climbed"] = {"bytes": 1, "sha256": hashlib.sha256(b"x").hexdigest()}
        for name in old.namelist():
            new.writestr(name, old.read(name) if name != "manifest.json" else json.dumps(manifest))
        new.writestr("files/../../climbed", b"x")
    assert "points out of the backup" in empty.manage("restore", file, fails=True)
    assert empty.seen() == empty.rows


@pytest.mark.django_db(transaction=True)
def test_the_owner_downloads_one_and_the_page_says_when(owner_client, owner, tmp_path):
    assert "No backup has been made yet" in " ".join(owner_client.get("/workshop/").content.decode().split())
    page = owner_client.post("/workshop/backup/", follow=True)
    assert "<strong>Done</strong>" in page.content.decode()
    answer = owner_client.get(re.search(r'href="(/long-work/\d+/file/)"', page.content.decode())[1])
    assert answer["Content-Disposition"].startswith('attachment; filename="workshop-20')
    file = tmp_path / "got.zip"
    file.write_bytes(b"".join(answer.streaming_content))
    assert verify_backup(file)["rows"]["shop_workshop"] == 1
    assert f"by {owner}" in owner_client.get("/workshop/").content.decode()
