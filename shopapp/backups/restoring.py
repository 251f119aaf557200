"""A backup brought back into an empty place, or into a spare one to prove it."""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.db.migrations.loader import MigrationLoader

from shopapp.backups import shelf as on_shelf
from shopapp.backups.making import compare_rows, hashes_in
from shopapp.backups.shelf import Note
from shopapp.backups.stores import (
    SQLITE,
    Ask,
    Unusable,
    brought_to,
    is_empty,
    spare_base,
)

AUTHORITY = "tls/shop-ca.crt"
SPARE, LEFT_BEHIND_S = ".proof-", 24 * 3600
OURS = ("shopapp", "jobs", "mixing")


@dataclass(frozen=True, kw_only=True)
class Target:
    """Where a shop is brought to.

    store  the SQLite file, or the name of a PostgreSQL base
    """

    data: Path
    media: Path
    store: str


@dataclass(frozen=True, kw_only=True)
class Restored:
    """What came back.

    damaged  files that the backup names and no longer has
    keys     names of the keys that came back
    waiting  migrations that `serve` has still to apply
    """

    folder: Path
    made_at: str
    rows: int
    files: int
    damaged: tuple[str, ...]
    keys: tuple[str, ...]
    waiting: int


def own_place() -> Target:
    """Where this shop keeps what it has."""
    return Target(
        data=Path(settings.SHOP_DATA),
        media=Path(settings.MEDIA_ROOT),
        store=str(connection.settings_dict["NAME"]),
    )


def restore(folder: Path, *, to: Target) -> Restored:
    """Bring a backup back into an empty place; raises `Unusable`.

    Files first, then keys, the store last: a place without a store is empty still,
    and the same command goes on where it was cut off.
    """
    note = on_shelf.note_of(folder)
    _refuse_newer(note)
    keys = _keys_in(folder)
    _refuse_full(to, keys)
    try:
        came = _bring_files(folder, to=to.media)
        on_shelf.write_keys(keys, to.data)
        with brought_to(folder, to.store) as ask:
            compare_rows(note, ask)
            hashes, waiting = hashes_in(ask), _waiting(ask)
    except (OSError, sqlite3.Error) as error:
        why = getattr(error, "strerror", None) or error
        raise Unusable(f"{folder} was not brought to {to.data}: {why}.") from None
    damaged = [each for each in hashes if each not in came]
    return Restored(
        folder=folder,
        made_at=note.made_at,
        rows=sum(note.rows.values()),
        files=len(hashes) - len(damaged),
        damaged=tuple(damaged),
        keys=tuple(keys),
        waiting=waiting,
    )


def prove(folder: Path) -> Restored:
    """Bring a backup into a spare place, look at all of it there, and clear up."""
    with _spare_place() as spare:
        restored = restore(folder, to=spare)
        if restored.damaged:
            raise Unusable(
                f"{len(restored.damaged)} files are missing or damaged: "
                f"{restored.damaged[0]}."
            )
        if on_shelf.read_keys(spare.data) != _keys_in(folder):
            raise Unusable("The keys did not come back.")
        return restored


@contextmanager
def _spare_place() -> Iterator[Target]:
    """Another data folder, and another base, for a while."""
    own = Path(settings.SHOP_DATA)
    for left in own.glob(f"{SPARE}*"):
        if time.time() - left.stat().st_mtime > LEFT_BEHIND_S:
            shutil.rmtree(left, ignore_errors=True)
    with tempfile.TemporaryDirectory(prefix=SPARE, dir=own) as made:
        data = Path(made)
        if connection.vendor == "sqlite":
            yield Target(data=data, media=data / "media", store=str(data / SQLITE))
        else:
            with spare_base() as name:
                yield Target(data=data, media=data / "media", store=name)


def _keys_in(folder: Path) -> dict[str, bytes]:
    kept = on_shelf.keys_of(folder)
    return on_shelf.read_keys(kept) if kept else {}


def _refuse_full(to: Target, keys: dict[str, bytes]) -> None:
    """A place that holds a shop, or another shop's certificate, is left alone."""
    if not is_empty(to.store):
        raise Unusable(
            f"There is a shop in {to.store} already. A backup is brought back into "
            "an empty place: set SHOP_DATA to a new folder"
            + (
                "."
                if connection.vendor == "sqlite"
                else ", and DATABASE_URL to a new base (createdb)."
            )
        )
    there = on_shelf.read_keys(to.data).get(AUTHORITY)
    if there and there != keys.get(AUTHORITY, there):
        raise Unusable(
            f"{to.data} holds another shop's certificate: "
            "set SHOP_DATA to a new folder."
        )


def _refuse_newer(note: Note) -> None:
    """A store that this program is too old for is not brought back by it."""
    for app, name in note.migrations.items():
        if app in OURS and (app, name) not in _known():
            raise Unusable(
                f"A newer version of this program made this backup ({app} {name}): "
                "bring it back with that version."
            )


def _known() -> set[tuple[str, str]]:
    """The migrations of this version."""
    return set(MigrationLoader(None).disk_migrations)


def _waiting(ask: Ask) -> int:
    """How many migrations this version has still to apply."""
    applied = {tuple(row) for row in ask("SELECT app, name FROM django_migrations")}
    return len(_known() - applied)


def _bring_files(folder: Path, *, to: Path) -> set[str]:
    """Copy what is missing there; the files that are there whole now."""
    media = on_shelf.media_of(folder)
    return {
        each
        for each in on_shelf.hashes_of(folder)
        if on_shelf.is_whole(to, each)
        or on_shelf.bring_file(each, come_from=media, to=to)
    }
