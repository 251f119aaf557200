"""The building's own background work."""

from __future__ import annotations

from celery import shared_task
from django.utils import timezone

from shopapp import background, leftovers
from shopapp.backups.actions import ask_backup
from shopapp.backups.nightly import back_up
from shopapp.backups.queries import KIND, wanted_at
from shopapp.frame import Tap, perform
from shopapp.models import HistoryEntry
from shopapp.sessions import end_the_idle
from shopapp.tries import forget_old_tries


@shared_task(name="solvers.sweep", ignore_result=True)
def sweep() -> None:
    """Sound the bell again for tasks that nobody took."""
    background.sweep()


@shared_task(name="solvers.sign_in_clock", ignore_result=True)
def sign_in_clock() -> None:
    """End what was left idle, and forget tries that do not count any more."""
    end_the_idle(now=timezone.now())
    forget_old_tries()


@shared_task(name="solvers.backup_clock", ignore_result=True)
def backup_clock() -> None:
    """From the hour on that the manager set: see to it that a backup is made, once."""
    now = timezone.now()
    if due := wanted_at(now=now):
        tap = Tap.made_by(None, at=now, via=HistoryEntry.Via.TASK)
        perform(tap, ask_backup, due=due)


@shared_task(name=KIND, ignore_result=True)
def make_backup(pk: int) -> None:
    """Sweep, make it, drop old ones, prove it where it is time to."""
    with background.running(pk) as work:
        if work is not None:
            leftovers.sweep(now=timezone.now())
            back_up(now=timezone.now(), is_proof=work.payload["is_proof"])
