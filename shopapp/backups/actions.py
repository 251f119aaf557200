"""A manager says when backups are made, or asks for one now."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from shopapp.actions import write
from shopapp.background import ring
from shopapp.backups.queries import KIND, SUBJECT, backup_rule
from shopapp.frame import Act, Json, action
from shopapp.limits import BACKUPS
from shopapp.models import Shop


@action("backup.change", within=BACKUPS)
def change_backup_rule(act: Act, /, **fields: Any) -> Json:
    """Set when backups are made and how many are kept."""
    act.lock(Shop, 1)
    return write(backup_rule(), fields)


@action("backup.ask")
def ask_backup(act: Act, *, due: datetime | None = None) -> None:
    """Ask for a backup: the night's, or one now, which is proven too."""
    payload = {"is_proof": due is None}
    ring(act, KIND, subject=SUBJECT, payload=payload, due=due)
