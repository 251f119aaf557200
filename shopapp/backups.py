"""A shop on the shelf: a copy of the store and the files, and the proof it opens."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import sqlite3
import subprocess
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any
from uuid import uuid4

import psycopg
from django.conf import settings
from django.db import connection, transaction
from django.utils import timezone
from psycopg.conninfo import make_conninfo

SQLITE, POSTGRES, NOTE, FILES = "shop.sqlite3", "shop.dump", "backup.json", "media"
Ask = Callable[[str], list[Any]]


class Unusable(Exception):  # noqa: N818 - a sentence for whoever keeps the backups
    """The backup could not be made, or would not bring the shop back."""


class NoTool(Unusable):
    """A program that copies the store is not on this machine."""


def make(folder: Path) -> Path:
    """Back the shop up into a new folder inside `folder`, while the shop is open.

    The store first: a file that it names was written before its row.
    """
    now = timezone.now()
    target = folder / f"shop-{now:%Y%m%d-%H%M%S}"
    unfinished = target.with_name(f"{target.name}.part")
    try:
        unfinished.mkdir(mode=0o700, parents=True)
    except OSError as error:
        raise Unusable(f"{unfinished} cannot be made: {error.strerror}.") from None
    sqlite = connection.vendor == "sqlite"
    rows = (
        _copy_sqlite(unfinished / SQLITE)
        if sqlite
        else _copy_postgres(unfinished / POSTGRES)
    )
    shutil.copytree(
        _existing(Path(settings.MEDIA_ROOT)),
        unfinished / FILES,
        ignore=shutil.ignore_patterns(".new-*"),
    )
    note = {"made_at": now.isoformat(), "rows": rows}
    (unfinished / NOTE).write_text(json.dumps(note, indent=1))
    # A folder with its final name is whole.
    return unfinished.rename(target)


def copy_store(folder: Path, name: str) -> Path:
    """Copy the store alone, without its files; whole once it has its final name."""
    sqlite = connection.vendor == "sqlite"
    target = folder / f"{name}{Path(SQLITE if sqlite else POSTGRES).suffix}"
    unfinished = target.with_name(f".{target.name}.part")
    try:
        (_copy_sqlite if sqlite else _copy_postgres)(unfinished)
        return unfinished.rename(target)
    finally:
        unfinished.unlink(missing_ok=True)


def check(folder: Path) -> dict[str, int]:
    """Open a backup and count; raises `Unusable` when anything is missing."""
    try:
        noted: dict[str, int] = json.loads((folder / NOTE).read_text())["rows"]
    except (OSError, ValueError, KeyError):
        raise Unusable(f"{folder} is not a whole backup: no {NOTE}.") from None
    sqlite = (folder / SQLITE).exists()
    with _open_sqlite(folder) if sqlite else _open_postgres(folder) as ask:
        found = _count(ask, list(noted))
        kept = [row[0] for row in ask("SELECT sha256 FROM shopapp_storedfile")]
    wrong = [name for name in noted if noted[name] != found[name]]
    if wrong:
        raise Unusable(f"Rows are missing in {', '.join(wrong)}.")
    damaged = [each for each in kept if not _is_whole(folder / FILES, each)]
    if damaged:
        raise Unusable(f"{len(damaged)} files are missing or damaged: {damaged[0]}.")
    return {"tables": len(found), "rows": sum(found.values()), "files": len(kept)}


def _count(ask: Ask, tables: Sequence[str]) -> dict[str, int]:
    # Names of our own tables, never of anybody's input.
    return {name: ask(f'SELECT count(*) FROM "{name}"')[0][0] for name in tables}


def _is_whole(folder: Path, sha256: str) -> bool:
    path = folder / sha256[:2] / sha256
    if not path.exists():
        return False
    with path.open("rb") as kept:
        return hashlib.file_digest(kept, "sha256").hexdigest() == sha256


def _existing(folder: Path) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def _copy_sqlite(path: Path) -> dict[str, int]:
    connection.ensure_connection()
    with closing(sqlite3.connect(path)) as copy:
        # One step, so that no writer comes between two pages.
        connection.connection.backup(copy)
        tables = connection.introspection.table_names()
        return _count(lambda sql: copy.execute(sql).fetchall(), tables)


@contextmanager
def _open_sqlite(folder: Path) -> Iterator[Ask]:
    address = f"{(folder / SQLITE).resolve().as_uri()}?mode=ro"
    with closing(sqlite3.connect(address, uri=True)) as store:
        try:
            verdict = store.execute("PRAGMA integrity_check").fetchone()[0]
            if verdict == "ok" and store.execute("PRAGMA foreign_key_check").fetchone():
                verdict = "a row points to a row that is not there"
        except sqlite3.DatabaseError as error:
            verdict = str(error)
        if verdict != "ok":
            raise Unusable(f"The store is damaged: {verdict}.")
        yield lambda sql: store.execute(sql).fetchall()


def _copy_postgres(path: Path) -> dict[str, int]:
    tables = connection.introspection.table_names()
    with transaction.atomic(), connection.cursor() as cursor:

        def ask(sql: str) -> list[Any]:
            cursor.execute(sql)
            return list(cursor.fetchall())

        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        # What is dumped is what is counted, whoever writes meanwhile.
        snapshot = ask("SELECT pg_export_snapshot()")[0][0]
        own = [f"--snapshot={snapshot}", f"--file={path}"]
        _run("pg_dump", "--format=custom", *own, connection.settings_dict["NAME"])
        return _count(ask, tables)


@contextmanager
def _open_postgres(folder: Path) -> Iterator[Ask]:
    """Restore into a store of its own, which goes again afterwards."""
    if not (folder / POSTGRES).exists():
        raise Unusable(f"{folder} holds no store.")
    if connection.vendor != "postgresql":
        raise Unusable("This backup is of a PostgreSQL store: set DATABASE_URL.")
    name = f"restore_check_{uuid4().hex[:8]}"
    _run("createdb", name)
    try:
        options = ["--exit-on-error", "--no-owner", f"--dbname={name}"]
        _run("pg_restore", *options, str(folder / POSTGRES))
        with psycopg.connect(make_conninfo(dbname=name, **_own())) as store:
            yield lambda sql: store.execute(sql.encode()).fetchall()
    finally:
        _run("dropdb", name)


def _own() -> dict[str, str]:
    """How this shop reaches its server; what is not set is the server's default."""
    own = connection.settings_dict
    names = ("host", "port", "user", "password")
    return {name: str(own[name.upper()]) for name in names if own[name.upper()]}


def _run(program: str, *arguments: str) -> None:
    told = {f"PG{name.upper()}": value for name, value in _own().items()}
    try:
        subprocess.run(
            [program, *arguments],
            env={**os.environ, **told},
            check=True,
            capture_output=True,
            text=True,
        )
    except FileNotFoundError:
        raise NoTool(f"{program} is not installed (postgresql-client).") from None
    except subprocess.CalledProcessError as error:
        raise Unusable(f"{program} failed: {error.stderr.strip()}") from None
