"""A backup is made while the shop is open, and checked without touching it."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import psycopg
from django.conf import settings
from django.db import DatabaseError, connection
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from shopapp.backups import shelf as on_shelf
from shopapp.backups.shelf import FILES, MEDIA, PART, STAMP, Note
from shopapp.backups.stores import Ask, Unusable, copy_into, opened, rows_of
from shopapp.models import StoredFile


@dataclass(frozen=True, kw_only=True)
class Made:
    """A backup that was made.

    copied   files that no backup there had yet
    damaged  files that the shop itself holds no more as they were kept
    """

    folder: Path
    rows: int
    files: int
    copied: int
    size: int
    damaged: tuple[str, ...]
    keys: Path | None


def make(shelf: Path, *, now: datetime | None = None) -> Made:
    """Back the shop up into a new folder on the shelf, while the shop is open.

    Raises `Unusable`, and leaves nothing half behind.
    """
    stamp = f"{now or timezone.now():{STAMP}}"
    shelf = shelf.resolve()
    unfinished = shelf / f"shop-{stamp}{PART}"
    try:
        with on_shelf.held(shelf):
            try:
                unfinished.mkdir(mode=0o700)
                return _make(shelf, unfinished, now=now or timezone.now())
            finally:
                shutil.rmtree(unfinished, ignore_errors=True)
    except (OSError, sqlite3.Error, DatabaseError) as error:
        why = getattr(error, "strerror", None) or error
        if on_shelf.is_full(shelf) or on_shelf.is_full(Path(settings.SHOP_DATA)):
            why = f"the disk is full ({why})"
        raise Unusable(f"No backup was made in {shelf}: {why}.") from None


def _make(shelf: Path, unfinished: Path, *, now: datetime) -> Made:
    # The store first: a file that it names was written before its row.
    rows = copy_into(unfinished)
    hashes = _hashes_now()
    live = Path(settings.MEDIA_ROOT)
    missing = [
        each for each in hashes if not on_shelf.path_in(shelf / MEDIA, each).exists()
    ]
    damaged = [
        each
        for each in missing
        if not on_shelf.bring_file(each, come_from=live, to=shelf / MEDIA)
    ]
    (unfinished / FILES).write_text("".join(f"{each}\n" for each in hashes))
    keys = on_shelf.keep_keys(shelf, f"{now:{STAMP}}")
    Note(
        made_at=now.isoformat(), rows=rows, migrations=_migrations_now(), keys=keys
    ).write(unfinished)
    # A folder with its final name is whole.
    folder = unfinished.rename(unfinished.with_suffix(""))
    return Made(
        folder=folder,
        rows=sum(rows.values()),
        files=len(hashes),
        copied=len(missing) - len(damaged),
        size=_size(folder.iterdir()),
        damaged=tuple(damaged),
        keys=on_shelf.keys_of(folder),
    )


def check(folder: Path) -> dict[str, int]:
    """Open a backup and count; raises `Unusable` when anything is missing."""
    note = on_shelf.note_of(folder)
    with opened(folder) as ask:
        compare_rows(note, ask)
        kept = hashes_in(ask)
    media = on_shelf.media_of(folder)
    damaged = [each for each in kept if not on_shelf.is_whole(media, each)]
    if damaged:
        raise Unusable(f"{len(damaged)} files are missing or damaged: {damaged[0]}.")
    tables, rows = len(note.rows), sum(note.rows.values())
    return {"tables": tables, "rows": rows, "files": len(kept)}


def compare_rows(note: Note, ask: Ask) -> None:
    """Raise `Unusable` where a table has other rows than were counted then."""
    try:
        found = rows_of(ask, list(note.rows))
    except (sqlite3.Error, psycopg.Error) as error:
        raise Unusable(f"The store is damaged: {error}.") from None
    if wrong := [name for name in note.rows if note.rows[name] != found[name]]:
        raise Unusable(f"Rows are missing in {', '.join(wrong)}.")


def hashes_in(ask: Ask) -> list[str]:
    """The files that a store names."""
    return [row[0] for row in ask("SELECT sha256 FROM shopapp_storedfile ORDER BY id")]


def _hashes_now() -> list[str]:
    return list(StoredFile.objects.order_by("pk").values_list("sha256", flat=True))


def _migrations_now() -> dict[str, str]:
    """The newest migration of each app, as the store has them."""
    return dict(sorted(MigrationRecorder(connection).applied_migrations()))


def _size(paths: Iterable[Path]) -> int:
    return sum(path.stat().st_size for path in paths)
