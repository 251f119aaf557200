"""A backup as the clock makes it: made, noted, old ones dropped, proven each week."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from django.db import connection
from django.utils import timezone

from shopapp.backups import making, restoring
from shopapp.backups import shelf as on_shelf
from shopapp.backups.keep_rule import kept
from shopapp.backups.making import Made
from shopapp.backups.queries import backup_rule, is_proof_due
from shopapp.backups.stores import Unusable
from shopapp.models import Backup, the_shop


def back_up(*, now: datetime, is_proof: bool) -> Backup:
    """Back the shop up where its backups lie; what went wrong stands in the row."""
    shelf = on_shelf.own_shelf()
    try:
        made = making.make(shelf, now=now)
    except Unusable as reason:
        return Backup.objects.create(folder=str(shelf), made_at=now, failed=str(reason))
    row = note_made(made, now=now)
    try:
        drop_old(shelf, now=now)
    except (OSError, Unusable) as reason:
        row.trouble = f"{row.trouble} Old backups were not cleared: {reason}".strip()
        row.save()
    if is_proof or is_proof_due(now=now):
        prove(row)
    return row


def note_made(made: Made, *, now: datetime) -> Backup:
    """Note a backup for the manager's pages."""
    trouble = ""
    if made.damaged:
        trouble = (
            f"{len(made.damaged)} papers or photos of the shop are missing or damaged "
            f"on its disk and are not in the backup: {made.damaged[0]}."
        )
    return Backup.objects.create(
        folder=str(made.folder),
        made_at=now,
        rows=made.rows,
        files=made.files,
        copied=made.copied,
        size=made.size,
        trouble=trouble,
    )


def prove(row: Backup) -> None:
    """Bring it into a spare place, and note what came of it.

    A copy that is damaged on the shelf goes, so that the next backup makes it anew.
    """
    folder = Path(row.folder)
    try:
        restoring.prove(folder)
    except Unusable as reason:
        row.proof_failed = str(reason)
        on_shelf.forget_damaged(folder)
    else:
        row.proved_at, row.proof_failed = timezone.now(), ""
    row.save()


def row_of(folder: Path) -> Backup | None:
    """The entry of a backup; None where there is no shop here that could note it."""
    if Backup._meta.db_table not in connection.introspection.table_names():
        return None
    if known := Backup.objects.filter(folder=str(folder)).first():
        return known
    note = on_shelf.note_of(folder)
    made_at = datetime.fromisoformat(note.made_at)
    return Backup(folder=str(folder), made_at=made_at, rows=sum(note.rows.values()))


def drop_old(shelf: Path, *, now: datetime) -> None:
    """Drop what the rule does not keep; the newest one that was proven stays."""
    rule, zone = backup_rule(), the_shop().zone
    moments = {
        at.astimezone(zone): folder
        for folder in on_shelf.backups_in(shelf)
        if (at := on_shelf.made_at(folder))
    }
    stay = kept(
        moments, days=rule.keep_days, weeks=rule.keep_weeks, months=rule.keep_months
    )
    proven = Backup.objects.exclude(proved_at=None).first()
    gone = [
        folder
        for at, folder in moments.items()
        if at not in stay and not (proven and str(folder) == proven.folder)
    ]
    if gone:
        on_shelf.drop(shelf, gone)
        names = [str(folder) for folder in gone]
        Backup.objects.filter(folder__in=names).update(removed_at=now)
