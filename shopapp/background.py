"""Background tasks as rows: ring, claim, heartbeat, sweep.

The row is the truth. `ring` writes it inside the action and sounds the bell after
the commit; a bell that nobody hears is sounded again by `sweep`.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db import IntegrityError, connection, transaction
from django.db.models import F, Q
from django.utils import timezone
from django.utils.module_loading import import_string

from shopapp.frame import Act
from shopapp.models import BackgroundTask

State = BackgroundTask.State
ALIVE = [State.WAITING, State.RUNNING]
BEAT = timedelta(seconds=5)
LOST_AFTER = timedelta(seconds=30)
MOST_ATTEMPTS = 4
logger = logging.getLogger(__name__)


class Cancelled(Exception):  # noqa: N818 - not a fault
    """Somebody asked the running task to stop."""


def ring(
    act: Act,
    kind: str,
    *,
    subject: str,
    payload: dict[str, Any] | None = None,
    due: datetime | None = None,
) -> BackgroundTask:
    """Ask for a task; one of a kind and subject is alive at a time.

    kind     name of the worker's task, "papers.issue"
    subject  what it is about, "workorder 17"
    due      for periodic work: done once for each due moment
    """
    task = _ask(kind, subject=subject, payload=payload or {}, due=due)
    act.after_commit(lambda: sound(task.kind, task.pk))
    return task


def _ask(
    kind: str, *, subject: str, payload: dict[str, Any], due: datetime | None
) -> BackgroundTask:
    known = BackgroundTask.objects.filter(kind=kind, subject=subject)
    while True:
        try:
            with transaction.atomic():
                return BackgroundTask.objects.create(
                    kind=kind, subject=subject, payload=payload, due=due
                )
        except IntegrityError:
            # It may have ended since; then there is room for a new one.
            alike = known.filter(due=due) if due else known.none()
            if task := (alike.first() or known.filter(state__in=ALIVE).first()):
                return task


def sound(kind: str, pk: int) -> None:
    """Sound the bell. A deaf bell is no error: the sweep sounds it again."""
    try:
        import_string(settings.BACKGROUND_BELL)(kind, pk)
    except Exception as error:
        logger.warning("the bell for task %s could not be rung: %s", pk, error)
        return
    BackgroundTask.objects.filter(pk=pk).update(rung_at=timezone.now())


class Running:
    """A claimed task: its payload, its progress, whether to stop."""

    def __init__(self, task: BackgroundTask) -> None:
        self.task = task
        self.payload: dict[str, Any] = task.payload

    def check(self) -> None:
        """Raise `Cancelled` when somebody asked for a stop."""
        if self.is_cancelled():
            raise Cancelled

    def is_cancelled(self) -> bool:
        """Whether somebody asked for a stop."""
        return BackgroundTask.objects.filter(pk=self.task.pk, cancel=True).exists()

    def tell(self, **progress: Any) -> None:
        """Say how far it is."""
        BackgroundTask.objects.filter(pk=self.task.pk).update(progress=progress)

    def report(self, **progress: Any) -> None:
        """Say how far it is, and hear whether to stop."""
        self.tell(**progress)
        self.check()

    def found(self, pk: int) -> None:
        """Keep the row that the work has made, beside what it was asked about."""
        self.payload = {**self.payload, "found": pk}
        BackgroundTask.objects.filter(pk=self.task.pk).update(payload=self.payload)


@contextmanager
def running(pk: int) -> Iterator[Running | None]:
    """Claim a waiting task and keep its heartbeat; None when it is not to be done.

    An exception marks it failed (or waiting again while attempts are left).
    """
    task = _claim(pk)
    if task is None:
        yield None
        return
    stop = threading.Event()
    beat = threading.Thread(target=_beat, args=(pk, stop), daemon=True)
    beat.start()
    try:
        yield Running(task)
    except Cancelled:
        _end(pk, State.STOPPED)
    except Exception as error:
        logger.exception("task %s failed", pk)
        last = task.attempts >= MOST_ATTEMPTS
        _end(pk, State.FAILED if last else State.WAITING, error=repr(error))
    else:
        _end(pk, State.DONE)
    finally:
        stop.set()
        beat.join()


def _claim(pk: int) -> BackgroundTask | None:
    now = timezone.now()
    won = BackgroundTask.objects.filter(
        pk=pk, state=State.WAITING, cancel=False, attempts__lt=MOST_ATTEMPTS
    ).update(state=State.RUNNING, attempts=F("attempts") + 1, heartbeat_at=now)
    return BackgroundTask.objects.get(pk=pk) if won else None


def _end(pk: int, state: str, *, error: str = "") -> None:
    BackgroundTask.objects.filter(pk=pk, state=State.RUNNING).update(
        state=state,
        error=error,
        ended_at=None if state == State.WAITING else timezone.now(),
    )


def _beat(pk: int, stop: threading.Event) -> None:
    while not stop.wait(BEAT.total_seconds()):
        BackgroundTask.objects.filter(pk=pk, state=State.RUNNING).update(
            heartbeat_at=timezone.now()
        )
    connection.close()


def sweep() -> list[int]:
    """Sound again for tasks that nobody took, and take back those of a dead worker.

    A task that has used up its attempts is marked failed: it would only kill
    the next worker too.
    """
    now = timezone.now()
    waiting = BackgroundTask.objects.filter(state=State.WAITING)
    waiting.filter(cancel=True).update(state=State.STOPPED, ended_at=now)
    lost = BackgroundTask.objects.filter(
        state=State.RUNNING, heartbeat_at__lt=now - LOST_AFTER
    )
    lost.filter(attempts__gte=MOST_ATTEMPTS).update(
        state=State.FAILED, ended_at=now, error="the worker was lost"
    )
    lost.update(state=State.WAITING)
    unheard = Q(rung_at__isnull=True, made_at__lt=now - BEAT) | Q(
        rung_at__lt=now - LOST_AFTER
    )
    again = waiting.filter(unheard, cancel=False).order_by("pk")
    keys = [(task.kind, task.pk) for task in again[:100]]
    for kind, pk in keys:
        sound(kind, pk)
    return [pk for _, pk in keys]
