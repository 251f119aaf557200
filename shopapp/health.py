"""Is the shop ready to work? /readyz says yes or no, `manage.py status` says why."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

import redis
from django.conf import settings
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone

from shopapp.models import BackgroundTask

WAITS_TOO_LONG = timedelta(minutes=10)


@dataclass(frozen=True, kw_only=True)
class Health:
    """What was found; each part "ok" or what is wrong, in words."""

    database: str
    migrations: str
    redis: str
    tasks: str
    oldest_waiting_s: float

    @property
    def ready(self) -> bool:
        """True when every part is ok."""
        parts = (self.database, self.migrations, self.redis, self.tasks)
        return all(part == "ok" for part in parts)


def look() -> Health:
    """Look at everything a request or a task needs."""
    database = _tried(_ask_database)
    fine = database == "ok"
    waiting_s = _oldest_waiting_s() if fine and _tried(_tasks_table) == "ok" else 0.0
    late = waiting_s > WAITS_TOO_LONG.total_seconds()
    return Health(
        database=database,
        migrations=_tried(_compare_migrations) if fine else "not known",
        redis=_tried(_ask_redis),
        tasks="a task has been waiting too long" if late else "ok",
        oldest_waiting_s=round(waiting_s, 1),
    )


def _tried(ask: Callable[[], None]) -> str:
    try:
        ask()
    except Exception as error:
        return f"{type(error).__name__}: {error}"
    return "ok"


def _ask_database() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")


def _compare_migrations() -> None:
    executor = MigrationExecutor(connection)
    if plan := executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise RuntimeError(f"{len(plan)} migrations are not applied")


def _ask_redis() -> None:
    with redis.Redis.from_url(
        settings.REDIS_URL, socket_timeout=2, socket_connect_timeout=2
    ) as client:
        client.ping()


def _tasks_table() -> None:
    BackgroundTask.objects.exists()


def _oldest_waiting_s() -> float:
    waiting = BackgroundTask.objects.filter(state=BackgroundTask.State.WAITING)
    oldest = waiting.order_by("made_at").values_list("made_at", flat=True).first()
    return (timezone.now() - oldest).total_seconds() if oldest else 0.0
