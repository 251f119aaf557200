"""The two stores: copied whole while the shop is open, opened again, brought back."""

from __future__ import annotations

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
from django.db import connection, transaction
from psycopg.conninfo import make_conninfo

SQLITE, POSTGRES = "shop.sqlite3", "shop.dump"
Ask = Callable[[str], list[Any]]


class Unusable(Exception):  # noqa: N818 - a sentence for whoever keeps the backups
    """The backup could not be made, or would not bring the shop back."""


class NoTool(Unusable):
    """A program that copies the store is not on this machine."""


def copy_into(folder: Path) -> dict[str, int]:
    """Copy the store into a folder; the rows of each table in that copy."""
    sqlite = connection.vendor == "sqlite"
    path = folder / (SQLITE if sqlite else POSTGRES)
    return (_copy_sqlite if sqlite else _copy_postgres)(path)


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


@contextmanager
def opened(folder: Path) -> Iterator[Ask]:
    """A backup's store, to be asked; nothing is written beside it."""
    if (folder / SQLITE).exists():
        with _open_sqlite(folder / SQLITE) as ask:
            yield ask
        return
    _needs_postgres(folder)
    with spare_base() as name:
        fill_base(folder, name)
        with _ask_base(name) as ask:
            yield ask


@contextmanager
def brought_to(folder: Path, store: str) -> Iterator[Ask]:
    """Bring a backup's store to an empty place, and ask it before it counts there.

    store  the SQLite file, or the name of a PostgreSQL base
    """
    if (folder / SQLITE).exists():
        if connection.vendor != "sqlite":
            raise Unusable("This backup is of an SQLite store: unset DATABASE_URL.")
        unfinished = Path(f"{store}.part")
        try:
            unfinished.touch(mode=0o600)
            shutil.copyfile(folder / SQLITE, unfinished)
            with _open_sqlite(unfinished) as ask:
                yield ask
            for log in ("-wal", "-shm"):
                Path(f"{store}{log}").unlink(missing_ok=True)
            unfinished.rename(store)
        finally:
            unfinished.unlink(missing_ok=True)
        return
    _needs_postgres(folder)
    fill_base(folder, store)
    try:
        with _ask_base(store) as ask:
            yield ask
    except Unusable as reason:
        raise Unusable(
            f"{reason} Drop the base {store} before you try again."
        ) from None


def is_empty(store: str) -> bool:
    """Whether a place for a store holds no table yet."""
    if connection.vendor == "sqlite":
        path = Path(store)
        if not path.exists() or path.stat().st_size == 0:
            return True
        try:
            with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as it:
                return not it.execute("SELECT 1 FROM sqlite_master").fetchone()
        except sqlite3.Error:
            return False
    with _ask_base(store) as ask:
        return not ask("SELECT 1 FROM pg_tables WHERE schemaname = 'public' LIMIT 1")


def rows_of(ask: Ask, tables: Sequence[str]) -> dict[str, int]:
    """The number of rows of each table."""
    # Names of our own tables, never of anybody's input.
    return {name: ask(f'SELECT count(*) FROM "{name}"')[0][0] for name in tables}


def _copy_sqlite(path: Path) -> dict[str, int]:
    connection.ensure_connection()
    path.touch(mode=0o600)
    with closing(sqlite3.connect(path)) as copy:
        # One step, so that no writer comes between two pages.
        connection.connection.backup(copy)
        # One file without a log beside it: it opens where nothing can be written.
        copy.execute("PRAGMA journal_mode=DELETE").fetchone()
        if (verdict := copy.execute("PRAGMA quick_check(1)").fetchone()[0]) != "ok":
            raise Unusable(f"The store is damaged: {verdict}.")
        tables = connection.introspection.table_names()
        return rows_of(lambda sql: copy.execute(sql).fetchall(), tables)


@contextmanager
def _open_sqlite(path: Path) -> Iterator[Ask]:
    # "immutable": no lock and no log, so that a read-only disk will do.
    address = f"{path.resolve().as_uri()}?mode=ro&immutable=1"
    try:
        with closing(sqlite3.connect(address, uri=True)) as store:
            verdict = store.execute("PRAGMA integrity_check").fetchone()[0]
            if verdict == "ok" and store.execute("PRAGMA foreign_key_check").fetchone():
                verdict = "a row points to a row that is not there"
            if verdict != "ok":
                raise Unusable(f"The store is damaged: {verdict}.")
            yield lambda sql: store.execute(sql).fetchall()
    except sqlite3.DatabaseError as error:
        raise Unusable(f"The store is damaged: {error}.") from None


def _copy_postgres(path: Path) -> dict[str, int]:
    tables = connection.introspection.table_names()
    path.touch(mode=0o600)
    with transaction.atomic(), connection.cursor() as cursor:

        def ask(sql: str) -> list[Any]:
            cursor.execute(sql)
            return list(cursor.fetchall())

        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        # What is dumped is what is counted, whoever writes meanwhile.
        snapshot = ask("SELECT pg_export_snapshot()")[0][0]
        own = [f"--snapshot={snapshot}", f"--file={path}"]
        _run("pg_dump", "--format=custom", *own, connection.settings_dict["NAME"])
        return rows_of(ask, tables)


def _needs_postgres(folder: Path) -> None:
    if not (folder / POSTGRES).exists():
        raise Unusable(f"{folder} holds no store.")
    if connection.vendor != "postgresql":
        raise Unusable("This backup is of a PostgreSQL store: set DATABASE_URL.")


@contextmanager
def spare_base() -> Iterator[str]:
    """The name of a new PostgreSQL base beside the shop's, which goes afterwards."""
    name = f"restore_check_{uuid4().hex[:8]}"
    _run("createdb", name)
    try:
        yield name
    finally:
        _run("dropdb", name)


def fill_base(folder: Path, name: str) -> None:
    """Bring a dump into an empty base: all of it, or nothing."""
    options = ["--single-transaction", "--exit-on-error", "--no-owner"]
    _run("pg_restore", *options, f"--dbname={name}", str(folder / POSTGRES))


@contextmanager
def _ask_base(name: str) -> Iterator[Ask]:
    try:
        store = psycopg.connect(make_conninfo(dbname=name, **_own()))
    except psycopg.OperationalError as error:
        raise Unusable(f"The base {name} cannot be opened: {error}") from None
    with store:
        yield lambda sql: store.execute(sql.encode()).fetchall()


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
