"""A new version changes the store: it is copied first, and a fault says where to.

The copies lie in `before-upgrades` in the data folder, the newest few.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone

from shopapp.backups.stores import NoTool, Unusable, copy_store

FOLDER, KEPT = "before-upgrades", 5


class NotUpgraded(Exception):  # noqa: N818 - a sentence for whoever starts the shop
    """The store could not be brought to this version."""


def upgrade(*, tell: Callable[[str], object]) -> None:
    """Bring the store to this version; one that holds a shop is copied before."""
    waiting = pending()
    copy = copy_before(waiting[0], tell=tell) if waiting and not is_new() else None
    if copy:
        tell(f"The store is brought to this version. A copy from before: {copy}")
    try:
        call_command("migrate", interactive=False, verbosity=0)
    except Exception as error:
        raise NotUpgraded(
            f"The store could not be brought to this version: {error}\n{way_back(copy)}"
        ) from error
    forget_old_copies()


def pending() -> list[str]:
    """Names of the migrations that this store has still before it, in order."""
    executor = MigrationExecutor(connection)
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return [f"{migration.app_label}-{migration.name}" for migration, _back in plan]


def is_new() -> bool:
    """Whether nothing was ever kept in this store."""
    return not MigrationExecutor(connection).loader.applied_migrations


def copy_before(first: str, *, tell: Callable[[str], object]) -> Path | None:
    """Copy the store; its name says when, and the first migration that waited.

    None where PostgreSQL's own tool is not on this machine: that is said.
    """
    folder = Path(settings.SHOP_DATA) / FOLDER
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        return copy_store(folder, f"{timezone.now():%Y%m%d-%H%M%S}-{first}")
    except NoTool as reason:
        tell(f"{reason} So no copy was made before this version changes the store.")
        return None
    except (OSError, sqlite3.Error, Unusable) as reason:
        raise NotUpgraded(
            f"The store could not be copied into {folder}: {reason}\n"
            "Nothing was changed. Make room there, then start the shop again."
        ) from reason


def way_back(copy: Path | None) -> str:
    """What to do when it went wrong."""
    if copy is None:
        return "There is no copy from before. Ask for help before you start it again."
    back = f"As it was before, it lies in {copy}\nTo go back to the version before: "
    if connection.vendor == "sqlite":
        store = Path(str(connection.settings_dict["NAME"]))
        return (
            f"{back}put that file in the place of {store}, and delete "
            f"{store.name}-wal and {store.name}-shm beside it."
        )
    return f"{back}restore that file with pg_restore --clean."


def forget_old_copies() -> None:
    """The newest few stay."""
    copies = sorted((Path(settings.SHOP_DATA) / FOLDER).glob("[0-9]*"))
    for copy in copies[:-KEPT]:
        copy.unlink()
